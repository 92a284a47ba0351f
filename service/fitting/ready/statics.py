"""What the checks say of every manner of axle at once, whatever the width: sets of manners, as bits.

A check reads few columns and few fields, so that it has few different answers. Each is found once, by the
check itself, and holds for all manners that have these columns.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Hashable, Sequence
from typing import NamedTuple

from service.catalogue.strands import Manner
from service.engine.checks import CHECKS, Case
from service.engine.checks.bending import bending_moment_on, greatest_moments_nmm, shaft_bears_rider
from service.engine.checks.bore import bore, goes_into_bearing, sleeve_is_to_be_had, thin_axle_suits_rider
from service.engine.checks.match import (
    brake_axle_where_needed,
    fastening_equal,
    heads_sit_in_frame,
    holes_take_axle,
    thread_equal,
)
from service.engine.codes import Check as CheckCode
from service.engine.codes import Fastening, Outcome
from service.engine.frame import Frame
from service.engine.judgement import MUST_BE_KNOWN
from service.engine.parts import Axle, CatalogueFacts
from service.engine.reasons import Reason
from service.engine.windows import WidthWindow

Check = Callable[[Case], Reason | None]
_NO_WINDOW = WidthWindow(0.0, 0.0, 0.0)
_MOST = 4096
"""So many answers of a check are kept."""


class Reads(NamedTuple):
    """What a check reads of the frame and of an axle; a test holds the checks to it."""

    frame: Callable[[Frame], Hashable]
    axle: Callable[[Axle | Manner], Hashable]


def _bore_of(frame: Frame) -> Hashable:
    given = frame.bore
    if given is None or given.reading is None:
        return None if given is None else given.nominal_mm
    return given.reading


def _bending_of(frame: Frame) -> Hashable:
    widths = frame.widths
    return bending_moment_on(frame), frame.rider_mass_kg, widths.inside is None, _no_wall(frame)


def _no_wall(frame: Frame) -> bool:
    return frame.widths.head_wall is None and frame.widths.far_wall is None


def _section_of(axle: Axle | Manner) -> Hashable:
    two_piece = axle.fastening is Fastening.TWO_PIECE
    return axle.shaft_mm, axle.material, two_piece, axle.thread if two_piece else None


READS: dict[Check, Reads] = {
    fastening_equal: Reads(lambda f: f.fastening, lambda a: a.fastening),
    bore: Reads(_bore_of, lambda a: a.shaft_mm),
    goes_into_bearing: Reads(lambda _: None, lambda a: (a.shaft_mm, a.shaft_tolerance)),
    thread_equal: Reads(lambda f: f.thread, lambda a: (a.fastening, a.thread, a.shaft_mm)),
    holes_take_axle: Reads(lambda f: (f.holes, f.hole_offset_mm), lambda a: a.offset_mm),
    heads_sit_in_frame: Reads(
        lambda f: (f.keyed_profile, f.keys_needed), lambda a: (a.fastening, a.keyed_profile)
    ),
    brake_axle_where_needed: Reads(lambda f: (f.position, f.brake_thread), lambda a: a.brake_thread),
    sleeve_is_to_be_had: Reads(lambda f: f.hub_width_mm, lambda a: a.shaft_mm),
    shaft_bears_rider: Reads(_bending_of, _section_of),
    thin_axle_suits_rider: Reads(lambda f: (f.rider_mass_kg, f.child), lambda a: a.shaft_mm),
}
"""The checks that do not look at the width, in their order."""
STATIC_CHECKS: tuple[Check, ...] = tuple(check for check in CHECKS if check in READS)
BENDING = STATIC_CHECKS.index(shaft_bears_rider)


def checked_by(check: Check) -> CheckCode:
    """What a check's reasons are filed under."""
    return _CODES[check]


