"""What decides, and the verdict as the worst of it."""
