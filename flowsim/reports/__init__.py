"""Words and tables made from results."""
