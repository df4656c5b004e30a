"""What each command prints."""
