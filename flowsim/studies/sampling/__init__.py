"""Bands, draws from them, and what the spread comes from."""
