"""Joint draws of all that is uncertain, over the scenarios that can decide."""
