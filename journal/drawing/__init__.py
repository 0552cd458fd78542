"""Drawings at true size: what they are made of, what is drawn of a revision, and the forms in which they are kept."""
