"""What the terminal shows. One file a screen: what it gathers, its JSON, and beside it its text; a command shows it."""
