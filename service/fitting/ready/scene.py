"""One frame before the catalogue: which anchors are on which rung, how many axles come to which verdict."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from operator import attrgetter
from typing import NamedTuple

from service.engine.codes import Fastening, Verdict
from service.engine.frame import Frame
from service.engine.judgement import fit_probability, window_on
from service.engine.windows import WidthWindow
from service.fitting.ready.bundles import Place, by_part
from service.fitting.ready.ladders import NO_FIT, STATES, rung_of, setting_of, shift_of
from service.fitting.ready.plans import Plan, Plans, Rail
from service.fitting.ready.statics import Masks, keys_of

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
        self.setting = setting_of(frame)
        self.said: Sequence[Masks]
        self.plan: Plan
        self.keys = keys_of(frame)
        self.plan, self.said = plans.plan_of(frame, self.keys)
        self.factors = plans.factors_of(frame)
        self.rails = self.plan.view(self.setting, self.factors)
        self.stretches: list[Stretch] = []
        self.in_play: dict[int, tuple[int, int]] = {}
        """For each rail, by its identity, the anchors at which axles may fit: they are side by side."""
        self.tally = self._tally(self._stretch())
        self.counts = self._verdicts()
        self._seen_at: dict[tuple[int, int], tuple[WidthWindow, float]] = {}

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
        return fit_probability(rail.bundle.at[at][0][2].axle, self.frame, self.window(rail, at))

    def found(self, rail: Rail, at: int, places: Iterable[Place], verdict: int = NO_FIT_PLACE) -> list[Found]:
        """Axles at an anchor that come to this verdict, with what the answer says of them."""
        window, probability = self.window(rail, at), self.width_probability(rail, at)
        return [Found(place, window, probability, rail.factor, verdict) for place in places]


def in_order_of_equals(found: Sequence[Sequence[Found]], most: int) -> list[Found]:
    """The first of several lists that are each in the order of equals."""
    if len(found) == 1:
        return list(found[0][:most])
    return sorted((one for several in found for one in several), key=_order)[:most]


_order = attrgetter("place.order")
