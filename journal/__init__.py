"""Records, database, command line and write-ups of the build journal."""
