"""Unusable and least fuel."""
