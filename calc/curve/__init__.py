"""What a machine that stands was measured to do: minute means of a data logger, and what follows from them."""
