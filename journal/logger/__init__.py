"""Files of data loggers: read as they are, held against their own faults, kept beside the journal as columns."""
