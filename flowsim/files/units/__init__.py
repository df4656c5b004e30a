"""Quantities as people write them, and the units that are shown."""
