"""Plans: for all frames about which the checks that do not look at the width say the same, the axles in play.

A plan knows for each manner whether such a check fails it, and if not, how well it does. Manners that no
question can tell apart are one part of it.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from service.catalogue.strands import Manner, Strand, Strands
from service.engine.checks.bending import bending_moment_on
from service.engine.codes import Fastening
from service.engine.constants import INSTRUMENT_HALF_WIDTH_MM, NO_FIT_BELOW
from service.engine.frame import Frame
from service.engine.measurement import Quantity, quantity_from_readings
from service.engine.probability import Bore
from service.engine.windows import WidthWindow
from service.fitting.ready.bundles import Bundle
from service.fitting.ready.kept import Kept
from service.fitting.ready.ladders import STATES, Ladder, Setting, scale_of, setting_of
from service.fitting.ready.statics import BENDING, STATIC_CHECKS, Masks, Statics, keys_of

FAILS = 3
"""The level of a part that a check fails, after 0 to 2: the places of the verdicts."""
Factors = tuple[tuple[float | None, float], ...]
"""For each shaft class the probability that the bore is of it."""


_MOST_REMEMBERED = 2048
_MOST_STANDINGS = 1024


class Part(NamedTuple):
    """Manners that no check and no question tells apart; ``manner`` is the number of one of them."""

    level: int
    fastening: Fastening
    shaft_mm: float | None
    offset_mm: float
    thread: object
    keyed_profile: str | None
    manner: int


class Rail(NamedTuple):
    """The strands of one ladder; ``windows`` keeps those of the anchors that were asked for."""

    ladder: Ladder
    bundle: Bundle
    factor: float
    fastening: Fastening
    windows: dict[tuple[int, float], WidthWindow]


class Standing(NamedTuple):
    """What follows from all of a frame but its outside width."""

    keys: tuple[Hashable, ...]
    """What each check that does not look at the width reads of the frame."""
    plan: Plan
    said: Sequence[Masks]
    factors: Factors
    setting: Setting


class PlanKey(NamedTuple):
    """What the checks say of the manners that none of them fails, with the frame and with each usual wall."""

    in_play: int
    checks: tuple[Masks, ...]
    with_walls: tuple[Masks, ...]


class Plan:
    """The parts and strands in play."""

    def __init__(self, key: PlanKey, statics: Statics, strands: Strands) -> None:
        self.key = key
        self.statics = statics
        self.parts: list[Part] = []
        self._part_of: dict[int, int] = {}
        self._divide(strands.manners)
        self.strands = [
            (strand, self._part_of[strand.manner])
            for strand in strands.strands
            if key.in_play >> strand.manner & 1
        ]
        self.levels = [part.level for part in self.parts]
        self.every_part = frozenset(range(len(self.parts)))
        self.parts_for_rung = [[self._parts_for(state, verdict) for verdict in range(3)] for state in STATES]
        """For each rung and verdict the parts that come to it."""
        self._views: Kept[tuple[Setting, Factors], list[Rail]] = Kept(32)
        self._bundles: Kept[tuple[int, ...], Bundle] = Kept(256)
        self.remembered: dict[Hashable, object] = {}
        self.wall_levels = [self.levels_with(BENDING, masks) for masks in key.with_walls]

    def _divide(self, manners: Sequence[Manner]) -> None:
        """Put each manner in play into its part."""
        numbers: dict[Hashable, int] = {}
        for number, manner in enumerate(manners):
            bit = 1 << number
            if not self.key.in_play & bit:
                continue
            seen = (
                manner.fastening,
                manner.shaft_mm,
                manner.offset_mm,
                manner.thread if manner.fastening is Fastening.THREADED_WALL else None,
                manner.keyed_profile if manner.fastening is Fastening.TWO_PIECE else None,
            )
            said = tuple(_level(bit, masks) for masks in (*self.key.checks, *self.key.with_walls))
            part = numbers.setdefault((seen, said), len(numbers))
            if part == len(self.parts):
                level = max(said[: len(self.key.checks)], default=0)
                self.parts.append(Part(level, *seen, number))
            self._part_of[number] = part

    def _parts_for(self, state: int, verdict: int) -> frozenset[int]:
        return frozenset(n for n, level in enumerate(self.levels) if max(state, level) == verdict)

    def remember(self, key: Hashable, found: object) -> None:
        """Keep what was worked out of the plan alone, up to a number of such things."""
        if len(self.remembered) >= _MOST_REMEMBERED:
            self.remembered.clear()
        self.remembered[key] = found

    def view(self, setting: Setting, factors: Factors) -> list[Rail]:
        """The strands in play with their ladders, those with the same one together."""
        return self._views.get((setting, factors), lambda: list(self._rails(setting, factors)))

    def _rails(self, setting: Setting, factors: Factors) -> Iterator[Rail]:
        factor_of = dict(factors)
        together: dict[int, tuple[Ladder, float, list[tuple[Strand, int]]]] = {}
        for strand, part in self.strands:
            factor = factor_of[self.parts[part].shaft_mm]
            ladder = scale_of(strand.shape.fastening, setting, factor).ladder(strand.shape)
            together.setdefault(id(ladder), (ladder, factor, []))[2].append((strand, part))
        for ladder, factor, strands in together.values():
            yield Rail(ladder, self.bundle(strands), factor, strands[0][0].shape.fastening, {})

    def bundle(self, strands: Sequence[tuple[Strand, int]]) -> Bundle:
        """These strands merged."""
        return self._bundles.get(tuple(strand.number for strand, _ in strands), lambda: Bundle(strands))

    def levels_with(self, changed: int, masks: Masks) -> tuple[int, ...]:
        """The level of each part if one check said this instead."""
        checks = list(self.key.checks)
        checks[changed] = masks
        bits = (1 << part.manner for part in self.parts)
        return tuple(max(_level(bit, one) for one in checks) for bit in bits)


class Plans:
    """The plans of one snapshot."""

    def __init__(self, strands: Strands, statics: Statics, walls_mm: Sequence[float]) -> None:
        self.strands = strands
        self.statics = statics
        self.walls = [wall_read(wall) for wall in walls_mm]
        self.shafts = sorted({manner.shaft_mm for manner in strands.manners}, key=lambda s: s or 0.0)
        self._plans: Kept[PlanKey, Plan] = Kept(128)
        self._known: Kept[Hashable, tuple[Plan, list[Masks]]] = Kept(512)
        self._standings: Kept[Hashable, Standing] = Kept(_MOST_STANDINGS)

    def standing_of(self, frame: Frame) -> Standing:
        """What follows from all of a frame but its outside width; many frames differ in that alone."""
        return self._standings.get(_but_for_the_width(frame), lambda: self._standing(frame))

    def _standing(self, frame: Frame) -> Standing:
        keys = tuple(keys_of(frame))
        plan, said = self.plan_of(frame, keys)
        return Standing(keys, plan, said, self.factors_of(frame), setting_of(frame))

    def plan_of(self, frame: Frame, keys: Sequence[Hashable]) -> tuple[Plan, list[Masks]]:
        """The plan for a frame, and what the checks say of all manners.

        The keys are what the checks read of the frame.
        """
        strain, walls = self.statics.strain, self.walls if _asks_for_wall(frame) else ()
        strains = tuple([strain(bending_moment_on(frame, wall)) for wall in (None, *walls)])
        alike = (*keys[:BENDING], frame.may_carry_an_adult, strains)
        return self._known.get(alike, lambda: self._found(frame))

    def _found(self, frame: Frame) -> tuple[Plan, list[Masks]]:
        said = [self.statics.masks(place, frame) for place in range(len(STATIC_CHECKS))]
        failed = 0
        for masks in said:
            failed |= masks.fails
        in_play = self.statics.every & ~failed
        key = PlanKey(
            in_play,
            tuple([_of(in_play, masks) for masks in said]),
            tuple(
                _of(in_play, self.statics.masks(BENDING, with_wall(frame, wall)))
                for wall in (self.walls if _asks_for_wall(frame) else ())
            ),
        )
        return self._plans.get(key, lambda: Plan(key, self.statics, self.strands)), said

    def factors_of(self, frame: Frame) -> Factors:
        """For each shaft class the probability that the frame's bore is of it; 1 where that is not known."""
        bore = frame.bore
        if bore is None:
            return tuple((shaft, 1.0) for shaft in self.shafts)
        return tuple((shaft, _factor(bore, shaft)) for shaft in self.shafts)


