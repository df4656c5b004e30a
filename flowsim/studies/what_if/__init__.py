"""What changes if a part fails or a scenario is altered."""
