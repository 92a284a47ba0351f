"""Translation between the catalogue's records, its table rows and the engine's values."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property, lru_cache
from operator import attrgetter
from typing import Any, NamedTuple

from schemas.parts import AxleRecord, FrameRecord, SleeveRecord
from service.catalogue.money import MoneyError, UnknownCurrencyError, from_minor_units, to_minor_units
from service.engine.codes import Fastening
from service.engine.constants import BEARING_BORE_MM, DEFAULT_LENGTH_TOLERANCE_MM
from service.engine.parts import Axle, Sleeve
from service.engine.threads import parse_thread
from service.engine.tolerances import shaft_deviations_um
from service.store.tables import AxleRow, FrameRow, SleeveRow

Record = AxleRecord | FrameRecord | SleeveRecord
Row = tuple[Any, ...]
"""The values of a table row, in the order of the record's columns."""
Columns = tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Table:
    """A table of the catalogue: its record, its row, and the column that is its key."""

    name: str
    record: type[AxleRecord | FrameRecord | SleeveRecord]
    row: type[AxleRow | FrameRow | SleeveRow]
    key: str
    groups: tuple[tuple[Columns, Columns], ...] = ()
    """Columns side by side, from the fourth to the last, and others that a check holds them against."""

    @property
    def sql(self) -> Any:
        """The SQL table."""
        return self.row.__table__  # type: ignore[union-attr]

    @cached_property
    def columns(self) -> tuple[str, ...]:
        """The columns of the import file, in the order of the export."""
        return tuple(self.record.model_fields)

    @cached_property
    def row_columns(self) -> tuple[str, ...]:
        """The columns of the table, in the same order: µm for mm, minor units for a price."""
        return tuple(_row_column(column) for column in self.columns)

    @cached_property
    def values_of(self) -> Callable[[Record], Row]:
        """Reads all columns of a record at once."""
        return attrgetter(*self.columns)

    def key_of(self, record: Record) -> str:
        """The record's key."""
        return str(getattr(record, self.key))

    @cached_property
    def lengths(self) -> tuple[int, ...]:
        """The places of the columns that are a length."""
        return tuple(i for i, c in enumerate(self.columns) if c.endswith("_mm") and c not in _LISTS)

    @cached_property
    def words(self) -> tuple[tuple[int, str], ...]:
        """The places and names of the columns whose word has one right spelling."""
        return tuple((i, c) for i, c in enumerate(self.columns) if c in _SPELLINGS)

    @cached_property
    def numbers(self) -> frozenset[str]:
        """The columns that are numbers."""
        others = {"pack_quantity", "price", "stock", "driven_heads", "wheels", "brake_position"}
        return frozenset(c for c in self.columns if c.endswith("_mm") or c in others)

    @cached_property
    def lists(self) -> tuple[int, ...]:
        """The places of the columns that are several lengths."""
        return tuple(i for i, c in enumerate(self.columns) if c in _LISTS)

    @cached_property
    def price(self) -> int:
        """The place of the price."""
        return self.columns.index("price")


def _row_column(column: str) -> str:
    if column.endswith("_mm"):
        return column.removesuffix("_mm") + "_um"
    return "price_minor" if column == "price" else column


def _between(record: type[AxleRecord | SleeveRecord], first: str, last: str) -> Columns:
    columns = tuple(record.model_fields)
    return columns[columns.index(first) : columns.index(last) + 1]


_TRADE: tuple[Columns, Columns] = (("price", "currency", "stock"), ())
TABLES = {
    table.name: table
    for table in (
        Table(
            name="axles",
            record=AxleRecord,
            row=AxleRow,
            key="sku",
            groups=(
                (_between(AxleRecord, "fastening", "nut_height_mm"), ()),
                (_between(AxleRecord, "drive", "pack_quantity"), ("fastening",)),
                _TRADE,
            ),
        ),
        Table(name="frames", record=FrameRecord, row=FrameRow, key="code"),
        Table(
            name="sleeves",
            record=SleeveRecord,
            row=SleeveRow,
            key="sku",
            groups=((_between(SleeveRecord, "inner_mm", "pack_quantity"), ()), _TRADE),
        ),
    )
}


class RecordFaultsError(ValueError):
    """Fields of a record that the table cannot hold, each with what is allowed."""

    def __init__(self, faults: list[tuple[str, str]]) -> None:
        super().__init__("; ".join(f"{column}: {allowed}" for column, allowed in faults))
        self.faults = faults


class Entry(NamedTuple):
    """A record that the table can hold, in its one right spelling: as a row, and as JSON."""

    key: str
    row: Row
    json: str


def record_json(record: Record, *, include: set[str] | None = None) -> str:
    """A record, or some fields of it, as it goes over the wire and into the history."""
    return record.model_dump_json(include=include, exclude_none=True)


def entry_of(table: Table, record: Record) -> Entry:
    """The entry for a record.

    Raises
    ------
    RecordFaultsError
        If the table cannot hold a value.
    """
    record, row = rightly_spelled(table, record)
    return Entry(table.key_of(record), row, record_json(record))


