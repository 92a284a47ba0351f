"""The catalogue's tables as CSV files: UTF-8, a header, commas, decimal points; empty cells are not known."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from decimal import Decimal
from itertools import islice
from operator import attrgetter
from typing import Any, BinaryIO, TextIO

from pydantic import TypeAdapter, ValidationError

from schemas.base import WireModel
from schemas.problems import faults_of, shown, unknown_name
from service.catalogue.records import Entry, Record, RecordFaultError, Table, entry_of

_CHUNK = 500


class CellFault(WireModel):
    """A fault of an import file; row 1 is the header."""

    row: int
    column: str
    found: str | None
    allowed: str


class FileFaultsError(Exception):
    """A file with faults: all of them."""

    def __init__(self, faults: list[CellFault]) -> None:
        super().__init__(f"{len(faults)} faults")
        self.faults = faults


def read_csv(table: Table, file: BinaryIO) -> Iterator[list[Entry]]:
    """The records of a file, some hundred at a time.

    Raises
    ------
    FileFaultsError
        After the last record, if anything in the file is wrong; it carries every fault.
    """
    text = io.TextIOWrapper(file, encoding="utf-8-sig", newline="")
    try:
        rows = _rows(text)
        reading = _Reading(table, _header(table, next(rows, (1, []))[1]))
        while chunk := list(islice(rows, _CHUNK)):
            entries = reading.entries(chunk)
            if not reading.faults:
                yield entries
        if reading.faults:
            raise FileFaultsError(sorted(reading.faults, key=attrgetter("row")))
    finally:
        text.detach()  # the file is its opener's to close


class _Reading:
    """A file being read: the keys that were met, and the faults."""

    def __init__(self, table: Table, header: list[str]) -> None:
        self._table = table
        self._header = header
        self._many: TypeAdapter[list[Record]] = TypeAdapter(list[table.record])  # type: ignore[name-defined]
        self._row_of_key: dict[str, int] = {}
        self.faults: list[CellFault] = []

    def entries(self, rows: list[tuple[int, list[str]]]) -> list[Entry]:
        """The entries of these rows; those with faults are left out, and their faults kept."""
        numbered = [(number, self._values(cells)) for number, cells in rows if self._has_width(number, cells)]
        try:
            records = self._many.validate_python([values for _, values in numbered])
        except ValidationError:
            # One by one, so that each fault can be told with its row.
            found = [self._one(number, values) for number, values in numbered]
        else:
            found = [self._entry(number, r) for (number, _), r in zip(numbered, records, strict=True)]
        return [entry for entry in found if entry is not None]

    def _has_width(self, number: int, cells: list[str]) -> bool:
        if len(cells) == len(self._header):
            return True
        allowed = f"{len(self._header)} cells, as the header has"
        self.faults.append(_fault(number, "", f"{len(cells)} cells", allowed))
        return False

    def _values(self, cells: list[str]) -> dict[str, str]:
        return {
            column: text for column, cell in zip(self._header, cells, strict=True) if (text := cell.strip())
        }

    def _one(self, number: int, values: dict[str, str]) -> Entry | None:
        try:
            record = self._table.record.model_validate(values)
        except ValidationError as error:
            faults = faults_of(error, self._table.record)
            self.faults += [_fault(number, str(f.path[0]), f.found, f.allowed) for f in faults]
            return None
        return self._entry(number, record)

    def _entry(self, number: int, record: Record) -> Entry | None:
        """The entry, if the table can hold it and the file has its key once."""
        key = self._table.key_of(record)
        first = self._row_of_key.setdefault(key, number)
        if first != number:
            allowed = f"a {self._table.key} once; it is in row {first} already"
            self.faults.append(_fault(number, self._table.key, key, allowed))
        try:
            return entry_of(self._table, record)
        except RecordFaultError as error:
            found = str(getattr(record, error.column))
            self.faults.append(_fault(number, error.column, found, str(error)))
            return None


def write_csv(table: Table, records: Iterable[Record], out: TextIO) -> None:
    """Write the file of these records; reading it gives the same records."""
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.columns)
    writer.writerows([_cell(value) for _, value in record] for record in records)


def _rows(lines: Iterable[str]) -> Iterator[tuple[int, list[str]]]:
    """The rows that are not empty, with the line that each ends on."""
    reader = csv.reader(lines, strict=True)
    try:
        for cells in reader:
            if cells:
                yield reader.line_num, cells
    except csv.Error as error:
        raise FileFaultsError([_fault(reader.line_num, "", str(error), "well-formed CSV")]) from None
    except UnicodeDecodeError as error:
        found = f"byte 0x{error.object[error.start]:02x} after this row"
        raise FileFaultsError([_fault(reader.line_num, "", found, "text in UTF-8")]) from None


def _header(table: Table, cells: list[str]) -> list[str]:
    """The header's columns."""
    header = [name.strip() for name in cells]
    faults = [
        _fault(1, name, name, unknown_name(name, table.columns))
        for name in header
        if name not in table.columns
    ]
    faults += [
        _fault(1, name, name, "a column once") for place, name in enumerate(header) if name in header[:place]
    ]
    required = [name for name, field in table.record.model_fields.items() if field.is_required()]
    faults += [_fault(1, name, None, "this column is required") for name in required if name not in header]
    if faults:
        raise FileFaultsError(faults)
    return header


def _fault(row: int, column: str, found: str | None, allowed: str) -> CellFault:
    return CellFault(row=row, column=column, found=shown(found), allowed=allowed)


def _cell(value: Any) -> str:
    """A value as it stands in a cell; numbers in plain decimals."""
    if value is None:
        return ""
    if isinstance(value, tuple):
        return ";".join(_cell(part) for part in value)
    if isinstance(value, float):
        return f"{value:.3f}".rstrip("0").rstrip(".")
    return f"{value:f}" if isinstance(value, Decimal) else str(value)
