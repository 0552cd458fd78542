"""Formulas by chapter of the trade, each with its sources: numbers in, numbers out, no sheet."""
