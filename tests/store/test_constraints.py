"""What must hold whoever writes: each CHECK constraint refuses a row that violates it alone."""

import pytest
from sqlalchemy import CheckConstraint
from sqlalchemy.exc import IntegrityError
from sqlmodel import SQLModel

TABLES = {name: SQLModel.metadata.tables[name] for name in ("axle", "catalogue", "frame", "sleeve")}

GOOD = {
    "axle": {"sku": "A", "name": "An axle", "fastening": "two_piece", "pack_quantity": 1},
    "catalogue": {},  # the migrations put its one row there
    "frame": {
        "code": "F",
        "name": "A frame",
        "wheels": 4,
        "outside_widths_um": [36400],
        "axle_positions_um": [],
    },
    "sleeve": {
        "sku": "S",
        "name": "A sleeve",
        "inner_um": 6000,
        "outer_um": 8000,
        "length_um": 24000,
        "pack_quantity": 1,
    },
}

VIOLATIONS = {
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
def change(database):
    """Puts a good row into a table and changes it."""

    def put_and_change(table, changes):
        with database.engine.begin() as connection:
            if GOOD[table]:
                connection.execute(TABLES[table].insert().values(**GOOD[table]))
            connection.execute(TABLES[table].update().values(**changes))

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
    ],
    ids=str,
)
def test_a_row_at_the_limit_is_accepted(table, changes, change):
    change(table, changes)


def test_every_violation_belongs_to_a_constraint_that_exists():
    assert set(VIOLATIONS) | IMPLIED_BY_OTHERS <= set(NAMED)
