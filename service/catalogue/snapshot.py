"""The snapshot: the whole catalogue at one revision, in memory and never changed; lookups run on it."""

from __future__ import annotations

import math
import threading
import time
from collections import Counter
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType
from typing import Any, TypeVar

from schemas.parts import AxleRecord, FrameRecord, SleeveRecord
from service.catalogue.kinds import KIND_COLUMNS, Kind, Member, kind_of, member_of
from service.catalogue.records import TABLES, Record, Row, engine_axle, engine_sleeve
from service.catalogue.repository import CatalogueRepository, Change
from service.engine.codes import Fastening
from service.engine.parts import Axle, CatalogueFacts
from service.engine.threads import Thread
from service.errors import CatalogueUnavailableError, DatabaseUnavailableError
from service.store.database import Database

R = TypeVar("R")
_FEW = 1000
"""Up to so many changes are made in the snapshot; after more of them it is read anew."""


@dataclass(frozen=True)
class Snapshot:
    """The catalogue at one revision; keys are in order.

    ``written_at`` tells this revision from one of the same number in a database that was put back;
    ``prepared`` holds the engine's values of axles that an earlier snapshot has made already.
    """

    revision: int
    axles: Mapping[str, AxleRecord]
    frames: Mapping[str, FrameRecord]
    sleeves: Mapping[str, SleeveRecord]
    written_at: str | None = None
    prepared: Mapping[str, Axle] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def engine_axles(self) -> tuple[Axle, ...]:
        """The axles as the engine sees them, by SKU."""
        return tuple(self.prepared.get(sku) or engine_axle(record) for sku, record in self.axles.items())

    @cached_property
    def kinds(self) -> tuple[Kind, ...]:
        """The kinds of the axles; a kind keeps its place while snapshots follow each other."""
        members: dict[Row, list[Member]] = {}
        for record in self.axles.values():
            columns = tuple(getattr(record, column) for column in KIND_COLUMNS)
            members.setdefault(columns, []).append(member_of(record))
        return tuple(kind_of(columns, found) for columns, found in members.items())

    def axle_json(self, sku: str) -> bytes:
        """An axle's record as it stands in answers."""
        return self.axles[sku].model_dump_json().encode()

    @cached_property
    def workings(self) -> dict[str, Any]:
        """What use cases have worked out of this snapshot, by their own names."""
        return {}

    @cached_property
    def facts(self) -> CatalogueFacts:
        """What every judgement needs to know of the catalogue."""
        return CatalogueFacts(
            usual_threads=usual_threads(self.engine_axles),
            sleeves=tuple(engine_sleeve(record) for record in self.sleeves.values()),
        )


def usual_threads(axles: Iterable[Axle]) -> Mapping[float, Thread]:
    """For each shaft class the thread that most threaded-wall axles have; of equals, the first by name."""
    counts: dict[float, Counter[Thread]] = {}
    for axle in axles:
        if axle.fastening is Fastening.THREADED_WALL and axle.thread and axle.shaft_mm:
            counts.setdefault(axle.shaft_mm, Counter())[axle.thread] += 1
    return MappingProxyType(
        {
            shaft: min(counter, key=lambda thread: (-counter[thread], thread.designation))
            for shaft, counter in counts.items()
        }
    )


def read_snapshot(database: Database) -> Snapshot:
    """The catalogue as it is now, all of it at one revision."""
    with database.reading() as session:
        return _read_whole(CatalogueRepository(session))


def follow(database: Database, before: Snapshot | None) -> Snapshot:
    """The catalogue as it is now; after a few changes only these are read."""
    with database.reading() as session:
        repository = CatalogueRepository(session)
        revision = repository.revision()
        if before is None or revision < before.revision:
            return _read_whole(repository)
        if repository.written_at(before.revision) != before.written_at:
            return _read_whole(repository)  # the database was put back, and written on
        if revision == before.revision:
            return before
        changes = repository.changes_after(before.revision + 1, -1, limit=_FEW + 1)
        if len(changes) > _FEW or not repository.has_recorded_all_since(before.revision):
            return _read_whole(repository)
        written_at = repository.written_at(revision)
        return with_changes(before, revision, written_at, [recorded.change for recorded in changes])


