"""Where the spread of the margin comes from."""
