"""The catalogue's tables as CSV files: UTF-8, a header, commas, decimal points; empty cells are not known."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import Any

from pydantic import ValidationError

from schemas.base import WireModel
from schemas.problems import faults_of, shown, unknown_name
from service.catalogue.records import Record, RecordFaultError, Table, row_values


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


def read_csv(table: Table, data: bytes) -> list[Record]:
    """The records of a file.

    Raises
    ------
    FileFaultsError
        If anything in the file is wrong; it carries every fault.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileFaultsError([_fault(1, "", f"byte {error.start}", "text in UTF-8")]) from None
    rows = _rows(text)
    header, faults = _header(table, next(rows, (1, []))[1])
    records: list[Record] = []
    first_row_of: dict[str, int] = {}
    for number, cells in rows:
        if len(cells) != len(header):
            allowed = f"{len(header)} cells, as the header has"
            faults.append(_fault(number, "", f"{len(cells)} cells", allowed))
            continue
        record, found = _record(table, number, dict(zip(header, cells, strict=True)))
        faults.extend(found)
        if record is None:
            continue
        key = str(getattr(record, table.key))
        if key in first_row_of:
            allowed = f"a {table.key} once; it is in row {first_row_of[key]} already"
            faults.append(_fault(number, table.key, key, allowed))
        first_row_of.setdefault(key, number)
        records.append(record)
    if faults:
        raise FileFaultsError(faults)
    return records


def write_csv(table: Table, records: Iterable[Record]) -> str:
    """The file of these records; reading it gives the same records."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.columns)
    writer.writerows([_cell(value) for _, value in record] for record in records)
    return out.getvalue()


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """The rows that are not empty, with the line that each ends on."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        for cells in reader:
            if cells:
                yield reader.line_num, cells
    except csv.Error as error:
        raise FileFaultsError([_fault(reader.line_num, "", str(error), "well-formed CSV")]) from None


def _header(table: Table, header: list[str]) -> tuple[list[str], list[CellFault]]:
    """The header's columns, and what is wrong with them."""
    header = [name.strip() for name in header]
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
    return header, faults


def _record(table: Table, row: int, cells: dict[str, str]) -> tuple[Record | None, list[CellFault]]:
    """The record of a row, or what is wrong with it."""
    values = {column: cell.strip() for column, cell in cells.items() if cell.strip()}
    try:
        record = table.record.model_validate(values)
        row_values(record)
    except ValidationError as error:
        faults = faults_of(error, table.record)
        return None, [_fault(row, str(f.path[0]), f.found, f.allowed) for f in faults]
    except RecordFaultError as error:
        return None, [_fault(row, error.column, cells.get(error.column), str(error))]
    return record, []


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
