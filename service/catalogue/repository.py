"""The only place that queries and writes the catalogue's tables."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple, cast

from sqlalchemy import delete, func, insert
from sqlmodel import Session, col, select, tuple_, update

from service.catalogue.records import Record, Row, Table, record_of
from service.store.history import ChangeRow, WriteRow
from service.store.notices import give_notice
from service.store.tables import CatalogueRow

_CHUNK = 500
_SOME_HUNDRED = 256
_PORTION = 5000
"""So many rows a reader takes from SQLite at once: until it is done, no writer can commit."""
_CHANGE_COLUMNS = ("revision", "ordinal", "table_name", "record_key", "record_before", "record_after")


class Change(NamedTuple):
    """One record that a write changed, as JSON before and after; None where there is none."""

    table: str
    key: str
    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedChange:
    """A change with the write that made it, and its place in it."""

    revision: int
    ordinal: int
    at: str
    actor: str
    action: str
    change: Change


class CatalogueRepository:
    """The catalogue's tables in one session."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def revision(self) -> int:
        """The catalogue's revision: it moves by one with each write."""
        return self._session.exec(select(CatalogueRow.revision)).one()

    def records(self, table: Table) -> Iterator[Record]:
        """All records of a table, in the order of their keys."""
        key = table.sql.c[table.key]
        if self._is_postgresql:
            key = key.collate("C")  # by code points, as SQLite and Python sort
        return self._read(table, select(table.sql).order_by(key))

    def rows_after(
        self, table: Table, columns: Sequence[str], key: str
    ) -> list[Sequence[Row]] | Iterator[Sequence[Row]]:
        """Rows in the order of their keys, some hundred at a time, from behind this key on.

        PostgreSQL streams them all, as readers and writers do not wait for each other; else it is a list
        of a portion of them, empty at the end.
        """
        place = table.sql.c[table.key]
        if self._is_postgresql:
            place = place.collate("C")
        query = select(*(table.sql.c[column] for column in columns)).where(place > key).order_by(place)
        if not self._is_postgresql:
            query = query.limit(_PORTION)
        result = self._session.connection().execute(query, execution_options={"yield_per": _SOME_HUNDRED})
        rows = cast("Iterator[Sequence[Row]]", result.partitions())
        return rows if self._is_postgresql else list(rows)

    def find(self, table: Table, keys: Collection[str]) -> dict[str, Record]:
        """The records that these keys have."""
        places = ", ".join([self._place] * len(keys))
        columns = ", ".join(table.row_columns)
        query = f"SELECT {columns} FROM {table.sql.name} WHERE {table.key} IN ({places})"  # noqa: S608
        found = self._session.connection().exec_driver_sql(query, tuple(keys)).mappings()
        records = (record_of(table, cast("Mapping[str, Any]", row)) for row in found)
        return {table.key_of(record): record for record in records}

    def is_empty(self, table: Table) -> bool:
        """Whether the table has no rows."""
        return self._session.connection().execute(select(table.sql).limit(1)).first() is None

    def add(self, table: Table, rows: Sequence[Row]) -> None:
        """Add rows whose keys are new."""
        self._insert_many(table.sql.name, table.row_columns, rows)

    def put(self, table: Table, rows: Sequence[Row]) -> None:
        """Add the rows, or replace those that have the same key."""
        columns = table.row_columns
        changed = ", ".join(f"{name} = excluded.{name}" for name in columns if name != table.key)
        self._insert_many(
            table.sql.name, columns, rows, f" ON CONFLICT ({table.key}) DO UPDATE SET {changed}"
        )

    def remove(self, table: Table, key: str) -> None:
        """Remove the record of this key."""
        columns = table.sql
        self._session.connection().execute(delete(columns).where(columns.c[table.key] == key))

    def begin_write(self, *, at: str, actor: str, action: str) -> int:
        """Count one more write, and record who makes it; the new revision is returned."""
        statement = update(CatalogueRow).values(revision=col(CatalogueRow.revision) + 1)
        self._session.connection().execute(statement)
        revision = self.revision()
        row = {"revision": revision, "at": at, "actor": actor, "action": action}
        self._session.connection().execute(insert(WriteRow), [row])
        give_notice(self._session)
        return revision

    def record_changes(self, revision: int, first_ordinal: int, changes: Sequence[Change]) -> None:
        """Record what a write has changed."""
        rows = [
            (revision, ordinal, change.table, change.key, change.before, change.after)
            for ordinal, change in enumerate(changes, start=first_ordinal)
        ]
        self._insert_many("catalogue_change", _CHANGE_COLUMNS, rows)

    def has_recorded_all_since(self, revision: int) -> bool:
        """Whether each write after this revision is recorded."""
        recorded = select(func.count()).select_from(WriteRow).where(col(WriteRow.revision) > revision)
        return self._session.exec(recorded).one() == self.revision() - revision

    def written_at(self, revision: int) -> str | None:
        """When the write was made that made this revision; None where that is not recorded."""
        row = self._session.get(WriteRow, revision)
        return None if row is None else row.at

    def changes_after(self, revision: int, ordinal: int, *, limit: int) -> list[RecordedChange]:
        """The changes behind this place in the record, in order."""
        place = tuple_(col(ChangeRow.revision), col(ChangeRow.ordinal))
        query = (
            select(ChangeRow, WriteRow)
            .join(WriteRow, col(WriteRow.revision) == col(ChangeRow.revision))
            .where(place > tuple_(revision, ordinal))
            .order_by(col(ChangeRow.revision), col(ChangeRow.ordinal))
            .limit(limit)
        )
        return [
            RecordedChange(
                revision=change.revision,
                ordinal=change.ordinal,
                at=write.at,
                actor=write.actor,
                action=write.action,
                change=Change(
                    table=change.table_name,
                    key=change.record_key,
                    before=change.record_before,
                    after=change.record_after,
                ),
            )
            for change, write in self._session.exec(query)
        ]

    def _insert_many(
        self, table: str, columns: Sequence[str], rows: Sequence[Row], conflict: str = ""
    ) -> None:
        """Insert by the driver itself: the names are ours, and an import has many rows."""
        if not rows:
            return
        places = ", ".join([self._place] * len(columns))
        statement = f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({places}){conflict}"  # noqa: S608
        self._session.connection().exec_driver_sql(statement, list(rows))

    @property
    def _place(self) -> str:
        """How the driver marks the place of a value."""
        return "%s" if self._is_postgresql else "?"

    @property
    def _is_postgresql(self) -> bool:
        return self._session.connection().dialect.name == "postgresql"

    def _read(self, table: Table, query: Any) -> Iterator[Record]:
        result = self._session.connection().execute(query, execution_options={"yield_per": _CHUNK})
        return (record_of(table, cast("Mapping[str, Any]", row)) for row in result.mappings())
