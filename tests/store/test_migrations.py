"""The schema is what the migrations build, the same on both engines, and the tables describe exactly that."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import CheckConstraint, inspect
from sqlmodel import SQLModel, select

from service.errors import SchemaVersionError
from service.store import access, history
from service.store.schema import require_current, upgrade
from service.store.tables import CatalogueRow

assert {access.ApiKeyRow, history.WriteRow}  # imported for the metadata
EVERY_TABLE = sorted(SQLModel.metadata.tables)


def shape_of(database):
    """What the database itself says of its tables."""
    inspected = inspect(database.engine)
    return {
        table: {
            "columns": {
                column["name"]: (str(column["type"]), column["nullable"])
                for column in inspected.get_columns(table)
            },
            "key": inspected.get_pk_constraint(table)["constrained_columns"],
            "points_to": [
                (key["constrained_columns"], key["referred_table"], key["referred_columns"])
                for key in inspected.get_foreign_keys(table)
            ],
            "indexes": {
                index["name"]: (index["column_names"], bool(index["unique"]))
                for index in inspected.get_indexes(table)
            },
            "checks": {
                check["name"]: " ".join(check["sqltext"].split())
                for check in inspected.get_check_constraints(table)
            },
        }
        for table in EVERY_TABLE
    }


def test_the_migrations_leave_nothing_to_do(database):
    options = {"compare_type": True, "compare_server_default": True}
    with database.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts=options)
        assert compare_metadata(context, SQLModel.metadata) == []


def test_the_migrations_build_what_the_tables_describe(database, engine, open_database):
    described = open_database(engine.blank(), create=True)
    SQLModel.metadata.create_all(described.engine)
    assert shape_of(database) == shape_of(described)


@pytest.mark.parametrize("table", EVERY_TABLE)
def test_the_migrations_build_every_check_constraint_that_the_table_names(database, table):
    built = {found["name"] for found in inspect(database.engine).get_check_constraints(table)}
    named = {
        constraint.name
        for constraint in SQLModel.metadata.tables[table].constraints
        if isinstance(constraint, CheckConstraint)
    }
    assert built == named


def test_a_new_catalogue_has_revision_0(database):
    with database.reading() as session:
        assert session.exec(select(CatalogueRow.revision)).all() == [0]


def test_an_upgrade_of_a_current_database_changes_nothing(demonstration, everything_in):
    before = everything_in(demonstration), shape_of(demonstration)
    upgrade(demonstration)
    assert (everything_in(demonstration), shape_of(demonstration)) == before


def test_two_upgrades_at_the_same_time_both_end_well(engine, open_database):
    url = engine.blank()
    upgrades = [open_database(url, create=True) for _ in range(2)]
    with ThreadPoolExecutor(len(upgrades)) as threads:
        assert list(threads.map(upgrade, upgrades)) == [None, None]
    require_current(upgrades[0])


def test_a_current_database_is_accepted(database):
    require_current(database)


def test_a_database_without_a_schema_is_refused_with_the_command_that_helps(engine, open_database):
    with pytest.raises(SchemaVersionError, match=r"version none.*python -m service upgrade"):
        require_current(open_database(engine.blank(), create=True))


def test_a_database_of_an_earlier_release_is_refused_with_the_command_that_helps(
    engine, open_database, migrate_to
):
    earlier = open_database(engine.blank(), create=True)
    migrate_to(earlier, "0001")
    with pytest.raises(SchemaVersionError, match=r"version 0001.*python -m service upgrade"):
        require_current(earlier)


def test_a_database_of_a_schema_that_this_release_does_not_know_is_refused(database):
    with database.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = 'of a later release'")
    with pytest.raises(SchemaVersionError, match="of a later release"):
        require_current(database)
