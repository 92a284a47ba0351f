"""Width windows: the outside widths of a frame that an axle serves."""

from __future__ import annotations

from typing import NamedTuple

from service.engine.codes import Fastening
from service.engine.constants import (
    BARREL_CLEARANCE_MM,
    CAUTION_SHARE_OF_FLUSH_ENGAGEMENT,
    GREATEST_BOLT_END_MM,
    IDEAL_SHOWN_PITCHES,
    LEAD_PITCHES,
    LEAST_ENGAGED_PITCHES,
    LEAST_SHARE_OF_FLUSH_ENGAGEMENT,
    LEAST_SHOWN_PITCHES,
    LIMIT_ROUNDING_MM,
    PROUD_REFUSED_MM,
    SHANK_REACH_PITCHES,
    STANDARD_NUT_HEIGHT_RATIO,
    UNKNOWN_WALL_REACH_MM,
)
from service.engine.engagement import BARREL_AND_SCREW, barrel_and_screw
from service.engine.parts import Axle


class WidthWindow(NamedTuple):
    """The outside widths that an axle serves, and how its thread engages over them.

    ``least_engaged_mm`` and ``caution_engaged_mm`` are None where the engagement cannot be computed;
    ``missing`` then names what is missing: a column of the part, or ``far_wall_mm`` of the frame.
    A window whose upper limit lies below its lower limit serves no width.
    """

    lower_mm: float
    upper_mm: float
    ideal_mm: float
    least_engaged_mm: float | None = None
    caution_engaged_mm: float | None = None
    missing: str | None = None
    makers_word: bool = False


def width_window(
    axle: Axle, *, far_wall_mm: float | None = None, recess_mm: float = 0.0, strip_length_mm: float = 0.0
) -> WidthWindow | None:
    """The outside widths that this axle serves on a frame with these walls.

    Valid for an axle of any fastening whose lengths are known.

    Parameters
    ----------
    axle : Axle
        The axle, of any fastening.
    far_wall_mm : float, optional
        The tapped wall's thickness [mm], for a threaded-wall axle.
    recess_mm : float
        Depth of both head recesses together [mm], for a two-piece axle.
    strip_length_mm : float
        Engaged length at which the thread would strip at twice the preload [mm].

    Returns
    -------
    WidthWindow or None
        Its limits [mm]; None where the part's data do not suffice to compute any window.

    Examples
    --------
    >>> from service.engine.threads import parse_thread
    >>> a = Axle(sku="A", fastening=Fastening.THREADED_WALL, length_mm=36.0, thread=parse_thread("M8x1.25"))
    >>> window = width_window(a, far_wall_mm=6.0)
    >>> window.lower_mm, round(window.upper_mm, 3)
    (35.0, 37.9)

    References
    ----------
    Geometry of the parts; the reserves are common practice, no source.
    """
    if axle.fastening is Fastening.THREADED_WALL:
        return _threaded_wall(axle, far_wall_mm, strip_length_mm)
    if axle.fastening is Fastening.TWO_PIECE:
        return _two_piece(axle, recess_mm, strip_length_mm)
    return _bolt_and_nut(axle)


def missing_for_window(axle: Axle) -> tuple[str, ...]:
    """The columns without which no window of this axle can be computed; empty where one can."""
    if width_window(axle) is not None:
        return ()
    needed = {
        Fastening.THREADED_WALL: ("length_mm",),
        Fastening.TWO_PIECE: ("barrel_mm", "barrel_mouth_mm", "barrel_thread_mm", "screw_mm", "thread"),
        Fastening.BOLT_AND_NUT: ("length_mm", "nut_height_mm", "thread"),
    }[axle.fastening]
    return tuple(column for column in needed if getattr(axle, column) is None)


