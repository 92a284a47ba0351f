"""How far a thread engages: in the tapped wall, in the barrel, through the nut."""

from __future__ import annotations

from service.engine.constants import LEAD_PITCHES
from service.engine.parts import Axle

BARREL_AND_SCREW = ("barrel_mm", "barrel_mouth_mm", "barrel_thread_mm", "screw_mm", "thread")
"""The columns without which the engagement of a two-piece axle is not known."""


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
    >>> from service.engine.codes import Fastening
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

    Examples
    --------
    >>> from service.engine.codes import Fastening
    >>> lengths = {"barrel_mm": 30.0, "barrel_mouth_mm": 1.0, "barrel_thread_mm": 11.0, "screw_mm": 14.0}
    >>> engaged_in_barrel_mm(Axle(sku="A", fastening=Fastening.TWO_PIECE, **lengths), grip_mm=36.0)
    7.0

    References
    ----------
    Geometry: common practice, no source.
    """
    barrel, mouth, depth, screw = barrel_and_screw(axle)
    return max(min(barrel + screw - grip_mm - mouth, depth), 0.0)


def shown_pitches(axle: Axle, *, outside_width_mm: float) -> float:
    """Pitches of thread that a bolt shows beyond its nut [1]; negative where the nut is not full.

    Valid for a bolt that is threaded up to its nut.

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

    Examples
    --------
    >>> from service.engine.codes import Fastening
    >>> from service.engine.threads import parse_thread
    >>> sizes = {"length_mm": 45.0, "nut_height_mm": 5.0, "thread": parse_thread("M6x1")}
    >>> shown_pitches(Axle(sku="A", fastening=Fastening.BOLT_AND_NUT, **sizes), outside_width_mm=38.0)
    2.0

    References
    ----------
    Geometry; that one pitch must show is common practice, no source.
    """
    if axle.length_mm is None or axle.nut_height_mm is None or axle.thread is None:
        raise ValueError("the shown thread needs the bolt's length, its nut's height and its thread")
    return (axle.length_mm - axle.nut_height_mm - outside_width_mm) / axle.thread.pitch_mm


def barrel_and_screw(axle: Axle) -> tuple[float, float, float, float]:
    """Lengths of barrel, mouth, thread and screw of a two-piece axle.

    Valid for an axle whose lengths are all known.

    Parameters
    ----------
    axle : Axle
        A two-piece axle.

    Returns
    -------
    tuple of 4 floats
        Barrel, mouth, thread depth, screw [mm].

    Raises
    ------
    ValueError
        If one of them is not known.

    Examples
    --------
    >>> from service.engine.codes import Fastening
    >>> lengths = {"barrel_mm": 30.0, "barrel_mouth_mm": 1.0, "barrel_thread_mm": 11.0, "screw_mm": 14.0}
    >>> barrel_and_screw(Axle(sku="A", fastening=Fastening.TWO_PIECE, **lengths))
    (30.0, 1.0, 11.0, 14.0)

    References
    ----------
    The parts' own data: common practice, no source.
    """
    if (
        axle.barrel_mm is None
        or axle.barrel_mouth_mm is None
        or axle.barrel_thread_mm is None
        or axle.screw_mm is None
    ):
        raise ValueError("the engagement needs the lengths of barrel, mouth, thread and screw")
    return axle.barrel_mm, axle.barrel_mouth_mm, axle.barrel_thread_mm, axle.screw_mm
