"""Fuels: catalogue, laws of their properties, the builder's own."""
