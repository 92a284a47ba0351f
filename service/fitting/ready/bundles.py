"""Strands that one ladder serves, merged: how many axles are at which anchors, and which come first."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from heapq import merge
from itertools import islice, pairwise
from typing import NamedTuple

from service.catalogue.kinds import Kind
from service.catalogue.strands import Strand
from service.engine.ranking import Preferences
from service.fitting.ready.ladders import NO_FIT, Ladder

_FIRST = 32
"""So many of the first axles at an anchor are kept."""
_BITS = 32
_ONE_PART = (1 << _BITS) - 1
"""Numbers of axles by part are one integer, 32 bits for each part: a difference of two costs one step."""


class Place(NamedTuple):
    """An axle: its order of equals, its kind, and its place in the kind."""

    order: tuple[int, float, str]
    kind: Kind
    member: int
    manner: int


Run = tuple[int | None, int, int]
"""A rung, and the anchors from first to before last on it; without a rung, each is a case of its own."""


class Bundle:
    """Merged strands; a part is a number that a plan gives to the manners that it does not tell apart."""

    def __init__(self, strands: Sequence[tuple[Strand, int]]) -> None:
        self.strands = strands
        found: dict[float, list[tuple[int, int, Kind]]] = {}
        for strand, part in strands:
            for anchor, kinds in zip(strand.anchors_mm, strand.kinds, strict=True):
                found.setdefault(anchor, []).extend((part, strand.manner, kind) for kind in kinds)
        self.anchors_mm = sorted(found)
        self.at = [found[anchor] for anchor in self.anchors_mm]
        self.before = list(self._counted())
        """How many axles of each part stand before each anchor, packed."""
        self.numbers = [by_part(b - a) for a, b in pairwise(self.before)]
        """How many axles of each part are at each anchor."""
        self.totals = [sum([count for _, count in numbers]) for numbers in self.numbers]
        self._totals_of: dict[frozenset[int], list[int]] = {}
        self._first: dict[tuple[int, frozenset[int]], tuple[list[Place], bool]] = {}
        self._preferred: dict[tuple[int, frozenset[int], Preferences], list[list[Place]]] = {}

    def _counted(self) -> Iterator[int]:
        """How many axles of each part stand before each anchor."""
        count = 0
        yield count
        for kinds in self.at:
            for part, _, kind in kinds:
                count += len(kind) << _BITS * part
            yield count

    def totals_of(self, parts: frozenset[int]) -> list[int]:
        """How many axles of these parts are at each anchor."""
        if (known := self._totals_of.get(parts)) is None:
            known = [sum([n for part, n in numbers if part in parts]) for numbers in self.numbers]
            self._totals_of[parts] = known
        return known

    def runs(self, ladder: Ladder, width_mm: float) -> list[Run]:
        """The anchors on each rung but that of no fit; what has the greater anchor comes first."""
        runs: list[Run] = []
        anchors, end = self.anchors_mm, len(self.anchors_mm)
        greatest = anchors[-1] if end else -math.inf
        for edge, guard, rung in ladder.steps:
            at = width_mm - edge
            if greatest > at + guard:
                past = bisect_right(anchors, at + guard, 0, end)
                if rung != NO_FIT:
                    runs.append((rung, past, end))
                if past == 0:
                    return runs
                end, greatest = past, anchors[past - 1]
            if greatest >= at - guard:
                begin = bisect_left(anchors, at - guard, 0, end)
                runs.append((None, begin, end))
                if begin == 0:
                    return runs
                end, greatest = begin, anchors[begin - 1]
        if end and ladder.rungs[-1] != NO_FIT:
            runs.append((ladder.rungs[-1], 0, end))
        return runs

    def first_axles(self, at: int, parts: frozenset[int], most: int) -> list[Place]:
        """The first axles of these parts at an anchor, in the order of equals."""
        known, is_all = self._first.get((at, parts), ([], False))
        if len(known) < most and not is_all:
            wanted = max(most, _FIRST)
            known = list(islice(self._in_order(at, parts), wanted))
            if wanted == _FIRST:
                self._first[at, parts] = known, len(known) < wanted
        return known[:most]

    def _in_order(self, at: int, parts: frozenset[int]) -> Iterable[Place]:
        found = [_places(kind, manner) for part, manner, kind in self.at[at] if part in parts]
        return found[0] if len(found) == 1 else merge(*found)

    def by_preference(self, at: int, parts: frozenset[int], preferences: Preferences) -> list[list[Place]]:
        """The axles of these parts at an anchor, by how many preferences they miss, in their order."""
        key = at, parts, preferences
        if (known := self._preferred.get(key)) is None:
            if len(self._preferred) >= 256:
                self._preferred.clear()
            known = [[], [], [], []]
            for part, manner, kind in self.at[at]:
                if part in parts:
                    for place in _places(kind, manner):
                        known[_missed(place, preferences)].append(place)
            for places in known:
                places.sort()
            self._preferred[key] = known
        return known


def by_part(packed: int) -> list[tuple[int, int]]:
    """The parts of a packed number that have any axles, and how many."""
    found, part = [], 0
    while packed:
        if count := packed & _ONE_PART:
            found.append((part, count))
        packed >>= _BITS
        part += 1
    return found


def _places(kind: Kind, manner: int) -> Iterator[Place]:
    return (Place(kind.order_at(member), kind, member, manner) for member in range(len(kind)))


def places_of(kind: Kind, manner: int, most: int) -> list[Place]:
    """The first axles of a kind."""
    return list(islice(_places(kind, manner), most))


def _missed(place: Place, preferences: Preferences) -> int:
    kind, member = place.kind, place.member
    return preferences.missed(kind.drives[member], kind.colours[member], kind.stocks[member])