def _threaded_wall(axle: Axle, far_wall: float | None, strip_length: float) -> WidthWindow | None:
    length = axle.length_mm
    if length is None:
        return None
    lower = length - PROUD_REFUSED_MM
    if far_wall is None or axle.thread is None:
        missing = "thread" if axle.thread is None else "far_wall_mm"
        return WidthWindow(lower, length + UNKNOWN_WALL_REACH_MM, length, missing=missing)
    pitch = axle.thread.pitch_mm
    if axle.thread_length_mm is not None:
        # Else the unthreaded shank meets the tapped wall before the head seats.
        lower = max(lower, length - axle.thread_length_mm + far_wall - SHANK_REACH_PITCHES * pitch)
    flush = far_wall - LEAD_PITCHES * pitch
    least = max(LEAST_ENGAGED_PITCHES * pitch, strip_length, LEAST_SHARE_OF_FLUSH_ENGAGEMENT * flush)
    upper = length + flush - least
    if axle.thread_length_mm is not None:
        can_engage = axle.thread_length_mm - LEAD_PITCHES * pitch
        if can_engage < least - LIMIT_ROUNDING_MM:
            upper = lower  # the axle serves no width
    caution = max(least, CAUTION_SHARE_OF_FLUSH_ENGAGEMENT * flush)
    return WidthWindow(lower, upper, min(max(length, lower), max(lower, upper)), least, caution)


def _two_piece(axle: Axle, recess: float, strip_length: float) -> WidthWindow | None:
    stated_lower, stated_upper = axle.grip_min_mm, axle.grip_max_mm
    computed = computed_grip(axle, strip_length_mm=strip_length)
    if computed is None:
        if stated_lower is None or stated_upper is None:
            return None
        middle = (stated_lower + stated_upper) / 2.0 + recess
        missing = next(c for c in BARREL_AND_SCREW if getattr(axle, c) is None)
        return WidthWindow(
            stated_lower + recess, stated_upper + recess, middle, missing=missing, makers_word=True
        )
    lower, upper, least, caution = computed
    reaches_caution_free = (axle.barrel_thread_mm or 0.0) >= caution
    free = upper + least - caution if reaches_caution_free else lower
    if stated_lower is not None:
        lower = max(lower, stated_lower)
    if stated_upper is not None:
        upper = min(upper, stated_upper)
    widest = min(upper, free) if free > lower else upper
    return WidthWindow(lower + recess, upper + recess, (lower + widest) / 2.0 + recess, least, caution)


def computed_grip(axle: Axle, *, strip_length_mm: float = 0.0) -> tuple[float, float, float, float] | None:
    """Least and greatest grip of a two-piece axle by its lengths, and its least and cautious engagement.

    Valid for a barrel and screw of one material.

    Parameters
    ----------
    axle : Axle
        A two-piece axle.
    strip_length_mm : float
        Engaged length at which the thread would strip at twice the preload [mm].

    Returns
    -------
    tuple of 4 floats, or None
        Least grip, greatest grip, least accepted engagement, engagement below which there is a caution,
        all [mm]; None where a length or the thread is not known.

    Examples
    --------
    >>> from service.engine.threads import parse_thread
    >>> lengths = {"barrel_mm": 30.0, "barrel_mouth_mm": 1.0, "barrel_thread_mm": 11.0, "screw_mm": 14.0}
    >>> m6 = parse_thread("M6x1")
    >>> computed_grip(Axle(sku="A", fastening=Fastening.TWO_PIECE, thread=m6, **lengths))[:2]
    (32.0, 41.0)

    References
    ----------
    Geometry; the caution below a standard nut's height: DIN 934, from memory.
    """
    if axle.thread is None or any(getattr(axle, column) is None for column in BARREL_AND_SCREW):
        return None
    barrel, mouth, depth, screw = barrel_and_screw(axle)
    least = max(LEAST_ENGAGED_PITCHES * axle.thread.pitch_mm, strip_length_mm)
    caution = max(least, STANDARD_NUT_HEIGHT_RATIO * axle.thread.major_mm)
    # Below the lower limit the barrel's end meets the other head, or the screw bottoms: nothing clamps.
    lower = max(barrel + BARREL_CLEARANCE_MM, barrel + screw - mouth - depth)
    return lower, barrel + screw - mouth - least, least, caution


def _bolt_and_nut(axle: Axle) -> WidthWindow | None:
    if axle.length_mm is None or axle.nut_height_mm is None or axle.thread is None:
        return None
    pitch = axle.thread.pitch_mm
    through_nut = axle.length_mm - axle.nut_height_mm
    lower = through_nut - GREATEST_BOLT_END_MM
    if axle.thread_length_mm is not None:
        lower = max(lower, axle.length_mm - axle.thread_length_mm)
    return WidthWindow(
        lower, through_nut - LEAST_SHOWN_PITCHES * pitch, through_nut - IDEAL_SHOWN_PITCHES * pitch
    )
