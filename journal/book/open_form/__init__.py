"""A whole journal as a folder of plain text, and back."""
