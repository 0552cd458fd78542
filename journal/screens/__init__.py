"""What the terminal shows, text and JSON side by side."""
