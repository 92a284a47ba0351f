"""Translation between the catalogue's records, its table rows and the engine's values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from schemas.parts import AxleRecord, FrameRecord, SleeveRecord
from service.catalogue.money import from_minor_units, to_minor_units
from service.engine.codes import Fastening
from service.engine.constants import DEFAULT_LENGTH_TOLERANCE_MM
from service.engine.parts import Axle, Sleeve
from service.engine.threads import parse_thread
from service.store.tables import AxleRow, FrameRow, SleeveRow

Record = AxleRecord | FrameRecord | SleeveRecord
_THREADS = ("thread", "brake_thread")


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table of the catalogue: its record, its row, and the column that is its key."""

    name: str
    record: type[AxleRecord | FrameRecord | SleeveRecord]
    row: type[AxleRow | FrameRow | SleeveRow]
    key: str

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns of the import file, in the order of the export."""
        return tuple(self.record.model_fields)


TABLES = {
    table.name: table
    for table in (
        Table(name="axles", record=AxleRecord, row=AxleRow, key="sku"),
        Table(name="frames", record=FrameRecord, row=FrameRow, key="code"),
        Table(name="sleeves", record=SleeveRecord, row=SleeveRow, key="sku"),
    )
}


class RecordFaultError(ValueError):
    """A field of a record that the table cannot hold; the message says what is allowed."""

    def __init__(self, column: str, allowed: str) -> None:
        super().__init__(allowed)
        self.column = column


def row_values(record: Record) -> dict[str, Any]:
    """The columns of the table row for a record: mm become µm, a price its minor units."""
    values: dict[str, Any] = {}
    for column, value in record:
        if column.endswith("_mm"):
            values[column.removesuffix("_mm") + "_um"] = _micrometres(value)
        elif column == "price":
            values["price_minor"] = _minor(record)
        elif column in _THREADS and value is not None:
            values[column] = _designation(column, value)
        else:
            values[column] = value
    return values


def record_of(table: Table, row: AxleRow | FrameRow | SleeveRow) -> Record:
    """The record of a table row; the row is trusted, since the schemas let it in."""
    values: dict[str, Any] = {}
    for column in table.columns:
        if column.endswith("_mm"):
            values[column] = _millimetres(getattr(row, column.removesuffix("_mm") + "_um"))
        elif column == "price":
            minor, currency = getattr(row, "price_minor", None), getattr(row, "currency", None)
            values[column] = None if minor is None or currency is None else from_minor_units(minor, currency)
        else:
            values[column] = getattr(row, column)
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


def _micrometres(value: Any) -> Any:
    if isinstance(value, tuple):
        return [round(part * 1000) for part in value]
    return None if value is None else round(value * 1000)


def _millimetres(value: Any) -> Any:
    if isinstance(value, list):
        return tuple(part / 1000 for part in value)
    return None if value is None else value / 1000


def _minor(record: Record) -> int | None:
    if isinstance(record, FrameRecord) or record.price is None or record.currency is None:
        return None
    try:
        return to_minor_units(record.price, record.currency)
    except ValueError as error:
        raise RecordFaultError("currency" if "code" in str(error) else "price", str(error)) from None


def _designation(column: str, value: str) -> str:
    try:
        return parse_thread(value).designation
    except ValueError as error:
        raise RecordFaultError(column, str(error)) from None
