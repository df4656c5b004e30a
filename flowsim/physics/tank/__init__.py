"""Tanks: volume, surface and outlets at any attitude."""
