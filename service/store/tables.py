"""The tables: lengths in whole micrometres (``_um``), money in whole minor units of its currency.

SQLModel tables do not validate, so the schemas do; the CHECK constraints here repeat what must hold
whoever writes.
"""

from typing import Any

from sqlalchemy import JSON, BigInteger, CheckConstraint, Column
from sqlmodel import Field, SQLModel


def one_of(column: str, *values: str) -> str:
    """A condition without IN, for which SQLite would make a table of its own at each row inserted."""
    return " OR ".join(f"{column} = {value}" for value in values)


def _positive(*columns: str) -> list[CheckConstraint]:
    return [CheckConstraint(f"{c} > 0", name=f"{c}_is_positive") for c in columns]


def _not_negative(*columns: str) -> list[CheckConstraint]:
    return [CheckConstraint(f"{c} >= 0", name=f"{c}_is_not_negative") for c in columns]


def _has(name: str, condition: str) -> CheckConstraint:
    return CheckConstraint(condition, name=name)


def _priced() -> list[CheckConstraint]:
    return [
        *_not_negative("price_minor", "stock"),
        *_positive("pack_quantity"),
        _has("price_has_currency", "(price_minor IS NULL) = (currency IS NULL)"),
    ]


class CatalogueRow(SQLModel, table=True):
    """The one row that counts the catalogue's revisions."""

    __tablename__ = "catalogue"
    __table_args__: Any = (_has("catalogue_is_one_row", "id = 1"), *_not_negative("revision"))

    id: int = Field(primary_key=True)
    revision: int


class AxleRow(SQLModel, table=True):
    """An axle of the catalogue."""

    __tablename__ = "axle"
    __table_args__: Any = (
        _has("fastening_is_known", one_of("fastening", "'threaded_wall'", "'two_piece'", "'bolt_and_nut'")),
        _has("shaft_is_of_a_class", one_of("shaft_um", "6000", "6300", "8000")),
        *_positive(
            "length_um",
            "length_tolerance_um",
            "grip_min_um",
            "grip_max_um",
            "barrel_um",
            "barrel_thread_um",
            "screw_um",
            "thread_length_um",
            "nut_height_um",
        ),
        *_not_negative("barrel_mouth_um", "offset_um"),
        _has("grip_is_a_range", "grip_min_um <= grip_max_um"),
        _has("thread_is_on_the_axle", "thread_length_um <= length_um"),
        _has("thread_is_in_the_barrel", "barrel_mouth_um + barrel_thread_um <= barrel_um"),
        _has("one_or_two_heads_are_driven", "driven_heads IN (1, 2)"),
        _has("brake_axle_is_threaded_wall", "brake_thread IS NULL OR fastening = 'threaded_wall'"),
        *_priced(),
    )

    sku: str = Field(primary_key=True)
    gtin: str | None
    name: str
    fastening: str
    shaft_um: int | None
    shaft_tolerance: str | None
    length_um: int | None
    length_tolerance_um: int | None
    grip_min_um: int | None
    grip_max_um: int | None
    barrel_um: int | None
    barrel_mouth_um: int | None
    barrel_thread_um: int | None
    screw_um: int | None
    thread: str | None
    thread_length_um: int | None
    nut_height_um: int | None
    drive: str | None
    driven_heads: int | None
    keyed_profile: str | None
    offset_um: int | None
    brake_thread: str | None
    material: str | None
    colour: str | None
    pack_quantity: int
    price_minor: int | None = Field(sa_column=Column(BigInteger))
    currency: str | None
    stock: int | None


class FrameRow(SQLModel, table=True):
    """A known frame; its lists run from front to rear."""

    __tablename__ = "frame"
    __table_args__: Any = (
        _has(
            "fastening_is_known",
            "fastening IS NULL OR fastening IN ('threaded_wall', 'two_piece', 'bolt_and_nut')",
        ),
        _has("bore_is_of_a_class", "bore_um IN (6000, 6300, 8000)"),
        _has("holes_are_known", "holes IN ('round', 'oval')"),
        _has("offset_has_oval_holes", "hole_offset_um IS NULL OR COALESCE(holes, '') = 'oval'"),
        *_positive("hole_offset_um", "inside_width_um", "head_wall_um", "far_wall_um", "wheels"),
        *_not_negative("recess_um"),
        _has("brake_is_at_a_wheel", "brake_position BETWEEN 1 AND wheels"),
        _has("brake_thread_has_position", "brake_thread IS NULL OR brake_position IS NOT NULL"),
    )

    code: str = Field(primary_key=True)
    name: str
    fastening: str | None
    bore_um: int | None
    holes: str | None
    hole_offset_um: int | None
    outside_widths_um: list[int] = Field(sa_column=Column(JSON, nullable=False))
    inside_width_um: int | None
    head_wall_um: int | None
    far_wall_um: int | None
    recess_um: int | None
    thread: str | None
    wall_material: str | None
    keyed_profile: str | None
    wheels: int
    axle_positions_um: list[int] = Field(sa_column=Column(JSON, nullable=False))
    brake_position: int | None
    brake_thread: str | None


class SleeveRow(SQLModel, table=True):
    """A full-length sleeve for thin axles."""

    __tablename__ = "sleeve"
    __table_args__: Any = (
        *_positive("inner_um", "outer_um", "length_um"),
        _has("sleeve_has_a_wall", "inner_um < outer_um"),
        *_priced(),
    )

    sku: str = Field(primary_key=True)
    gtin: str | None
    name: str
    inner_um: int
    outer_um: int
    length_um: int
    pack_quantity: int
    price_minor: int | None = Field(sa_column=Column(BigInteger))
    currency: str | None
    stock: int | None