def rightly_spelled(table: Table, record: Record) -> tuple[Record, Row]:
    """The record and its row: mm become µm, a price its minor units, a thread its full designation.

    Raises
    ------
    RecordFaultsError
        If the table cannot hold a value.
    """
    values = list(table.values_of(record))
    well_written = _lengths_to_micrometres(table, values)
    faults = _words_spelled(table, values)
    if not isinstance(record, FrameRecord) and record.price is not None and record.currency is not None:
        values[table.price], digits_are_right, in_price = _minor(str(record.price), record.currency)
        well_written = well_written and digits_are_right
        faults += in_price
    if faults:
        raise RecordFaultsError(faults)
    row = tuple(values)
    if not well_written or any(values[place] != getattr(record, word) for place, word in table.words):
        record = record_of(table, dict(zip(table.row_columns, row, strict=True)))
    return record, row


def _lengths_to_micrometres(table: Table, values: list[Any]) -> bool:
    """Make mm whole micrometres, in place; whether they were written as such is returned."""
    well_written = True
    for place in table.lengths:
        if (length := values[place]) is not None:
            values[place], as_it_reads = _micrometres(length)
            well_written = well_written and as_it_reads
    for place in table.lists:
        parts = [_micrometres(length) for length in values[place]]
        values[place] = json.dumps([micrometres for micrometres, _ in parts])
        well_written = well_written and all(as_it_reads for _, as_it_reads in parts)
    return well_written


def _micrometres(length_mm: float) -> tuple[int, bool]:
    """The length in whole micrometres, and whether it reads back as it was written; -0 does not."""
    micrometres = round(length_mm * 1000)
    return micrometres, micrometres / 1000 == length_mm and (
        micrometres > 0 or math.copysign(1, length_mm) > 0
    )


def _words_spelled(table: Table, values: list[Any]) -> list[tuple[str, str]]:
    """Give words their one right spelling, in place; what cannot be is returned."""
    faults = []
    for place, column in table.words:
        if (word := values[place]) is not None:
            values[place], fault = _spelled(column, word)
            if fault is not None:
                faults.append((column, fault))
    return faults


def record_of(table: Table, row: Mapping[str, Any]) -> Record:
    """The record of a table row; the row is trusted, since the schemas let it in."""
    values: dict[str, Any] = {}
    for column in table.columns:
        if column.endswith("_mm"):
            values[column] = _millimetres(row[column.removesuffix("_mm") + "_um"])
        elif column == "price":
            minor, currency = row["price_minor"], row["currency"]
            values[column] = None if minor is None else from_minor_units(minor, currency)
        else:
            values[column] = row[column]
    return table.record.model_construct(**values)


def engine_axle(record: AxleRecord) -> Axle:
    """The engine's value for an axle; an offset that is not stated is none."""
    values = record.model_dump(
        exclude={"gtin", "name", "pack_quantity", "price", "currency", "thread", "brake_thread"}
    )
    values["fastening"] = Fastening(record.fastening)
    values["thread"] = parse_thread(record.thread) if record.thread else None
    values["brake_thread"] = parse_thread(record.brake_thread) if record.brake_thread else None
    values["offset_mm"] = record.offset_mm or 0.0
    values["length_tolerance_mm"] = record.length_tolerance_mm or DEFAULT_LENGTH_TOLERANCE_MM
    per_axle = None if record.price is None else float(record.price) / record.pack_quantity
    return Axle(price_per_axle=per_axle, **values)


def engine_sleeve(record: SleeveRecord) -> Sleeve:
    """The engine's value for a sleeve."""
    return Sleeve(
        sku=record.sku,
        name=record.name,
        inner_mm=record.inner_mm,
        outer_mm=record.outer_mm,
        length_mm=record.length_mm,
    )


def _millimetres(value: Any) -> Any:
    if isinstance(value, str):
        value = json.loads(value)
    if isinstance(value, list):
        return tuple(part / 1000 for part in value)
    return None if value is None else value / 1000


@lru_cache(maxsize=4096)
def _minor(price: str, currency: str) -> tuple[int, bool, tuple[tuple[str, str], ...]]:
    """The price in minor units, whether it has all digits of its currency, and what is wrong with it."""
    try:
        minor = to_minor_units(Decimal(price), currency)
    except UnknownCurrencyError as error:
        return 0, False, (("currency", str(error)),)
    except MoneyError as error:
        return 0, False, (("price", str(error)),)
    return minor, str(from_minor_units(minor, currency)) == price, ()


@lru_cache(maxsize=4096)
def _spelled(column: str, word: str) -> tuple[str, str | None]:
    """The one right spelling of a word, or what is wrong with it."""
    try:
        return _SPELLINGS[column](word), None
    except ValueError as error:
        return word, str(error)


def _designation(word: str) -> str:
    return parse_thread(word).designation


def _tolerance_class(word: str) -> str:
    shaft_deviations_um(BEARING_BORE_MM, word)
    return word


_LISTS = ("outside_widths_mm", "axle_positions_mm")
_SPELLINGS: dict[str, Callable[[str], str]] = {
    "thread": _designation,
    "brake_thread": _designation,
    "shaft_tolerance": _tolerance_class,
}
