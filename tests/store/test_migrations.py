"""The schema is what the migrations build, and the tables describe exactly that."""

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import CheckConstraint, inspect
from sqlmodel import SQLModel, select

from service.errors import SchemaVersionError
from service.store.database import Database
from service.store.schema import require_current, upgrade
from service.store.tables import CatalogueRow

TABLES = sorted(SQLModel.metadata.tables)


def one_spaced(text):
    return " ".join(text.split())


def test_the_migrations_leave_nothing_to_do(database):
    options = {"compare_type": True, "compare_server_default": True}
    with database.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts=options)
        assert compare_metadata(context, SQLModel.metadata) == []


@pytest.mark.parametrize("table", TABLES)
def test_the_migrations_build_the_check_constraints_that_the_table_names(database, table):
    built = {
        found["name"]: one_spaced(found["sqltext"])
        for found in inspect(database.engine).get_check_constraints(table)
    }
    described = {
        str(constraint.name): one_spaced(str(constraint.sqltext))
        for constraint in SQLModel.metadata.tables[table].constraints
        if isinstance(constraint, CheckConstraint)
    }
    assert built == described


def test_a_new_catalogue_has_revision_0(database):
    with database.reading() as session:
        assert session.exec(select(CatalogueRow.revision)).all() == [0]


def test_an_upgrade_of_a_current_database_changes_nothing(demonstration, demonstration_copy):
    before = demonstration_copy.read_bytes()
    upgrade(demonstration)
    assert demonstration_copy.read_bytes() == before


def test_a_current_database_is_accepted(database):
    require_current(database)


def test_an_empty_database_is_refused_with_the_command_that_helps(tmp_path):
    empty = Database(f"sqlite:///{tmp_path / 'nothing.sqlite3'}", create=True)
    with pytest.raises(SchemaVersionError, match=r"python -m service upgrade"):
        require_current(empty)
    empty.close()


def test_a_database_of_a_schema_that_this_release_does_not_know_is_refused(database):
    with database.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = 'of a later release'")
    with pytest.raises(SchemaVersionError, match="of a later release"):
        require_current(database)
