"""What is assumed, unmeasured or likely forgotten in a case."""
