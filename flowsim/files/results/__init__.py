"""Results as JSON and CSV, one writer each; the report as data."""
