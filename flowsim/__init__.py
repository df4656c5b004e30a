"""Does gravity deliver enough fuel, at every attitude, on the last usable fuel."""

__version__ = "0.1.0"
