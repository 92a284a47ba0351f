"""Making kinds of axles: of all that a catalogue has, or of the ones that an edit has changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from service.catalogue.kinds import Kind, Member, Order, kind_of
from service.catalogue.packed import member_in, number_in, packed
from service.catalogue.records import Row
from service.engine.codes import Fastening
from service.engine.threads import Thread

ThreadCounts = Mapping[tuple[float, Thread], int]
"""For each shaft class and thread, how many threaded-wall axles have it."""


class KindsInMaking:
    """Takes axles in and out, and makes of some kinds those that come of it; a kind keeps its number."""

    def __init__(self, kinds: Sequence[Kind] = (), numbers: Mapping[Row, int] | None = None) -> None:
        self._before = kinds
        self._new: list[Row] = []
        self._removed: dict[int, list[Order]] = {}
        self._added: dict[int, list[Member]] = {}
        self.numbers = dict(numbers or {})
        """For the columns of each kind its number."""

    def number_of(self, columns: Row) -> int:
        """The number of the kind that these columns make."""
        number = self.numbers.setdefault(columns, len(self.numbers))
        if number >= len(self._before) + len(self._new):
            self._new.append(columns)
        return number

    def add(self, number: int, own: Row) -> bytes:
        """Take an axle into the kind of this number; the axle is returned in its compact form."""
        packed_axle, member = packed(number, own)
        self._added.setdefault(number, []).append(member)
        return packed_axle

    def remove(self, packed_axle: bytes) -> None:
        """Take an axle out of its kind."""
        self._removed.setdefault(number_in(packed_axle), []).append(member_in(packed_axle)[:3])

    def kinds(self) -> Iterator[Kind]:
        """The kinds by number; those of which no axle has come or gone are the same as before."""
        for number, kind in enumerate(self._before):
            removed, added = self._removed.get(number, ()), self._added.get(number, ())
            yield kind.changed(removed, added) if removed or added else kind
        for number, columns in enumerate(self._new, start=len(self._before)):
            yield kind_of(columns, self._added.get(number, []))

    def thread_counts(self, before: ThreadCounts, kinds: Sequence[Kind]) -> ThreadCounts:
        """How many threaded-wall axles have which thread, now that these are the kinds."""
        counts = dict(before)
        for number in {*self._removed, *self._added}:
            axle = kinds[number].axle
            if axle.fastening is Fastening.THREADED_WALL and axle.thread and axle.shaft_mm:
                had = len(self._before[number]) if number < len(self._before) else 0
                key = axle.shaft_mm, axle.thread
                counts[key] = counts.get(key, 0) + len(kinds[number]) - had
        return counts
