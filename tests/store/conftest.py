"""Tests of the store run on both engines."""

import pytest
from alembic import command
from alembic.config import Config
from sqlmodel import SQLModel, select

from service.store import access, history, schema, tables
from service.store.database import Database

EVERY_TABLE = SQLModel.metadata.sorted_tables
assert {access.ApiKeyRow, history.WriteRow, tables.AxleRow}  # imported for the metadata


@pytest.fixture
def database(any_database):
    """An empty database of this release's schema."""
    return any_database


@pytest.fixture
def demonstration(any_demonstration):
    """The demonstration catalogue in a database of the test's own."""
    return any_demonstration


@pytest.fixture(scope="session")
def unchanged(engine):
    """An empty database whose tests take back what they do."""
    opened = Database(engine.empty())
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def everything_in():
    """Every row of every table, by table, in the order of the keys."""

    def read(database):
        with database.engine.connect() as connection:
            return {
                table.name: sorted(
                    connection.execute(select(table)).all(), key=lambda row: [str(value) for value in row]
                )
                for table in EVERY_TABLE
            }

    return read


@pytest.fixture(scope="session")
def migrate_to():
    """Brings a database to the schema of an earlier release."""

    def migrate(database, version):
        config = Config()
        config.set_main_option("script_location", schema.__file__.replace("schema.py", "migrations"))
        config.set_main_option("path_separator", "os")
        with database.writing() as session:
            config.attributes["connection"] = session.connection()
            command.upgrade(config, version)

    return migrate
