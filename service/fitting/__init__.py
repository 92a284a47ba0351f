"""The use cases: narrow, check, rank, translate, word."""
