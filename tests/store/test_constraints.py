"""What must hold whoever writes: each named CHECK constraint refuses a row that violates it alone."""

import pytest
from sqlalchemy import CheckConstraint
from sqlalchemy.exc import IntegrityError
from sqlmodel import SQLModel

from service.store import access, history, tables

TABLES = SQLModel.metadata.tables
assert {access.ApiKeyRow, history.WriteRow, tables.AxleRow}  # imported for the metadata
SHA256_DIGITS = 64

GOOD = {
    "api_key": {
        "id": "K",
        "name": "A till",
        "scopes": "catalogue",
        "digest": "0" * SHA256_DIGITS,
        "issued_at": "2026-01-01",
    },
    "axle": {"sku": "A", "name": "An axle", "fastening": "two_piece", "pack_quantity": 1},
    "catalogue": {},  # the migrations put its one row there
    "catalogue_change": {
        "revision": 1,
        "ordinal": 0,
        "table_name": "axles",
        "record_key": "A",
        "record_after": "{}",
    },
    "catalogue_write": {"revision": 1, "at": "2026-01-01", "actor": "a test", "action": "put"},
    "frame": {
        "code": "F",
        "name": "A frame",
        "wheels": 4,
        "outside_widths_um": [36400],
        "axle_positions_um": [],
    },
    "request_count": {"client": "key K", "began_at_ms": 0, "used": 1},
    "sleeve": {
        "sku": "S",
        "name": "A sleeve",
        "inner_um": 6000,
        "outer_um": 8000,
        "length_um": 24000,
        "pack_quantity": 1,
    },
}

NEEDS = {"catalogue_change": "catalogue_write"}

VIOLATIONS = {
    ("api_key", "digest_is_of_sha256"): {"digest": "0" * (SHA256_DIGITS - 1)},
    ("axle", "brake_axle_is_threaded_wall"): {"brake_thread": "M6x1"},
    ("axle", "fastening_is_known"): {"fastening": "glued"},
    ("axle", "grip_is_a_range"): {"grip_min_um": 38000, "grip_max_um": 37999},
    ("axle", "one_or_two_heads_are_driven"): {"driven_heads": 3},
    ("axle", "price_has_currency"): {"price_minor": 490},
    ("axle", "price_minor_is_not_negative"): {"price_minor": -1, "currency": "EUR"},
    ("axle", "shaft_is_of_a_class"): {"shaft_um": 7000},
    ("axle", "thread_is_in_the_barrel"): {
        "barrel_um": 12000,
        "barrel_mouth_um": 1000,
        "barrel_thread_um": 11001,
    },
    ("axle", "thread_is_on_the_axle"): {"length_um": 10000, "thread_length_um": 10001},
    ("catalogue", "catalogue_is_one_row"): {"id": 2},
    ("catalogue_change", "change_changes_something"): {"record_after": None},
    ("catalogue_change", "table_is_known"): {"table_name": "wheels"},
    ("catalogue_write", "write_makes_a_revision"): {"revision": 0},
    ("frame", "bore_is_of_a_class"): {"bore_um": 7000},
    ("frame", "brake_is_at_a_wheel"): {"brake_position": 5},
    ("frame", "brake_thread_has_position"): {"brake_thread": "M6x1"},
    ("frame", "fastening_is_known"): {"fastening": "glued"},
    ("frame", "hole_offset_um_is_positive"): {"hole_offset_um": 0, "holes": "oval"},
    ("frame", "holes_are_known"): {"holes": "square"},
    ("frame", "offset_has_oval_holes"): {"hole_offset_um": 1000},
    ("sleeve", "price_has_currency"): {"currency": "EUR"},
    ("sleeve", "price_minor_is_not_negative"): {"price_minor": -1, "currency": "EUR"},
    ("sleeve", "sleeve_has_a_wall"): {"inner_um": 8000},
}

# A sleeve with an outside of 0 has an inside that is not greater than 0, or no wall.
IMPLIED_BY_OTHERS = {("sleeve", "outer_um_is_positive")}

NAMED = sorted(
    (table, str(constraint.name))
    for table, described in TABLES.items()
    for constraint in described.constraints
    if isinstance(constraint, CheckConstraint)
)


def violation_of(table, constraint):
    """What to change in a good row; a name such as `stock_is_not_negative` says it itself."""
    if (table, constraint) in VIOLATIONS:
        return VIOLATIONS[table, constraint]
    column, _, rule = constraint.partition("_is_")
    return {column: {"positive": 0, "not_negative": -1}[rule]}


@pytest.fixture
def change(unchanged):
    """Puts a good row into a table, changes it, and takes all of it back."""

    def put_and_change(table, changes):
        with unchanged.engine.connect() as connection, connection.begin() as transaction:
            for name in (NEEDS.get(table), table):
                if GOOD.get(name):
                    connection.execute(TABLES[name].insert().values(**GOOD[name]))
            changed = connection.execute(TABLES[table].update().values(**changes)).rowcount
            transaction.rollback()
        return changed

    return put_and_change


@pytest.mark.parametrize(("table", "constraint"), [name for name in NAMED if name not in IMPLIED_BY_OTHERS])
def test_a_row_is_refused_by(table, constraint, change):
    with pytest.raises(IntegrityError, match=rf"\b{constraint}\b"):
        change(table, violation_of(table, constraint))


@pytest.mark.parametrize(
    ("table", "changes"),
    [
        ("axle", {"grip_min_um": 38000, "grip_max_um": 38000}),
        ("axle", {"barrel_um": 12000, "barrel_mouth_um": 1000, "barrel_thread_um": 11000}),
        ("axle", {"length_um": 10000, "thread_length_um": 10000}),
        ("axle", {"brake_thread": "M6x1", "fastening": "threaded_wall"}),
        ("axle", {"price_minor": 0, "currency": "EUR", "stock": 0}),
        ("frame", {"brake_position": 4, "brake_thread": "M6x1"}),
        ("frame", {"holes": "oval", "hole_offset_um": 1, "fastening": None, "recess_um": 0}),
        ("sleeve", {"inner_um": 7999}),
        ("catalogue_change", {"record_before": "{}", "record_after": None}),
    ],
    ids=str,
)
def test_a_row_at_the_limit_is_accepted(table, changes, change):
    assert change(table, changes) == 1


def test_a_change_belongs_to_a_write_that_is_recorded(unchanged):
    with pytest.raises(IntegrityError), unchanged.engine.begin() as connection:
        connection.execute(TABLES["catalogue_change"].insert().values(**GOOD["catalogue_change"]))


def test_every_violation_belongs_to_a_constraint_that_exists():
    assert set(VIOLATIONS) | IMPLIED_BY_OTHERS <= set(NAMED)
