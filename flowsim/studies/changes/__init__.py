"""The system with parts changed: for what-ifs, sizes and blocked meters."""
