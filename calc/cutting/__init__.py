"""What is marked out and cut: templates wrapped around pipe, drilling patterns, outlines, a sheet for balancing."""
