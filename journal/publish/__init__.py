"""The build history redacted for its reader, then rendered."""
