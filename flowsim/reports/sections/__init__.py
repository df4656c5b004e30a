"""The report's sections: each a small function from the studies to blocks of data."""
