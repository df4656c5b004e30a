"""Words and units for readers."""
