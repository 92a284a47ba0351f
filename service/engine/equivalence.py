"""Which parts can stand in for an axle: the same width window, and no check that comes out worse."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import NamedTuple

from service.engine.codes import ROUND_HEADED, Fastening, Holes, Position, Verdict
from service.engine.constants import HUB_WIDTH_MM, INSTRUMENT_HALF_WIDTH_MM, LIMIT_ROUNDING_MM
from service.engine.frame import Frame
from service.engine.judgement import Judgement, judge, window_on
from service.engine.measurement import FrameWidths, Quantity, quantity_from_readings
from service.engine.parts import Axle, CatalogueFacts
from service.engine.probability import nominal_bore
from service.engine.ranking import tie_break
from service.engine.windows import WidthWindow, width_window

_VERDICTS = {verdict: place for place, verdict in enumerate(Verdict)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """What both axles are used for: who rides on them, in which wheel, and in which tapped walls [mm]."""

    walls_mm: tuple[float, ...] = ()
    rider_mass_kg: float | None = None
    child: bool = False
    hub_width_mm: float = HUB_WIDTH_MM


class StandIn(NamedTuple):
    """A part that can stand in: its judgement on the frame made for the axle, and how far the windows differ.

    ``apart_mm`` is the greatest distance between the limits of the two windows [mm].
    """

    judgement: Judgement
    apart_mm: float


def frame_family(axle: Axle) -> str | None:
    """The profile of the one frame family that a keyed axle goes into; None for any other axle."""
    if axle.fastening is not Fastening.TWO_PIECE or axle.keyed_profile == ROUND_HEADED:
        return None
    return axle.keyed_profile


def frames_made_for(axle: Axle, use: Use) -> list[Frame]:
    """Frames that are as the axle needs them, one for each tapped wall; none where it has no window.

    What the catalogue does not know of the axle is not known of the frame either.
    """
    threaded = axle.fastening is Fastening.THREADED_WALL
    walls = (use.walls_mm or (None,)) if threaded else (None,)
    frames = []
    for wall_mm in walls:
        frame = Frame(
            widths=FrameWidths(outside=_read(1.0), far_wall=None if wall_mm is None else _read(wall_mm)),
            fastening=axle.fastening,
            bore=None if axle.shaft_mm is None else nominal_bore(axle.shaft_mm),
            thread=axle.thread if threaded else None,
            holes=Holes.OVAL if axle.offset_mm else Holes.ROUND,
            hole_offset_mm=axle.offset_mm or None,
            keyed_profile=axle.keyed_profile,
            position=Position.ANY if axle.brake_thread is None else Position.BRAKE,
            brake_thread=axle.brake_thread,
            rider_mass_kg=use.rider_mass_kg,
            child=use.child,
            hub_width_mm=use.hub_width_mm,
        )
        if (window := window_on(axle, frame)) is not None:
            frames.append(_as_wide_as(window, frame))
    return frames


def _read(length_mm: float) -> Quantity:
    return quantity_from_readings([length_mm], half_width_mm=INSTRUMENT_HALF_WIDTH_MM["calliper"])


def _as_wide_as(window: WidthWindow, frame: Frame) -> Frame:
    return replace(frame, widths=replace(frame.widths, outside=_read(window.ideal_mm)))


def windows_apart_mm(one: WidthWindow, other: WidthWindow) -> float:
    """How far the limits of two windows lie apart at most.

    Valid for windows on the same walls.

    Parameters
    ----------
    one, other : WidthWindow
        The two windows [mm].

    Returns
    -------
    float
        The greater of the distances between their lower and their upper limits, 0 or more [mm].

    Examples
    --------
    >>> windows_apart_mm(WidthWindow(35.0, 37.9, 36.0), WidthWindow(35.3, 37.8, 36.2)) <= 0.3 + 1e-9
    True

    References
    ----------
    Common practice, no source.
    """
    return max(abs(one.lower_mm - other.lower_mm), abs(one.upper_mm - other.upper_mm))


def stand_ins(axle: Axle, parts: Iterable[Axle], facts: CatalogueFacts, *, use: Use) -> list[StandIn]:
    """The parts that can stand in for an axle, best first.

    A part can if on every frame made for the axle its width window is the same within both length
    tolerances together, and no check of it fails.
    """
    frames = frames_made_for(axle, use)
    found = []
    for part in parts:
        if part.sku == axle.sku or not _alike(axle, part):
            continue
        apart = max((_apart_on(frame, axle, part) for frame in frames), default=math.inf)
        if apart > axle.length_tolerance_mm + part.length_tolerance_mm + LIMIT_ROUNDING_MM:
            continue
        judged = [j for frame in frames if (j := judge(part, frame, facts)) is not None]
        worst = max(judged, key=lambda judgement: _VERDICTS[judgement.verdict])
        if worst.verdict is not Verdict.NO_FIT:
            found.append(StandIn(worst, apart))
    return sorted(found, key=_order)


def _alike(axle: Axle, part: Axle) -> bool:
    """Whether nothing that must be equal is known to differ; spares a judgement of most parts."""
    threads = (axle.thread, part.thread) if axle.fastening is Fastening.THREADED_WALL else (None,)
    pairs = ((axle.shaft_mm, part.shaft_mm), threads)
    return axle.fastening is part.fastening and all(None in pair or len(set(pair)) == 1 for pair in pairs)


def _apart_on(frame: Frame, axle: Axle, part: Axle) -> float:
    """How far the two windows lie apart on a frame [mm]; infinitely far where the part has none.

    An axle of unknown material is taken to be of the part's: it is its lengths that are compared.
    """
    if axle.material is None:
        axle = replace(axle, material=part.material)
    one, other = window_on(axle, frame), window_on(part, frame)
    if one is None or other is None:
        return math.inf
    if axle.fastening is Fastening.THREADED_WALL and one.missing != other.missing:
        # The thread of one is not known: both are compared as if the wall were not.
        one, other = width_window(axle) or one, width_window(part) or other
    return windows_apart_mm(one, other)


def _order(stand_in: StandIn) -> tuple[float | str, ...]:
    judgement = stand_in.judgement
    return (
        _VERDICTS[judgement.verdict],
        round(stand_in.apart_mm, 1),
        *tie_break(judgement.axle),
    )
