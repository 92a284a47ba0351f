"""What a frame's width decides about the axles of one shape: which outcome holds how far from the anchor.

The outcomes change at a few distances, the edges. Where they lie is computed; what holds between two of them
the engine's own checks say, of an axle in the middle. So near an edge that the last binary digits could
decide, no ladder is asked: there the engine judges the axle itself.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_right
from collections.abc import Hashable, Iterator
from functools import lru_cache
from typing import NamedTuple

from service.catalogue.strands import Shape
from service.engine.checks import Case
from service.engine.checks.width import thread_engages_enough, width_in_window
from service.engine.codes import Fastening, Verdict
from service.engine.constants import (
    CAUTION_BELOW,
    CHECK_FIRST_BELOW,
    LEAD_PITCHES,
    LEAST_SHOWN_PITCHES,
    LIMIT_ROUNDING_MM,
    NO_FIT_BELOW,
    PROUD_CAUTION_MM,
)
from service.engine.frame import Frame
from service.engine.judgement import fit_probability, verdict_of, window_on
from service.engine.measurement import FrameWidths, Quantity
from service.engine.parts import Axle, CatalogueFacts
from service.engine.probability import conformance_probability
from service.engine.windows import WidthWindow

FITS_SURELY, FITS, CAUTION_SURELY, CAUTION, CHECK_FIRST, NO_FIT = range(6)
"""The rungs: verdicts of the width alone; surely, where the probability is said as 1.00."""
STATES = (0, 0, 1, 1, 2, 3)
"""The verdict of each rung, by its place among the verdicts."""
_PLACES = {verdict: place for place, verdict in enumerate(Verdict)}
_SURE = 0.995
_LIMITS = (NO_FIT_BELOW, CHECK_FIRST_BELOW, CAUTION_BELOW, _SURE)
_ANCHOR_MM = 100.0
_ANY_WALL = "aluminium_6061_t6"
_NEAR_MM = 1e-7  # an edge of a probability is found to within this
_AT_MM = 1e-10  # an edge of a length is where it is; the engine's own limits stand LIMIT_ROUNDING_MM off
_FLAT = 1e-7  # a limit so near the greatest probability is met over a wide range
NO_FACTS = CatalogueFacts(usual_threads={})


class Setting(NamedTuple):
    """All of a frame that a width's judgement reads, the width aside."""

    far_wall_mm: float | None
    wall_material: str
    recess_mm: float
    uncertainty_mm: float

    def frame_at(self, width_mm: float) -> Frame:
        """A frame of this width."""
        far = self.far_wall_mm
        wall = None if far is None else Quantity(value_mm=far, standard_uncertainty_mm=1.0)
        width = Quantity(value_mm=width_mm, standard_uncertainty_mm=self.uncertainty_mm)
        return Frame(
            widths=FrameWidths(outside=width, far_wall=wall),
            wall_material=self.wall_material,
            recess_mm=self.recess_mm,
        )


def setting_of(frame: Frame) -> Setting:
    """The setting of a frame; the depth of its recesses only moves the widths, and is left to `shift_of`."""
    far, width = frame.widths.far_wall, frame.widths.outside
    return Setting(
        None if far is None else far.value_mm, frame.wall_material, 0.0, width.standard_uncertainty_mm
    )


def shift_of(fastening: Fastening, frame: Frame) -> float:
    """By how much the frame is wider for an axle of this fastening than the setting says [mm]."""
    return frame.recess_mm if fastening is Fastening.TWO_PIECE else 0.0


class Ladder(NamedTuple):
    """The rungs over the distance of the width from the anchor; the window's limits are about right.

    A step is an edge, its guard, and the rung before it.
    """

    edges_mm: tuple[float, ...]
    guards_mm: tuple[float, ...]
    rungs: tuple[int, ...]
    steps: tuple[tuple[float, float, int], ...]
    lower_mm: float
    upper_mm: float
    ideal_mm: float

    def zones(self) -> Iterator[tuple[float, float]]:
        """Where only the engine can tell the rung, from the anchor on [mm]."""
        for edge, guard in zip(self.edges_mm, self.guards_mm, strict=True):
            yield edge - guard, edge + guard

    def rung_at(self, distance_mm: float) -> int | None:
        """The rung at this distance; None where only the engine can tell."""
        place = bisect_right(self.edges_mm, distance_mm)
        for near in (place - 1, place):
            is_edge = 0 <= near < len(self.edges_mm)
            if is_edge and abs(distance_mm - self.edges_mm[near]) <= self.guards_mm[near]:
                return None
        return self.rungs[place]


