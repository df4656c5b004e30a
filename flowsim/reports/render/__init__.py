"""Terminal, HTML and PDF."""
