"""TOML text by place: spans, edits, slips of writing."""
