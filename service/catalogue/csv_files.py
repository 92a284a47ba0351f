"""The catalogue's tables as CSV files: UTF-8, a header, commas, decimal points; empty cells are not known."""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Iterable, Iterator
from decimal import Decimal
from itertools import islice
from operator import attrgetter
from typing import Any, BinaryIO, TextIO

from pydantic import ValidationError

from schemas.base import WireModel
from schemas.problems import faults_of, shown, unknown_name
from service.catalogue.alike import AlikeRows
from service.catalogue.formulas import MARK, TEXTS, as_cell, from_cell
from service.catalogue.records import Entry, Record, RecordFaultsError, Table, record_json, rightly_spelled

_CHUNK = 500
_OF_NUMBERS = "0123456789.;"
_IS_TOLD_BY_SCHEMA = re.compile(r"[^_eE]*")
"""What a number may not contain is told by the schema, but for what it would take for a number."""


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
    faults: list[CellFault] = []
    rows = _rows(_lines(file, faults), faults)
    reading = _Reading(table, _header(table, next(rows, (1, []))[1]), faults)
    entries = reading.entries(rows)  # one by one: some hundred rows of cells do not stay in the cache
    while chunk := list(islice(entries, _CHUNK)):
        if not faults:
            yield chunk
    if faults:
        raise FileFaultsError(sorted(faults, key=attrgetter("row")))


class _Reading:
    """A file being read: its columns, the keys that were met, and the faults."""

    def __init__(self, table: Table, header: list[str], faults: list[CellFault]) -> None:
        self._table = table
        self._header = header
        self._numbers = [place for place, column in enumerate(header) if column in table.numbers]
        self._alike = AlikeRows(table, header)
        self._texts = [place for place, column in enumerate(header) if column in TEXTS]
        self._key = header.index(table.key)
        self._row_of_key: dict[str, int] = {}
        self._faults = faults

    def entries(self, rows: Iterable[tuple[int, list[str]]]) -> Iterator[Entry]:
        """The entries of these rows; those with faults are left out, and their faults kept."""
        for number, cells in rows:
            if (entry := self._entry(number, cells)) is not None:
                yield entry

    def _entry(self, number: int, cells: list[str]) -> Entry | None:
        if len(cells) != len(self._header):
            self._add(number, "", f"{len(cells)} cells", f"{len(self._header)} cells, as the header has")
            return None
        for place in self._texts:
            if cells[place].startswith(MARK):
                cells[place] = from_cell(cells[place])
        self._meet(number, cells[self._key].strip())
        return self._alike.entry(cells) or self._checked(number, cells)

    def _checked(self, number: int, cells: list[str]) -> Entry | None:
        """The entry after a full check of the row."""
        faults = len(self._faults)
        record = self._record(number, self._values(number, cells))
        if record is None or len(self._faults) > faults:
            return None
        try:
            record, row = rightly_spelled(self._table, record)
        except RecordFaultsError as error:
            for column, allowed in error.faults:
                self._add(number, column, str(getattr(record, column)), allowed)
            return None
        self._alike.learn(cells, record, row)
        return Entry(self._table.key_of(record), row, record_json(record))

    def _values(self, number: int, cells: list[str]) -> dict[str, str]:
        """The cells that are not empty, by column."""
        values = {c: text for c, cell in zip(self._header, cells, strict=True) if (text := cell.strip())}
        for place in self._numbers:
            odd = cells[place].strip(_OF_NUMBERS)
            if odd and not _IS_TOLD_BY_SCHEMA.fullmatch(odd):
                self._add(number, self._header[place], cells[place], "a number such as 36.4")
                values.pop(self._header[place])
        return values

    def _meet(self, number: int, key: str) -> None:
        """Note the key of a row, and that a file has each once."""
        if key and (first := self._row_of_key.setdefault(key, number)) != number:
            self._add(number, self._table.key, key, f"a {self._table.key} once; it is in row {first} already")

    def _record(self, number: int, values: dict[str, str]) -> Record | None:
        try:
            return self._table.record.model_validate(values)
        except ValidationError as error:
            for fault in faults_of(error, self._table.record):
                self._add(number, str(fault.path[0]), fault.found, fault.allowed)
            return None

    def _add(self, row: int, column: str, found: str | None, allowed: str) -> None:
        self._faults.append(_fault(row, column, found, allowed))


def write_csv(table: Table, records: Iterable[Record], out: TextIO) -> None:
    """Write the file of these records; reading it gives the same records."""
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.columns)
    writer.writerows([_cell(value) for _, value in record] for record in records)


def _lines(file: BinaryIO, faults: list[CellFault]) -> Iterator[str]:
    """The lines of a file; what is not UTF-8 is a fault of its line, and the lines go on."""
    for number, line in enumerate(file, start=1):
        if number == 1:
            line = line.removeprefix(codecs.BOM_UTF8)  # noqa: PLW2901 (the mark is no part of the line)
        try:
            yield line.decode()
        except UnicodeDecodeError as error:
            faults.append(_fault(number, "", f"byte 0x{line[error.start]:02x}", "text in UTF-8"))
            yield line.decode(errors="replace")


def _rows(lines: Iterable[str], faults: list[CellFault]) -> Iterator[tuple[int, list[str]]]:
    """The rows that are not empty, with the line that each ends on; a broken quote ends them."""
    reader = csv.reader(lines, strict=True)
    try:
        for cells in reader:
            if cells:
                yield reader.line_num, cells
    except csv.Error as error:
        faults.append(_fault(reader.line_num, "", str(error), "well-formed CSV"))


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
    return f"{value:f}" if isinstance(value, Decimal) else as_cell(str(value))
