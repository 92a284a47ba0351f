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
    PROUD_REFUSED_MM,
    SHANK_REACH_PITCHES,
    STANDARD_NUT_HEIGHT_RATIO,
    UNKNOWN_WALL_REACH_MM,
)
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
        None where the part's data do not suffice to compute any window.

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


def engaged_in_wall_mm(axle: Axle, *, outside_width_mm: float, far_wall_mm: float) -> float:
    """Length over which the thread of a threaded-wall axle sits in the tapped wall.

    Valid for an axle of known length and thread.

    Parameters
    ----------
    axle : Axle
        A threaded-wall axle.
    outside_width_mm : float
        Outside width of the frame [mm].
    far_wall_mm : float
        Thickness of the tapped wall [mm].

    Returns
    -------
    float
        Engaged length, 0 to the wall's thickness [mm]; it never grows as the width grows past flush.

    Raises
    ------
    ValueError
        If the axle's length or thread is not known.

    Examples
    --------
    >>> from service.engine.threads import parse_thread
    >>> a = Axle(sku="A", fastening=Fastening.THREADED_WALL, length_mm=36.0, thread=parse_thread("M8x1.25"))
    >>> engaged_in_wall_mm(a, outside_width_mm=36.0, far_wall_mm=6.0)
    4.75

    References
    ----------
    Geometry; the first pitch at the tip counts as no engagement: common practice, no source.
    """
    if axle.length_mm is None or axle.thread is None:
        raise ValueError("the engaged length needs the axle's length and thread")
    tip = axle.length_mm - LEAD_PITCHES * axle.thread.pitch_mm
    begin = outside_width_mm - far_wall_mm
    if axle.thread_length_mm is not None:
        begin = max(begin, axle.length_mm - axle.thread_length_mm)
    return min(max(min(outside_width_mm, tip) - begin, 0.0), far_wall_mm)


def engaged_in_barrel_mm(axle: Axle, *, grip_mm: float) -> float:
    """Length over which the screw of a two-piece axle sits in the barrel's thread.

    Valid for a barrel and screw of known lengths.

    Parameters
    ----------
    axle : Axle
        A two-piece axle.
    grip_mm : float
        Distance between the heads [mm].

    Returns
    -------
    float
        Engaged length, 0 to the thread's depth [mm].

    Raises
    ------
    ValueError
        If a length of the barrel or the screw is not known.

    References
    ----------
    Geometry.
    """
    barrel, mouth, depth, screw = _barrel_and_screw(axle)
    return max(min(barrel + screw - grip_mm - mouth, depth), 0.0)


def shown_pitches(axle: Axle, *, outside_width_mm: float) -> float:
    """Pitches of thread that a bolt shows beyond its nut [1]; negative where the nut is not full.

    Parameters
    ----------
    axle : Axle
        A bolt and nut.
    outside_width_mm : float
        Outside width of the frame [mm].

    Returns
    -------
    float
        Pitches beyond the nut [1].

    Raises
    ------
    ValueError
        If the bolt's length, its nut's height or its thread is not known.

    References
    ----------
    Geometry; that one pitch must show is common practice, no source.
    """
    if axle.length_mm is None or axle.nut_height_mm is None or axle.thread is None:
        raise ValueError("the shown thread needs the bolt's length, its nut's height and its thread")
    return (axle.length_mm - axle.nut_height_mm - outside_width_mm) / axle.thread.pitch_mm


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
    return WidthWindow(
        lower, length + flush - least, length, least, max(least, CAUTION_SHARE_OF_FLUSH_ENGAGEMENT * flush)
    )


def _two_piece(axle: Axle, recess: float, strip_length: float) -> WidthWindow | None:
    stated_lower, stated_upper = axle.grip_min_mm, axle.grip_max_mm
    computed = computed_grip(axle, strip_length_mm=strip_length)
    if computed is None:
        if stated_lower is None or stated_upper is None:
            return None
        middle = (stated_lower + stated_upper) / 2.0 + recess
        missing = next(c for c in _BARREL_AND_SCREW if getattr(axle, c) is None)
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

    References
    ----------
    Geometry; the caution below a standard nut's height: ISO 4032:2012.
    """
    if axle.thread is None or any(getattr(axle, column) is None for column in _BARREL_AND_SCREW):
        return None
    barrel, mouth, depth, screw = _barrel_and_screw(axle)
    least = max(LEAST_ENGAGED_PITCHES * axle.thread.pitch_mm, strip_length_mm)
    caution = max(least, STANDARD_NUT_HEIGHT_RATIO * axle.thread.major_mm)
    # Below the lower limit the barrel's end meets the other head, or the screw bottoms: nothing clamps.
    lower = max(barrel + BARREL_CLEARANCE_MM, barrel + screw - mouth - depth)
    return lower, barrel + screw - mouth - least, least, caution


_BARREL_AND_SCREW = ("barrel_mm", "barrel_mouth_mm", "barrel_thread_mm", "screw_mm", "thread")


def _barrel_and_screw(axle: Axle) -> tuple[float, float, float, float]:
    """Barrel, mouth, thread depth and screw [mm]."""
    if (
        axle.barrel_mm is None
        or axle.barrel_mouth_mm is None
        or axle.barrel_thread_mm is None
        or axle.screw_mm is None
    ):
        raise ValueError("the engagement needs the lengths of barrel, mouth, thread and screw")
    return axle.barrel_mm, axle.barrel_mouth_mm, axle.barrel_thread_mm, axle.screw_mm


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
