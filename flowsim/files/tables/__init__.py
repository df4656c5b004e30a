"""A case as tables: a workbook or a CSV file, in both directions."""
