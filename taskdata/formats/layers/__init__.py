"""One layer a module: its columns, its rows made of records, and records made of rows."""
