"""The snapshot: the whole catalogue at one revision, in memory and never changed; lookups run on it."""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext, suppress
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Any, TypeVar, cast

from schemas.parts import AxleRecord, FrameRecord, SleeveRecord
from service.catalogue.axles import ROW_COLUMNS, Axles, axles_of, axles_of_rows
from service.catalogue.kinds import Kind
from service.catalogue.records import TABLES, Record, Row, engine_sleeve
from service.catalogue.repository import CatalogueRepository, Change
from service.catalogue.turns import Turns, giving_way, let_go
from service.engine.parts import Axle, CatalogueFacts
from service.engine.threads import Thread
from service.errors import CatalogueUnavailableError, DatabaseUnavailableError
from service.store.database import Database

R = TypeVar("R")
_FEW = 1000
"""Up to so many changes are made in the snapshot; after more of them it is read anew."""
_PATIENCE_SECONDS = 2.0


@dataclass(frozen=True)
class Snapshot:
    """The catalogue at one revision; keys are in order.

    ``written_at`` tells this revision from one of the same number in a database that was put back.
    Axles may be given as any mapping; the snapshot has them in their compact form.
    """

    revision: int
    axles: Mapping[str, AxleRecord]
    frames: Mapping[str, FrameRecord]
    sleeves: Mapping[str, SleeveRecord]
    written_at: str | None = None

    def __post_init__(self) -> None:
        if not isinstance(self.axles, Axles):
            object.__setattr__(self, "axles", axles_of(self.axles.values()))

    @property
    def compact_axles(self) -> Axles:
        """The axles, with what is cheaply had of their compact form."""
        return cast("Axles", self.axles)

    @property
    def kinds(self) -> tuple[Kind, ...]:
        """The kinds of the axles; a kind keeps its place while snapshots follow each other."""
        return self.compact_axles.kinds

    @property
    def engine_axles(self) -> Sequence[Axle]:
        """The axles as the engine sees them, by SKU; made anew each time, as `kinds` are not."""
        return self.compact_axles.engine_axles

    def axle_json(self, sku: str) -> bytes:
        """An axle's record as it stands in answers."""
        return self.compact_axles.json_of(sku)

    @cached_property
    def workings(self) -> dict[str, Any]:
        """What use cases have worked out of this snapshot, by their own names."""
        return {}

    @cached_property
    def facts(self) -> CatalogueFacts:
        """What every judgement needs to know of the catalogue."""
        return CatalogueFacts(
            usual_threads=usual_threads(self.compact_axles.counts.threads),
            sleeves=tuple(engine_sleeve(record) for record in self.sleeves.values()),
        )


def usual_threads(counts: Mapping[tuple[float, Thread], int]) -> Mapping[float, Thread]:
    """For each shaft class the thread that most threaded-wall axles have; of equals, the first by name."""
    of_shaft: dict[float, dict[Thread, int]] = {}
    for (shaft, thread), count in counts.items():
        if count:
            of_shaft.setdefault(shaft, {})[thread] = count
    return MappingProxyType(
        {
            shaft: min(found, key=lambda thread: (-found[thread], thread.designation))
            for shaft, found in of_shaft.items()
        }
    )


def _at_once() -> None:
    """Nobody waits: no rest."""


def read_snapshot(database: Database) -> Snapshot:
    """The catalogue as it is now, all of it at one revision."""
    return follow(database, None)


def follow(database: Database, before: Snapshot | None, *, rest: Callable[[], None] = _at_once) -> Snapshot:
    """The catalogue as it is now; after a few changes only these are read.

    Else it is read anew: axles in portions, between which others may write, and then what they have
    changed meanwhile. ``rest`` is called again and again during that, for others of this process.
    """
    with _opened(database) as repository:
        if before is not None and (followed := _followed(repository, before)) is not None:
            return followed
        revision = repository.revision()
        written_at = repository.written_at(revision)
        frames, sleeves = _frames_and_sleeves(repository)
    axles = axles_of_rows(_rows(lambda: _opened(database)), rest=rest)
    read = Snapshot(revision, axles, frames, sleeves, written_at)
    with _opened(database) as repository:
        return _followed(repository, read) or _read_at_one_revision(repository, rest)


