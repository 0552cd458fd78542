"""The records: tables, store, history, what people type, and a file for each kind of record."""
