"""The ground test: which runs to make, what they should show, and what they teach."""
