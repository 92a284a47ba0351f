"""The catalogue: its records in and out of the tables, its files, and the snapshot that lookups run on."""
