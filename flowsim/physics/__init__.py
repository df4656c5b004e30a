"""Laws of physics as functions on arrays: no files, no system, no solving."""
