"""The course of lines: centre-line, slope, clearances, supports, tube sizes."""
