"""What Alembic runs for each migration: on the connection, and in the transaction, that it is given."""

from alembic import context
from sqlmodel import SQLModel

from service.store import tables

assert tables.AxleRow.metadata is SQLModel.metadata  # noqa: S101 (the tables are imported for their metadata)

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=SQLModel.metadata,
    transactional_ddl=True,
)
context.run_migrations()
