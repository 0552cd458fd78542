"""Migrations of the journal file."""
