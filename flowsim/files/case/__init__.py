"""The case file: models, reader, mistakes."""
