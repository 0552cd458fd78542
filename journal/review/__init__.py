"""What the numbers say of the records."""
