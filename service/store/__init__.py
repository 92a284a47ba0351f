"""The tables, their migrations, and the connection to the database."""
