"""The report's pictures: each drawn from its numbers alone, in shades that also work in grey."""
