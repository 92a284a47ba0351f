"""The snapshot: the whole catalogue at one revision, in memory and never changed; lookups run on it."""

from __future__ import annotations

import threading
import time
from collections import Counter
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import TypeVar

from schemas.parts import AxleRecord, FrameRecord, SleeveRecord
from service.catalogue.records import TABLES, engine_axle, engine_sleeve
from service.catalogue.repository import CatalogueRepository
from service.engine.codes import Fastening
from service.engine.parts import Axle, CatalogueFacts
from service.engine.threads import Thread
from service.errors import CatalogueUnavailableError, DatabaseUnavailableError
from service.store.database import Database

R = TypeVar("R")


@dataclass(frozen=True)
class Snapshot:
    """The catalogue at one revision; keys are in order."""

    revision: int
    axles: Mapping[str, AxleRecord]
    frames: Mapping[str, FrameRecord]
    sleeves: Mapping[str, SleeveRecord]

    @cached_property
    def engine_axles(self) -> tuple[Axle, ...]:
        """The axles as the engine sees them, by SKU."""
        return tuple(engine_axle(record) for record in self.axles.values())

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
        repository = CatalogueRepository(session)
        read = {name: repository.records(table) for name, table in TABLES.items()}
        return Snapshot(
            revision=repository.revision(),
            axles=_by_key(AxleRecord, read["axles"], "sku"),
            frames=_by_key(FrameRecord, read["frames"], "code"),
            sleeves=_by_key(SleeveRecord, read["sleeves"], "sku"),
        )


def _by_key(kind: type[R], records: Iterable[object], key: str) -> Mapping[str, R]:
    return MappingProxyType({getattr(r, key): r for r in records if isinstance(r, kind)})


class SnapshotKeeper:
    """Holds the current snapshot and replaces it whole when the catalogue's revision has moved."""

    def __init__(self, database: Database) -> None:
        self._database = database
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
        """Since when the database could not be looked at [s]; None while it can."""
        return round(time.monotonic() - self._looked_at, 1) if self._away else None

    def refresh(self) -> Snapshot:
        """Look at the revision, and read the catalogue again if it has moved.

        One thread at a time, so that an older state never takes the place of a newer one.

        Raises
        ------
        DatabaseUnavailableError
            If the database cannot be reached; the snapshot stays, and its age is told.
        """
        with self._looking:
            try:
                revision = self._revision()
                if self._current is None or self._current.revision != revision:
                    self._current = read_snapshot(self._database)
            except DatabaseUnavailableError:
                self._away = True
                raise
            self._looked_at, self._away = time.monotonic(), False
            return self._current

    def follow_write(self) -> None:
        """Look again after a write of this process; should that fail now, the next look makes up for it."""
        with suppress(DatabaseUnavailableError):
            self.refresh()

    def _revision(self) -> int:
        with self._database.reading() as session:
            return CatalogueRepository(session).revision()
