"""Writes of the catalogue: each is one transaction, moves the revision by one and records what it changed."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime

from sqlmodel import Session

from schemas.problems import FaultOfField, shown
from service.catalogue.records import Entry, Record, RecordFaultsError, Table, entry_of, record_json
from service.catalogue.repository import CatalogueRepository, Change
from service.errors import InvalidRequestError, NotInCatalogueError, PreconditionFailedError
from service.store.database import Database

MergePatch = Callable[[Record], Record]
"""Makes the changed record of the one that is there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Precondition:
    """Which state of a record a write means: one of these entity tags, any, or that there is none."""

    tags: frozenset[str] = frozenset()
    any_state: bool = False
    absent: bool = False

    def require(self, record: Record | None) -> None:
        """Refuse a record in another state.

        Raises
        ------
        PreconditionFailedError
            If the record has moved, is gone, or exists although it should not.
        """
        if self.absent:
            if record is not None:
                raise PreconditionFailedError("There is a record with this key already.")
        elif record is None:
            raise PreconditionFailedError("There is no record with this key.")
        elif not self.any_state and entity_tag(record) not in self.tags:
            raise PreconditionFailedError("The record has changed since it was read; read it again.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """What a write made: the record, None after a removal, and the catalogue's revision."""

    record: Record | None
    revision: int
    created: bool = False


class CatalogueWrite:
    """One write under way: what is put and removed through it is recorded with it."""

    def __init__(self, session: Session, *, actor: str, action: str) -> None:
        self.session = session
        self._repository = CatalogueRepository(session)
        at = datetime.now(UTC).isoformat(timespec="milliseconds")
        self.revision = self._repository.begin_write(at=at, actor=actor, action=action)
        self._recorded = 0

    def find(self, table: Table, key: str) -> Record | None:
        """The record of this key, as it is within this write."""
        return self._repository.find(table, [key]).get(key)

    def has_none(self, table: Table) -> bool:
        """Whether there are no records in the table."""
        return self._repository.is_empty(table)

    def add(self, table: Table, entries: Sequence[Entry]) -> None:
        """Add records whose keys are new; nothing is looked for."""
        self._repository.add(table, [entry.row for entry in entries])
        self._record([Change(table.name, key, None, json) for key, _, json in entries])

    def put(self, table: Table, entries: Sequence[Entry]) -> None:
        """Add the records, or replace those with the same key; one that stays the same is no change."""
        keyed = {entry.key: entry for entry in entries}
        before = {key: record_json(r) for key, r in self._repository.find(table, keyed.keys()).items()}
        changed = [entry for key, entry in keyed.items() if before.get(key) != entry.json]
        self._repository.put(table, [entry.row for entry in changed])
        self._record([Change(table.name, key, before.get(key), json) for key, _, json in changed])

    def remove(self, table: Table, record: Record) -> None:
        """Remove a record."""
        key = table.key_of(record)
        self._repository.remove(table, key)
        self._record([Change(table.name, key, record_json(record), None)])

    def _record(self, changes: Sequence[Change]) -> None:
        self._repository.record_changes(self.revision, self._recorded, changes)
        self._recorded += len(changes)


@contextmanager
def catalogue_write(database: Database, *, actor: str, action: str) -> Iterator[CatalogueWrite]:
    """A write in one transaction; on any error nothing of it stays, not even its revision."""
    with database.writing() as session:
        yield CatalogueWrite(session, actor=actor, action=action)


def put_record(
    database: Database, table: Table, record: Record, *, precondition: Precondition, actor: str
) -> Written:
    """Put a record in the place of the one with its key, or add it.

    Raises
    ------
    PreconditionFailedError
        If the record there is not in the state that is meant.
    """
    entry = _entry_of(table, record)
    with catalogue_write(database, actor=actor, action="put") as write:
        before = write.find(table, table.key_of(record))
        precondition.require(before)
        write.put(table, [entry])
        return Written(record=write.find(table, entry.key), revision=write.revision, created=before is None)


def patch_record(
    database: Database,
    table: Table,
    key: str,
    merge: MergePatch,
    *,
    precondition: Precondition,
    actor: str,
) -> Written:
    """Change some fields of a record.

    Raises
    ------
    NotInCatalogueError
        If there is no such record.
    PreconditionFailedError
        If it is not in the state that is meant.
    """
    with catalogue_write(database, actor=actor, action="patch") as write:
        before = _existing(write, table, key)
        precondition.require(before)
        entry = _entry_of(table, merge(before))
        write.put(table, [entry])
        return Written(record=write.find(table, key), revision=write.revision)


def remove_record(
    database: Database, table: Table, key: str, *, precondition: Precondition, actor: str
) -> Written:
    """Remove a record.

    Raises
    ------
    NotInCatalogueError
        If there is no such record.
    PreconditionFailedError
        If it is not in the state that is meant.
    """
    with catalogue_write(database, actor=actor, action="delete") as write:
        before = _existing(write, table, key)
        precondition.require(before)
        write.remove(table, before)
        return Written(record=None, revision=write.revision)


def _entry_of(table: Table, record: Record) -> Entry:
    """The entry for a record, or an error that tells every field that the table cannot hold."""
    try:
        return entry_of(table, record)
    except RecordFaultsError as error:
        faults = [
            FaultOfField(path=(column,), found=shown(getattr(record, column)), allowed=allowed)
            for column, allowed in error.faults
        ]
        raise InvalidRequestError("The table cannot hold the record as it is.", faults) from None


def _existing(write: CatalogueWrite, table: Table, key: str) -> Record:
    record = write.find(table, key) if "\0" not in key else None  # which no text of PostgreSQL can hold
    if record is None:
        fault = FaultOfField(
            path=(table.key,), found=shown(key), allowed=f"a key of {table.name}", place="path"
        )
        raise NotInCatalogueError("The catalogue has no record with this key.", [fault])
    return record


def entity_tag(record: Record) -> str:
    """The strong entity tag of a record: the same state has the same tag."""
    return '"' + hashlib.sha256(record_json(record).encode()).hexdigest()[:32] + '"'
