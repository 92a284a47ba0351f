"""The only place that queries and writes the catalogue's tables."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Insert
from sqlalchemy.dialects import postgresql, sqlite
from sqlmodel import Session, col, select, update

from service.catalogue.records import Record, Table, record_of, row_values
from service.store.tables import CatalogueRow

_CHUNK = 500


class CatalogueRepository:
    """The catalogue's tables in one session."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def revision(self) -> int:
        """The catalogue's revision: it moves by one with each write."""
        return self._session.exec(select(CatalogueRow.revision)).one()

    def records(self, table: Table) -> list[Record]:
        """All records of a table, in the order of their keys."""
        rows: Sequence[Any] = self._session.exec(select(table.row)).all()
        # Sorted here, since databases differ in how they collate text.
        return sorted((record_of(table, row) for row in rows), key=lambda r: str(getattr(r, table.key)))

    def put(self, table: Table, records: Iterable[Record]) -> None:
        """Add the records, or replace those that have the same key."""
        rows = [row_values(record) for record in records]
        for start in range(0, len(rows), _CHUNK):
            self._upsert(table, rows[start : start + _CHUNK])

    def move_revision(self) -> int:
        """Count one more write, and say which it is."""
        statement = update(CatalogueRow).values(revision=col(CatalogueRow.revision) + 1)
        self._session.connection().execute(statement)
        return self.revision()

    def _upsert(self, table: Table, rows: Sequence[dict[str, Any]]) -> None:
        insert = self._insert()(table.row)
        changed = {name: insert.excluded[name] for name in rows[0] if name != table.key}
        statement: Insert = insert.on_conflict_do_update(index_elements=[table.key], set_=changed)
        self._session.connection().execute(statement, list(rows))

    def _insert(self) -> Any:
        name = self._session.connection().dialect.name
        return postgresql.insert if name == "postgresql" else sqlite.insert
