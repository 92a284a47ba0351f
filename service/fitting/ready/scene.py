"""One frame before the catalogue: which anchors are on which rung, how many axles come to which verdict."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from operator import attrgetter
from typing import NamedTuple

from service.engine.codes import Fastening, Verdict
from service.engine.frame import Frame
from service.engine.judgement import fit_probability, window_on
from service.engine.windows import WidthWindow
from service.fitting.ready.bundles import Place, by_part
from service.fitting.ready.ladders import NO_FIT, STATES, rung_of, shift_of
from service.fitting.ready.plans import Plans, Rail

Tally = dict[tuple[int, int], int]
"""How many axles there are of each state and part."""


_MOST_WINDOWS = 1024
NO_FIT_PLACE = STATES[NO_FIT]
"""The place of *no fit* among the verdicts."""


class Stretch(NamedTuple):
    """Anchors side by side on one rung of a rail, from first to before last."""

    rail: Rail
    rung: int
    first: int
    last: int


class Found(NamedTuple):
    """An axle of the answer, with its window and the probability of its width and bore together."""

    place: Place
    window: WidthWindow
    width_probability: float
    factor: float
    verdict: int = NO_FIT_PLACE


class Scene:
    """A frame and all axles in play, those that no width can make fit left out."""

    def __init__(self, frame: Frame, plans: Plans) -> None:
        self.frame = frame
        self.plans = plans
        self.width_mm = frame.widths.outside.value_mm
        self.keys, self.plan, self.said, self.factors, self.setting = plans.standing_of(frame)
        self.rails = self.plan.view(self.setting, self.factors)
        self._probabilities: dict[tuple[int, int], float] = {}
        self.stretches: list[Stretch] = []
        self.in_play: dict[int, tuple[int, int]] = {}
        """For each rail, by its identity, the anchors at which axles may fit: they are side by side."""
        self.tally = self._tally(self._stretch())
        self.counts = self._verdicts()

    def _stretch(self) -> list[int]:
        """Find the anchors at which axles may fit; how many axles of each part, packed, are in each state."""
        counts, width, shift = [0] * len(Verdict), self.width_mm, self.frame.recess_mm
        for rail in self.rails:
            bundle, stretches = rail.bundle, self.stretches
            begun, before = len(stretches), bundle.before
            is_moved = shift and rail.fastening is Fastening.TWO_PIECE
            for rung, first, last in bundle.runs(rail.ladder, width - shift if is_moved else width):
                if rung is None:
                    stretches.extend(self._settled(rail, first, last))
                else:
                    stretches.append(Stretch(rail, rung, first, last))
            mine = stretches[begun:]
            for _, rung, first, last in mine:
                counts[STATES[rung]] += before[last] - before[first]
            if mine:  # those of the greatest anchors come first
                self.in_play[id(rail)] = min([one.first for one in mine]), max([one.last for one in mine])
        return counts

    def _tally(self, counts: Sequence[int]) -> Tally:
        return {(state, part): n for state, packed in enumerate(counts) for part, n in by_part(packed)}

    def width_for(self, rail: Rail) -> float:
        """The width as the ladder of a rail counts it [mm]."""
        return self.width_mm - shift_of(rail.fastening, self.frame)

    def _settled(self, rail: Rail, first: int, last: int) -> Iterator[Stretch]:
        """Anchors of which only the engine can tell on which rung they are."""
        for at in range(first, last):
            axle = rail.bundle.at[at][0][2].axle
            rung = rung_of(axle, self.frame, self.window(rail, at), rail.factor)
            if rung != NO_FIT:
                yield Stretch(rail, rung, at, at + 1)

    def _verdicts(self) -> list[int]:
        """How many axles come to each verdict, no fit last."""
        counts, levels = [0, 0, 0], self.plan.levels
        for (state, part), count in self.tally.items():
            counts[max(state, levels[part])] += count
        return [*counts, self.plans.strands.axles - sum(counts)]

    def window(self, rail: Rail, at: int) -> WidthWindow:
        """The window of the axles at an anchor."""
        key = at, self.frame.recess_mm
        if (found := rail.windows.get(key)) is None:
            window = window_on(rail.bundle.at[at][0][2].axle, self.frame)
            assert window is not None  # noqa: S101 (strands are of axles that have one)
            if len(rail.windows) >= _MOST_WINDOWS:
                rail.windows.clear()
            found = rail.windows[key] = window
        return found

    def width_probability(self, rail: Rail, at: int) -> float:
        """The probability that the width lies in the window of the axles at an anchor."""
        key = id(rail), at
        if (known := self._probabilities.get(key)) is None:
            axle = rail.bundle.at[at][0][2].axle
            known = self._probabilities[key] = fit_probability(axle, self.frame, self.window(rail, at))
        return known

    def found(self, rail: Rail, at: int, place: Place, verdict: int = NO_FIT_PLACE) -> Found:
        """An axle at an anchor that comes to this verdict, with what the answer says of it."""
        return Found(place, self.window(rail, at), self.width_probability(rail, at), rail.factor, verdict)


def in_order_of_equals(found: Sequence[Sequence[Found]], most: int) -> list[Found]:
    """The first of several lists that are each in the order of equals."""
    if len(found) == 1:
        return list(found[0][:most])
    return sorted((one for several in found for one in several), key=_order)[:most]


def first_at(scene: Scene, lists: Sequence[tuple[Rail, int, int, Sequence[Place]]], most: int) -> list[Found]:
    """The first of several lists that are each in the order of equals: of a rail, an anchor, a verdict."""
    if len(lists) == 1:
        rail, at, verdict, places = lists[0]
        return [scene.found(rail, at, place, verdict) for place in places[:most]]
    numbered = sorted([(place, n) for n, (*_, places) in enumerate(lists) for place in places])[:most]
    return [scene.found(rail, at, place, v) for place, n in numbered for rail, at, v, _ in (lists[n],)]


_order = attrgetter("place.order")
