"""What lines and fittings lose."""
