"""What every page and report is written in: headings, words, lists, tables, pictures as data."""
