"""The lookup as ready bytes, at a cost that hardly grows with the catalogue."""
