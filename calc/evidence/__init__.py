"""Readings and their limits, odds that came true, hazards, and options weighed."""