def with_changes(
    before: Snapshot, revision: int, written_at: str | None, changes: Iterable[Change]
) -> Snapshot:
    """The snapshot that these changes make of an earlier one, in the order in which they were made."""
    changed: dict[str, dict[str, Record | None]] = {name: {} for name in TABLES}
    for change in changes:
        model = TABLES[change.table].record
        changed[change.table][change.key] = (
            None if change.after is None else model.model_validate_json(change.after)
        )
    return Snapshot(
        revision=revision,
        axles=_merged(AxleRecord, before.axles, changed["axles"]),
        frames=_merged(FrameRecord, before.frames, changed["frames"]),
        sleeves=_merged(SleeveRecord, before.sleeves, changed["sleeves"]),
        written_at=written_at,
        prepared={axle.sku: axle for axle in before.engine_axles if axle.sku not in changed["axles"]},
    )


def _merged(kind: type[R], before: Mapping[str, R], changed: Mapping[str, object]) -> Mapping[str, R]:
    if not changed:
        return before
    records = {key: record for key, record in before.items() if key not in changed}
    records |= {key: record for key, record in changed.items() if isinstance(record, kind)}
    return MappingProxyType(dict(sorted(records.items())))


def _read_whole(repository: CatalogueRepository) -> Snapshot:
    read = {name: repository.records(table) for name, table in TABLES.items()}
    revision = repository.revision()
    return Snapshot(
        revision=revision,
        written_at=repository.written_at(revision),
        axles=_by_key(AxleRecord, read["axles"], "sku"),
        frames=_by_key(FrameRecord, read["frames"], "code"),
        sleeves=_by_key(SleeveRecord, read["sleeves"], "sku"),
    )


def _by_key(kind: type[R], records: Iterable[object], key: str) -> Mapping[str, R]:
    return MappingProxyType({getattr(r, key): r for r in records if isinstance(r, kind)})


class SnapshotKeeper:
    """Holds the current snapshot and replaces it whole when the catalogue's revision has moved."""

    def __init__(self, database: Database, *, overdue_seconds: float = math.inf) -> None:
        self._database = database
        self._overdue_seconds = overdue_seconds
        self._current: Snapshot | None = None
        self._looking = threading.Lock()
        self._looked_at = time.monotonic()
        self._away = False

    @property
    def current(self) -> Snapshot:
        """The snapshot to run on; whoever holds one keeps it to the end of its work."""
        if self._current is None:
            raise CatalogueUnavailableError("The catalogue has not been read yet; try again soon.")
        return self._current

    @property
    def age_seconds(self) -> float | None:
        """Since when the database could not be looked at, or does not answer [s]; None while it does."""
        age = time.monotonic() - self._looked_at
        return round(age, 1) if self._away or age > self._overdue_seconds else None

    def refresh(self) -> Snapshot:
        """Look at the revision, and follow the catalogue if it has moved.

        One thread at a time, so that an older state never takes the place of a newer one.

        Raises
        ------
        DatabaseUnavailableError
            If the database cannot be reached; the snapshot stays, and its age is told.
        """
        with self._looking:
            try:
                followed = follow(self._database, self._current)
            except Exception:  # whatever it was, the snapshot may be behind from now on
                self._away = True
                raise
            _ = followed.facts  # made before the first lookup asks for it
            self._current = followed
            self._looked_at, self._away = time.monotonic(), False
            return followed

    def follow_write(self) -> None:
        """Look again after a write of this process; should that fail now, the next look makes up for it."""
        with suppress(DatabaseUnavailableError):
            self.refresh()
