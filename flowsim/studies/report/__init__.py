"""Everything that the report for a technical counsellor needs, worked out once."""