def _followed(repository: CatalogueRepository, before: Snapshot) -> Snapshot | None:
    """What a few changes have made of a snapshot; None where it must be read anew."""
    revision = repository.revision()
    if revision < before.revision or repository.written_at(before.revision) != before.written_at:
        return None  # the database was put back, and perhaps written on
    if revision == before.revision:
        return before
    changes = repository.changes_after(before.revision + 1, -1, limit=_FEW + 1)
    if len(changes) > _FEW or not repository.has_recorded_all_since(before.revision):
        return None
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
    axles = cast("dict[str, AxleRecord | None]", changed["axles"])
    return Snapshot(
        revision=revision,
        axles=before.compact_axles.changed(axles) if axles else before.axles,
        frames=_merged(FrameRecord, before.frames, changed["frames"]),
        sleeves=_merged(SleeveRecord, before.sleeves, changed["sleeves"]),
        written_at=written_at,
    )


def _merged(kind: type[R], before: Mapping[str, R], changed: Mapping[str, object]) -> Mapping[str, R]:
    if not changed:
        return before
    records = {key: record for key, record in before.items() if key not in changed}
    records |= {key: record for key, record in changed.items() if isinstance(record, kind)}
    return MappingProxyType(dict(sorted(records.items())))


def _rows(opened: Callable[[], AbstractContextManager[CatalogueRepository]]) -> Iterator[Sequence[Row]]:
    """The rows of all axles; each portion is read and let go before anything is made of it."""
    key = ""
    while True:
        with opened() as repository:
            portion = repository.rows_after(TABLES["axles"], ROW_COLUMNS, key)
            if not isinstance(portion, list):
                yield from portion
                return
        if not portion:
            return
        yield from portion
        key = portion[-1][-1][0]


@contextmanager
def _opened(database: Database) -> Iterator[CatalogueRepository]:
    with database.reading() as session:
        yield CatalogueRepository(session)


def _read_at_one_revision(repository: CatalogueRepository, rest: Callable[[], None]) -> Snapshot:
    """The catalogue in one transaction, where too much is written for reading in portions."""
    revision = repository.revision()
    frames, sleeves = _frames_and_sleeves(repository)
    return Snapshot(
        revision=revision,
        axles=axles_of_rows(_rows(lambda: nullcontext(repository)), rest=rest),
        frames=frames,
        sleeves=sleeves,
        written_at=repository.written_at(revision),
    )


def _frames_and_sleeves(
    repository: CatalogueRepository,
) -> tuple[Mapping[str, FrameRecord], Mapping[str, SleeveRecord]]:
    read = {name: repository.records(TABLES[name]) for name in ("frames", "sleeves")}
    return _by_key(FrameRecord, read["frames"], "code"), _by_key(SleeveRecord, read["sleeves"], "sku")


def _by_key(kind: type[R], records: Iterable[object], key: str) -> Mapping[str, R]:
    return MappingProxyType({getattr(r, key): r for r in records if isinstance(r, kind)})


class SnapshotKeeper:
    """Holds the current snapshot and replaces it whole when the catalogue's revision has moved.

    ``prepare`` makes what lookups ask of a new snapshot, before they do.
    """

    def __init__(
        self,
        database: Database,
        *,
        overdue_seconds: float = math.inf,
        prepare: Callable[[Snapshot], object] = lambda snapshot: snapshot.facts,
    ) -> None:
        self._database = database
        self._prepare = prepare
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
            return self._look()

    def follow_write(self) -> None:
        """Look again after a write of this process; should that fail now, the next look makes up for it.

        Where the whole catalogue is being read just now, it may well see the write, and nobody waits.
        """
        if self._looking.acquire(timeout=_PATIENCE_SECONDS):
            try:
                with suppress(DatabaseUnavailableError):
                    self._look()
            finally:
                self._looking.release()

    def _look(self) -> Snapshot:
        before = self._current
        rest = _at_once if before is None else Turns()
        try:
            with giving_way():
                followed = follow(self._database, before, rest=rest)
                if followed is not before:
                    self._prepare(followed)  # made before the first lookup asks for it
        except Exception:  # whatever it was, the snapshot may be behind from now on
            self._away = True
            raise
        self._current = followed
        self._looked_at, self._away = time.monotonic(), False
        if before is not None and before is not followed:
            pieces = before.compact_axles.pieces_unlike(followed.compact_axles)
            del before
            let_go(pieces, rest)
        return followed
