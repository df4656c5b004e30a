"""What the aeroplane is: frozen descriptions in SI units, with no idea of files or solving."""
