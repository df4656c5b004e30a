"""What one network delivers in scenarios, and the pressures and trapped air along it."""
