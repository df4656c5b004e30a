"""The case on a local page: a server of one case for one person on one computer."""
