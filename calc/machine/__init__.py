"""The machine of a sheet: its catalogue of inputs, and everything computed from them once."""
