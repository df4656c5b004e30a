"""Quantities over time: the tanks emptied by the network, phase by phase."""