def rung_of(axle: Axle, frame: Frame, window: WidthWindow, factor: float) -> int:
    """The rung of one axle, as the engine judges it; the factor is the probability of its bore."""
    probability = fit_probability(axle, frame, window)
    case = Case(axle, frame, NO_FACTS, window, probability, 1.0)
    both = probability * factor
    state = _PLACES[verdict_of(both, (width_in_window(case), thread_engages_enough(case)))]
    sure = round(both, 2) == 1.0
    return (FITS_SURELY if sure else FITS, CAUTION_SURELY if sure else CAUTION, CHECK_FIRST, NO_FIT)[state]


class Scale:
    """The ladders of all shapes in one setting; shapes that no width tells apart share theirs."""

    def __init__(self, setting: Setting, factor: float) -> None:
        self.setting = setting
        self.factor = factor
        self._frame = setting.frame_at(_ANCHOR_MM)
        self._by_shape: dict[Shape, Ladder] = {}
        self._shared: dict[Hashable, Ladder] = {}

    def ladder(self, shape: Shape) -> Ladder:
        """The ladder of a shape."""
        if (found := self._by_shape.get(shape)) is None:
            found = self._by_shape[shape] = self._made(shape)
        return found

    def _made(self, shape: Shape) -> Ladder:
        axle = shape.axle_at(_ANCHOR_MM)
        window = window_on(axle, self._frame)
        assert window is not None  # noqa: S101 (strands are of axles that have one)
        key = self._told_apart_by(shape, window)
        if (shared := self._shared.get(key)) is None:
            shared = self._shared[key] = _ladder(axle, window, self.setting, self.factor)
        return shared

    def _told_apart_by(self, shape: Shape, window: WidthWindow) -> Hashable:
        """All that the ladder and the windows of a shape come from."""
        numbers = tuple(window)
        if shape.fastening is not Fastening.THREADED_WALL:
            return shape._replace(material=None), numbers
        if window.missing is not None:
            return numbers, shape.length_tolerance_mm
        pitch = None if shape.thread is None else shape.thread.pitch_mm
        return numbers, shape.length_tolerance_mm, pitch, self._thread_length_that_counts(shape)

    def _thread_length_that_counts(self, shape: Shape) -> float | None:
        """The length of the thread, if it decides anything over the widths at which the axle may fit."""
        length, wall, setting = shape.thread_length_mm, self.setting.far_wall_mm or 0.0, self.setting
        if length is None:
            return None
        spread = math.hypot(setting.uncertainty_mm, shape.length_tolerance_mm)
        return None if length - wall > 1.0 + 3.0 * spread else length


def scale_of(fastening: Fastening, setting: Setting, factor: float) -> Scale:
    """The scale for axles of a fastening; those that were asked for last are kept."""
    if fastening is not Fastening.THREADED_WALL:
        setting = setting._replace(far_wall_mm=None, wall_material=_ANY_WALL)
    return _scale(setting, factor)


@lru_cache(maxsize=128)
def _scale(setting: Setting, factor: float) -> Scale:
    return Scale(setting, factor)


def _ladder(axle: Axle, window: WidthWindow, setting: Setting, factor: float) -> Ladder:
    zones = merged_zones(sorted(_edges(axle, window, setting, factor)))
    marks = [_ANCHOR_MM + (end + begin) / 2 for (_, end), (begin, _) in itertools.pairwise(zones)]
    if zones:
        marks = [_ANCHOR_MM + zones[0][0] - 1.0, *marks, _ANCHOR_MM + zones[-1][1] + 1.0]
    else:
        marks = [_ANCHOR_MM]
    rungs = [rung_of(axle, setting.frame_at(mark), window, factor) for mark in marks]
    changes = [n for n in range(len(zones)) if rungs[n] != rungs[n + 1] or _is_wide(zones[n])]
    edges = tuple((zones[n][0] + zones[n][1]) / 2 for n in changes)
    guards = tuple((zones[n][1] - zones[n][0]) / 2 for n in changes)
    kept = (rungs[0], *(rungs[n + 1] for n in changes))
    limits = (window.lower_mm - _ANCHOR_MM, window.upper_mm - _ANCHOR_MM, window.ideal_mm - _ANCHOR_MM)
    return Ladder(edges, guards, kept, tuple(zip(edges, guards, kept, strict=False)), *limits)