def _but_for_the_width(frame: Frame) -> Hashable:
    """All of a frame but its outside width, of which no more than the uncertainty counts here."""
    widths, bore = frame.widths, frame.bore
    return (
        widths.outside.standard_uncertainty_mm,
        widths.inside,
        widths.head_wall,
        widths.far_wall,
        None if bore is None else (bore.nominal_mm, bore.reading),
        frame.fastening,
        frame.wall_material,
        frame.thread,
        frame.holes,
        frame.hole_offset_mm,
        frame.keyed_profile,
        frame.keys_needed,
        frame.position,
        frame.brake_thread,
        frame.rider_mass_kg,
        frame.child,
        frame.hub_width_mm,
    )


def _asks_for_wall(frame: Frame) -> bool:
    """Whether the far wall is not known and may be asked for."""
    return frame.widths.far_wall is None and frame.fastening in {None, Fastening.THREADED_WALL}


@lru_cache(maxsize=1024)
def wall_read(wall_mm: float) -> Quantity:
    """A far wall as if it had been measured with a calliper."""
    return quantity_from_readings([wall_mm], half_width_mm=INSTRUMENT_HALF_WIDTH_MM["calliper"])


def with_wall(frame: Frame, wall: Quantity) -> Frame:
    """The frame as it would be with this far wall."""
    return replace(frame, widths=replace(frame.widths, far_wall=wall))


def _factor(bore: Bore, shaft_mm: float | None) -> float:
    """The probability of a shaft's class; 0 where the check of the bore fails it for sure."""
    if shaft_mm is None:
        return 1.0
    probability = bore.probability_of(shaft_mm)
    return probability if probability >= NO_FIT_BELOW else 0.0


def _of(in_play: int, masks: Masks) -> Masks:
    return Masks(masks.fails & in_play, masks.cautions & in_play, masks.unknowns & in_play)


def _level(bit: int, masks: Masks) -> int:
    if masks.fails & bit:
        return FAILS
    if masks.unknowns & bit:
        return 2
    return 1 if masks.cautions & bit else 0