_CODES: dict[Check, CheckCode] = {
    fastening_equal: CheckCode.FASTENING,
    bore: CheckCode.BORE,
    goes_into_bearing: CheckCode.BEARING_FIT,
    thread_equal: CheckCode.THREAD,
    holes_take_axle: CheckCode.HOLES,
    heads_sit_in_frame: CheckCode.HEADS,
    brake_axle_where_needed: CheckCode.BRAKE,
    sleeve_is_to_be_had: CheckCode.SLEEVE,
    shaft_bears_rider: CheckCode.BENDING,
    thin_axle_suits_rider: CheckCode.THIN_AXLE,
}


class Masks(NamedTuple):
    """The manners that a check fails, has a caution for, and cannot tell what must be known of."""

    fails: int
    cautions: int
    unknowns: int


def reason_of(check: Check, axle: Axle, frame: Frame, facts: CatalogueFacts) -> Reason | None:
    """What a check that does not look at the width says."""
    shaft, probability = axle.shaft_mm, 1.0
    if frame.bore is not None and shaft is not None:
        probability = frame.bore.probability_of(shaft)
    return check(Case(axle, frame, facts, _NO_WINDOW, 1.0, probability))


def keys_of(frame: Frame) -> list[Hashable]:
    """What each check that does not look at the width reads of a frame."""
    return [READS[check].frame(frame) for check in STATIC_CHECKS]


class Statics:
    """The answers of the checks about these manners."""

    def __init__(self, manners: Sequence[Manner], facts: CatalogueFacts) -> None:
        self.axles = [manner.axle() for manner in manners]
        self.every = (1 << len(manners)) - 1
        self.facts = facts
        self._alike = [self._alike_for(READS[check]) for check in STATIC_CHECKS]
        self.class_of = [self._classes_for(READS[check]) for check in STATIC_CHECKS]
        """For each check and manner a number that those have in common which the check cannot tell apart."""
        self._known: list[dict[Hashable, Masks]] = [{} for _ in STATIC_CHECKS]
        sections = (axle for axle, _ in self._alike[BENDING])
        self._moments = sorted({m for axle in sections for m in greatest_moments_nmm(axle)})

    def masks(self, place: int, frame: Frame) -> Masks:
        """What the check in this place says about all manners."""
        check = STATIC_CHECKS[place]
        key = self.strain(bending_moment_on(frame)) if place == BENDING else READS[check].frame(frame)
        known = self._known[place]
        if (found := known.get(key)) is None:
            if len(known) >= _MOST:
                known.clear()
            found = known[key] = self._found(place, frame)
        return found

    def _alike_for(self, reads: Reads) -> list[tuple[Axle, int]]:
        """The manners that a check cannot tell apart: one of them, and all of them as bits."""
        alike: dict[Hashable, tuple[Axle, int]] = {}
        for number, axle in enumerate(self.axles):
            first, bits = alike.get(reads.axle(axle), (axle, 0))
            alike[reads.axle(axle)] = first, bits | 1 << number
        return list(alike.values())

    def _classes_for(self, reads: Reads) -> list[int]:
        numbers: dict[Hashable, int] = {}
        return [numbers.setdefault(reads.axle(axle), len(numbers)) for axle in self.axles]

    def _found(self, place: int, frame: Frame) -> Masks:
        fails = cautions = unknowns = 0
        for axle, bits in self._alike[place]:
            reason = reason_of(STATIC_CHECKS[place], axle, frame, self.facts)
            if reason is None or reason.outcome is Outcome.PASS:
                continue
            if reason.outcome is Outcome.FAIL:
                fails |= bits
            elif reason.outcome is Outcome.CAUTION:
                cautions |= bits
            elif reason.check in MUST_BE_KNOWN:
                unknowns |= bits
        return Masks(fails, cautions, unknowns)

    def strain(self, moment_nmm: float) -> Hashable:
        """Between which of the moments that decide anything this one lies; itself, if it is near one."""
        below = bisect_left(self._moments, moment_nmm * (1 - 1e-9))
        above = bisect_left(self._moments, moment_nmm * (1 + 1e-9))
        return below if below == above else -moment_nmm