def _is_wide(zone: tuple[float, float]) -> bool:
    return zone[1] - zone[0] > 4 * _NEAR_MM


def merged_zones(zones: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Zones that touch become one."""
    merged: list[tuple[float, float]] = []
    for begin, end in zones:
        if merged and begin <= merged[-1][1]:
            merged[-1] = merged[-1][0], max(end, merged[-1][1])
        else:
            merged.append((begin, end))
    return merged


def _edges(axle: Axle, window: WidthWindow, setting: Setting, factor: float) -> Iterator[tuple[float, float]]:
    """The zones, from the anchor on, in which an outcome changes: once at most in each."""
    if window.upper_mm <= window.lower_mm:
        return
    middle = (window.lower_mm + window.upper_mm) / 2 - _ANCHOR_MM
    half = round((window.upper_mm - window.lower_mm) / 2, 9)
    uncertainty = round(math.hypot(setting.uncertainty_mm, axle.length_tolerance_mm / math.sqrt(3.0)), 12)
    for limit in _LIMITS:
        if (reach := _reach(half, uncertainty, limit / factor)) is None:
            continue
        near, far = reach
        if near <= 0.0:
            yield middle - far, middle + far
        else:
            yield middle - far, middle - near
            yield middle + near, middle + far
    for width in _engagement_edges(axle, window, setting):
        yield width - _ANCHOR_MM - _AT_MM, width - _ANCHOR_MM + _AT_MM


@lru_cache(maxsize=65536)
def _reach(half: float, uncertainty: float, limit: float) -> tuple[float, float] | None:
    """How far from a window's middle the probability falls below the limit: between two distances [mm].

    None if it is nowhere so great.
    """

    def probability(distance: float) -> float:
        return conformance_probability(distance, uncertainty, lower_mm=-half, upper_mm=half)

    most = probability(0.0)
    if most < limit - _FLAT:
        return None
    far = half + 40.0 * uncertainty
    if most < limit + _FLAT:
        return 0.0, far
    near = 0.0
    while far - near > _NEAR_MM / 8:
        middle = (near + far) / 2
        if probability(middle) >= limit:
            near = middle
        else:
            far = middle
    return near - _NEAR_MM, far + _NEAR_MM


def _engagement_edges(axle: Axle, window: WidthWindow, setting: Setting) -> Iterator[float]:
    """The widths at which the axle begins to stand proud, or to engage too little [mm]."""
    length = axle.length_mm or 0.0
    if axle.fastening is Fastening.THREADED_WALL:
        yield length - PROUD_CAUTION_MM - LIMIT_ROUNDING_MM
    if axle.fastening is Fastening.BOLT_AND_NUT:
        assert axle.thread is not None and axle.nut_height_mm is not None  # noqa: S101, PT018
        shown = (LEAST_SHOWN_PITCHES - LIMIT_ROUNDING_MM) * axle.thread.pitch_mm
        yield length - axle.nut_height_mm - shown
        return
    if window.least_engaged_mm is None or window.caution_engaged_mm is None:
        return
    for wanted in (window.least_engaged_mm, window.caution_engaged_mm):
        yield from _widths_engaging(axle, wanted - LIMIT_ROUNDING_MM, setting)


def _widths_engaging(axle: Axle, wanted_mm: float, setting: Setting) -> Iterator[float]:
    """The widths at which just so much may engage [mm]."""
    if axle.fastening is Fastening.TWO_PIECE:
        barrel, mouth, screw = axle.barrel_mm or 0.0, axle.barrel_mouth_mm or 0.0, axle.screw_mm or 0.0
        yield barrel + screw - mouth - wanted_mm + setting.recess_mm
        return
    assert axle.thread is not None and axle.length_mm is not None  # noqa: S101, PT018
    tip = axle.length_mm - LEAD_PITCHES * axle.thread.pitch_mm
    yield tip + (setting.far_wall_mm or 0.0) - wanted_mm
    if axle.thread_length_mm is not None:
        yield axle.length_mm - axle.thread_length_mm + wanted_mm
