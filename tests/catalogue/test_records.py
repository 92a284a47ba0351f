"""Whatever a record holds, it survives the way from a file into its row, out again and into a file."""

import csv
import io
import re
from decimal import Decimal
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.codes import FasteningCode, HolesCode, MaterialCode
from schemas.parts import AxleRecord, FrameRecord, SleeveRecord
from service.catalogue.snapshot import read_snapshot

NUMBERS = re.compile(r"\d+(\.\d+)?(;\d+(\.\d+)?)*", re.ASCII)
# Digits after the point, by ISO 4217.
CURRENCY_DIGITS = {"EUR": 2, "JPY": 0, "KWD": 3}
THREADS = st.sampled_from(["M4x0.7", "M5x0.8", "M6x1", "M7x1", "M8x1.25", "M8x1"])
CLASSES_MM = st.sampled_from([6.0, 6.3, 8.0])
KEYS = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}", fullmatch=True)
WORDS = st.from_regex(r"[a-z][a-z0-9_]{0,31}", fullmatch=True)
# What can be shown, and does not begin or end with the spaces that a cell loses.
NAMES = st.text(min_size=1, max_size=120).filter(lambda text: text.isprintable() and text == text.strip())


def maybe(strategy):
    return st.none() | strategy


def lengths(least_um=1, most_um=200_000):
    """Whole micrometres, as millimetres."""
    return st.integers(least_um, most_um).map(lambda um: um / 1000)


@st.composite
def prices(draw):
    currency = draw(maybe(st.sampled_from(sorted(CURRENCY_DIGITS))))
    if currency is None:
        return {}
    minor = draw(st.integers(0, 10**6))
    return {"currency": currency, "price": Decimal(minor).scaleb(-CURRENCY_DIGITS[currency])}


@st.composite
def axles(draw):
    fastening = draw(st.sampled_from(get_args(FasteningCode)))
    grip = sorted(draw(st.tuples(lengths(), lengths())))
    length = draw(maybe(lengths(1000)))
    barrel = draw(maybe(lengths(51_000)))
    brake_threads = THREADS if fastening == "threaded_wall" else st.nothing()
    return AxleRecord(
        sku=draw(KEYS),
        gtin=draw(maybe(st.from_regex(r"[0-9]{13}", fullmatch=True))),
        name=draw(NAMES),
        fastening=fastening,
        shaft_mm=draw(maybe(CLASSES_MM)),
        shaft_tolerance=draw(maybe(st.sampled_from(["h6", "h9", "h11", "f9", "js6"]))),
        length_mm=length,
        length_tolerance_mm=draw(maybe(lengths())),
        grip_min_mm=draw(st.sampled_from([None, grip[0]])),
        grip_max_mm=draw(st.sampled_from([None, grip[1]])),
        barrel_mm=barrel,
        barrel_mouth_mm=draw(maybe(lengths(0, 10_000))),
        barrel_thread_mm=draw(maybe(lengths(1, 40_000))),
        screw_mm=draw(maybe(lengths())),
        thread=draw(maybe(THREADS)),
        thread_length_mm=draw(maybe(lengths(1, 1000))),
        nut_height_mm=draw(maybe(lengths())),
        drive=draw(maybe(st.sampled_from(["hexagon_4", "hexalobular_25", "cross_h2", "slot"]))),
        driven_heads=draw(maybe(st.sampled_from([1, 2]))),
        keyed_profile=draw(maybe(WORDS)),
        offset_mm=draw(maybe(lengths(0))),
        brake_thread=draw(maybe(brake_threads)),
        material=draw(maybe(st.sampled_from(get_args(MaterialCode)))),
        colour=draw(maybe(WORDS)),
        pack_quantity=draw(st.integers(1, 1000)),
        stock=draw(maybe(st.integers(0, 10**9))),
        **draw(prices()),
    )


@st.composite
def frames(draw):
    wheels = draw(st.integers(1, 12))
    holes = draw(maybe(st.sampled_from(get_args(HolesCode))))
    brake_position = draw(maybe(st.integers(1, wheels)))
    positions = st.lists(st.integers(0, 10**6), min_size=wheels, max_size=wheels, unique=True)
    return FrameRecord(
        code=draw(KEYS),
        name=draw(NAMES),
        fastening=draw(maybe(st.sampled_from(get_args(FasteningCode)))),
        bore_mm=draw(maybe(CLASSES_MM)),
        holes=holes,
        hole_offset_mm=draw(maybe(lengths())) if holes == "oval" else None,
        outside_widths_mm=draw(
            st.lists(lengths(2), min_size=1, max_size=1)
            | st.lists(lengths(2), min_size=wheels, max_size=wheels)
        ),
        far_wall_mm=draw(maybe(st.just(0.001))),  # less than any outside width but the least
        recess_mm=draw(maybe(lengths(0))),
        thread=draw(maybe(THREADS)),
        wall_material=draw(maybe(st.sampled_from(get_args(MaterialCode)))),
        keyed_profile=draw(maybe(WORDS)),
        wheels=wheels,
        axle_positions_mm=[um / 1000 for um in sorted(draw(st.just([]) | positions))],
        brake_position=brake_position,
        brake_thread=draw(maybe(THREADS)) if brake_position else None,
    )


@st.composite
def sleeves(draw):
    inner, outer = sorted(draw(st.sets(st.integers(1, 200_000), min_size=2, max_size=2)))
    return SleeveRecord(
        sku=draw(KEYS),
        name=draw(NAMES),
        inner_mm=inner / 1000,
        outer_mm=outer / 1000,
        length_mm=draw(lengths()),
        pack_quantity=draw(st.integers(1, 1000)),
        stock=draw(maybe(st.integers(0, 10**9))),
        **draw(prices()),
    )


def cell_of(value):
    """A value as a spreadsheet has it."""
    if isinstance(value, tuple):
        return ";".join(str(part) for part in value)
    return "" if value is None else f"{value:f}" if isinstance(value, Decimal) else str(value)


def file_of(records):
    """The records as a file, written without the service."""
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, list(type(records[0]).model_fields))
    writer.writeheader()
    writer.writerows({column: cell_of(value) for column, value in record} for record in records)
    return out.getvalue()


def cells_of(written, keys):
    """The rows of these keys in a file; a number, or several, by its value."""
    rows = csv.reader(io.StringIO(written, newline=""))
    return {row[0]: [by_value(cell) for cell in row] for row in rows if row[0] in keys}


def by_value(cell):
    cell = cell.removeprefix("'")  # a text like a formula has one in the file: test_csv_formulas.py
    return [float(part) for part in cell.split(";")] if NUMBERS.fullmatch(cell) else [cell]


@pytest.mark.parametrize(
    ("table", "kind", "key"),
    [("axles", axles(), "sku"), ("frames", frames(), "code"), ("sleeves", sleeves(), "sku")],
    ids=["axles", "frames", "sleeves"],
)
def test_records_survive(database, import_csv, export_csv, table, kind, key):
    @settings(max_examples=20)
    @given(st.lists(kind, min_size=1, max_size=3, unique_by=lambda record: getattr(record, key)))
    def survive(records):
        written = file_of(records)
        import_csv(database, table, written)
        held = getattr(read_snapshot(database), table)
        keys = {getattr(record, key): record for record in records}
        assert {k: held[k].model_dump() for k in keys} == {k: r.model_dump() for k, r in keys.items()}
        assert cells_of(export_csv(database, table), keys) == cells_of(written, keys)

    survive()
