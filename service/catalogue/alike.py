"""Rows of an import file that share their cells share the checks of them.

A catalogue has many parts and few lengths, threads, colours and prices. The columns of a row fall into
groups that no check reaches across; what the full check has let in once in a group, it lets in again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from json import JSONEncoder
from operator import itemgetter
from typing import Any, NamedTuple

from pydantic import TypeAdapter, ValidationError

from schemas.fields import Gtin, Sku, Text
from service.catalogue.records import Entry, Record, Row, Table, record_json

_OWN = ("sku", "gtin", "name")
_OWN_CELLS: TypeAdapter[tuple[str, str | None, str]] = TypeAdapter(tuple[Sku, Gtin | None, Text])
_as_json = JSONEncoder(ensure_ascii=False).encode
_MOST = 10_000
"""So many different cells of a group are remembered: a bound for a file of nothing but differences."""

Cells = Sequence[str]


class _Part(NamedTuple):
    """What the cells of a group become: their values in the row, their fields in the JSON."""

    row: Row
    json: str


class _Group:
    """Columns side by side that are checked together, with others that they are checked against."""

    def __init__(self, table: Table, columns: Sequence[str], against: Sequence[str], header: Cells) -> None:
        self._columns = set(columns)
        first = table.columns.index(columns[0])
        self._row = slice(first, first + len(columns))
        self.cells_of = _getter([*columns, *against], header)
        self.known: dict[Any, _Part] = {}

    def learn(self, cells: Cells, record: Record, row: Row) -> None:
        """Keep what has become of these cells, which a full check has let in."""
        if len(self.known) < _MOST:
            fields = record_json(record, include=self._columns)[1:-1]
            self.known[self.cells_of(cells)] = _Part(row[self._row], f",{fields}" if fields else "")


class AlikeRows:
    """Makes entries of rows whose cells are known but for those that each part has of its own."""

    def __init__(self, table: Table, header: Cells) -> None:
        self._own = _getter(_OWN, header)
        self._has_own = bool(table.groups) and all(column in header for column in _OWN)
        self._groups = [_Group(table, columns, against, header) for columns, against in table.groups]
        self._lookups = [(group.cells_of, group.known) for group in self._groups]

    def learn(self, cells: Cells, record: Record, row: Row) -> None:
        """Keep what has become of the cells of a row that the full check has let in."""
        for group in self._groups:
            group.learn(cells, record, row)

    def entry(self, cells: Cells) -> Entry | None:
        """The entry of a row whose cells are known; None if they are not, or may be wrong."""
        if not self._has_own:
            return None
        sku, gtin, name = self._own(cells)
        try:
            row: Row = _OWN_CELLS.validate_python((sku.strip(), gtin.strip() or None, name.strip()))
            sku, gtin, name = row
            barcode = f',"gtin":"{gtin}"' if gtin else ""
            json = f'{{"sku":"{sku}"{barcode},"name":{_as_json(name)}'
            for cells_of, known in self._lookups:
                values, fields = known[cells_of(cells)]
                row += values
                json += fields
        except (KeyError, ValidationError):
            return None  # the full check knows, or tells what is wrong
        return Entry(sku, row, json + "}")


def _getter(columns: Sequence[str], header: Cells) -> Callable[[Cells], Any]:
    """Takes the cells of these columns out of a row; the file need not have them all."""
    places = [header.index(column) for column in columns if column in header]
    return itemgetter(*places) if places else lambda _cells: None
