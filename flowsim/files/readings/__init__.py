"""Readings of a ground test, and flight profiles."""
