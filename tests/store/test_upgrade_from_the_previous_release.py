"""A migration works with the previous release: it keeps the rows, and its statements go on working."""

import pytest
from sqlalchemy import inspect, text
from sqlalchemy.exc import OperationalError, ProgrammingError

from service.store.schema import require_current, upgrade

PREVIOUS = "0001"
AXLE = {
    "sku": "A-1", "gtin": "2000000000008", "name": "One", "fastening": "two_piece", "shaft_um": 8000,
    "shaft_tolerance": "h9", "length_um": 40000, "length_tolerance_um": 200, "grip_min_um": 34000,
    "grip_max_um": 36000, "barrel_um": 30000, "barrel_mouth_um": 1000, "barrel_thread_um": 11000,
    "screw_um": 14000, "thread": "M6x1", "thread_length_um": 12000, "nut_height_um": 5200,
    "drive": "hexagon_4", "driven_heads": 2, "keyed_profile": "none", "offset_um": 0,
    "brake_thread": None, "material": "steel_8_8", "colour": "black", "pack_quantity": 8,
    "price_minor": 2**40, "currency": "EUR", "stock": 3,
}  # fmt: skip
FRAME = {
    "code": "F-1", "name": "Frame", "fastening": "two_piece", "bore_um": 8000, "holes": "oval",
    "hole_offset_um": 1000, "outside_widths_um": "[36400, 35400]", "inside_width_um": 24400,
    "head_wall_um": 6000, "far_wall_um": 6000, "recess_um": 1000, "thread": None,
    "wall_material": "aluminium_6061_t6", "keyed_profile": "none", "wheels": 2,
    "axle_positions_um": "[0, 90000]", "brake_position": 2, "brake_thread": "M6x1",
}  # fmt: skip
SLEEVE = {
    "sku": "S-1", "gtin": None, "name": "Sleeve", "inner_um": 6000, "outer_um": 8000, "length_um": 24000,
    "pack_quantity": 1, "price_minor": 80, "currency": "EUR", "stock": 0,
}  # fmt: skip
ROWS = {"axle": AXLE, "frame": FRAME, "sleeve": SLEEVE}
KEYS = {"axle": "sku", "frame": "code", "sleeve": "sku"}


def insert(database, table, row):
    """The previous release's INSERT."""
    names, places = ", ".join(row), ", ".join(f":{name}" for name in row)
    with database.writing() as session:
        statement = f"INSERT INTO {table} ({names}) VALUES ({places})"  # noqa: S608 (the names are ours)
        session.connection().execute(text(statement), row)
        session.connection().execute(text("UPDATE catalogue SET revision = revision + 1"))


def rows_of(database, table):
    """The previous release's SELECT."""
    statement = f"SELECT {', '.join(ROWS[table])} FROM {table}"  # noqa: S608 (the names are ours)
    with database.reading() as session:
        found = session.connection().execute(text(statement))
        return [
            {name: str(value) if isinstance(value, list) else value for name, value in row.items()}
            for row in found.mappings()
        ]


@pytest.fixture
def previous(engine, open_database, migrate_to):
    """A database as the previous release left it, with a row in each table."""
    database = open_database(engine.blank(), create=True)
    migrate_to(database, PREVIOUS)
    for table, row in ROWS.items():
        insert(database, table, row)
    return database


@pytest.fixture
def upgraded(previous):
    """The same after this release's upgrade."""
    upgrade(previous)
    require_current(previous)
    return previous


@pytest.mark.parametrize("table", ROWS)
def test_the_upgrade_keeps_every_value_of_a_row(upgraded, table):
    assert rows_of(upgraded, table) == [ROWS[table]]


def test_the_upgrade_keeps_the_revision(upgraded):
    with upgraded.reading() as session:
        assert session.connection().execute(text("SELECT revision FROM catalogue")).scalars().all() == [3]


@pytest.mark.parametrize("table", ROWS)
def test_the_previous_release_writes_and_reads_its_rows_after_the_upgrade(upgraded, table):
    second = ROWS[table] | {KEYS[table]: "Z-2"}
    insert(upgraded, table, second)
    found = sorted(rows_of(upgraded, table), key=lambda row: row[KEYS[table]])
    assert found == [ROWS[table], second]


@pytest.mark.parametrize("table", ROWS)
def test_the_previous_release_replaces_and_deletes_its_rows_after_the_upgrade(upgraded, table):
    key = KEYS[table]
    with upgraded.writing() as session:
        statement = (
            f"INSERT INTO {table} ({', '.join(ROWS[table])}) "  # noqa: S608 (the names are ours)
            f"VALUES ({', '.join(f':{name}' for name in ROWS[table])}) "
            f"ON CONFLICT ({key}) DO UPDATE SET name = excluded.name"
        )
        session.connection().execute(text(statement), ROWS[table] | {"name": "Another name"})
    assert [row["name"] for row in rows_of(upgraded, table)] == ["Another name"]
    with upgraded.writing() as session:
        session.connection().execute(text(f"DELETE FROM {table}"))  # noqa: S608 (the name is ours)
    assert rows_of(upgraded, table) == []


def test_the_upgrade_leaves_the_columns_of_the_previous_release_as_they_were(previous):
    def columns():
        inspected = inspect(previous.engine)
        return {
            (table, column["name"]): (str(column["type"]), column["nullable"])
            for table in [*ROWS, "catalogue"]
            for column in inspected.get_columns(table)
        }

    before = columns()
    upgrade(previous)
    assert columns() == before


def test_an_upgrade_that_fails_half_way_leaves_the_previous_schema(previous):
    with previous.writing() as session:
        session.connection().execute(text("CREATE TABLE api_key (id INTEGER)"))  # in the migration's way
    with pytest.raises((ProgrammingError, OperationalError), match="exists"):
        upgrade(previous)
    assert not inspect(previous.engine).has_table("catalogue_write")
    with previous.reading() as session:
        version = session.connection().execute(text("SELECT version_num FROM alembic_version")).scalar_one()
    assert version == PREVIOUS
