"""The rocker: circles on axles at different heights, and the ground that they stand on.

Coordinates are the frame's own: x from the front axle to the rear, y upwards from the frame's line of axles.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import asin, atan2, cos, hypot, sin

from service.engine.constants import LIMIT_ROUNDING_MM

Point = tuple[float, float]
"""Distances along and above a line [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wheel:
    """A wheel on its axle: the place of the axle and the wheel's radius [mm]."""

    position_mm: float
    height_mm: float
    radius_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stance:
    """One way to stand: which wheels touch (from 0), and how the ground lies under them.

    ``tilt_rad`` is the slope of the ground in the frame: positive where the toes are up. ``clearances_mm``
    has for each wheel its height above the ground, ``points_mm`` for each that touches the point of contact.
    """

    touching: tuple[int, ...]
    tilt_rad: float
    clearances_mm: tuple[float, ...]
    points_mm: tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """The curve of the wheels that touch, under the chord from the first to the last [mm].

    ``radius_mm`` is None where all lie on the chord; ``greatest_miss_mm`` is how far a touching point is off
    the circle of that radius.
    """

    chord_mm: float
    depth_mm: float
    radius_mm: float | None
    greatest_miss_mm: float


def room_between_mm(front: Wheel, rear: Wheel) -> float:
    """The room between two wheels.

    Valid for any two wheels.

    Parameters
    ----------
    front, rear : Wheel
        The wheels [mm].

    Returns
    -------
    float
        Between their treads [mm]; negative where they overlap.

    Examples
    --------
    >>> front, rear = (Wheel(position_mm=x, height_mm=0.0, radius_mm=40.0) for x in (0.0, 83.0))
    >>> room_between_mm(front, rear)
    3.0

    References
    ----------
    Euclid, Elements, book III, proposition 12: the centres and the point where circles touch are in line.
    """
    between = hypot(rear.position_mm - front.position_mm, rear.height_mm - front.height_mm)
    return between - front.radius_mm - rear.radius_mm


def tangent_tilt_rad(front: Wheel, rear: Wheel) -> float:
    """The slope of the ground that two wheels stand on: their common outer tangent from below.

    Valid for wheels neither of which lies within the other. The ground's upward normal n has
    n·(rear - front) = rear radius - front radius, the centres a distance D apart in the direction φ: so the
    ground's direction is φ - asin((rear radius - front radius)/D). Only for equal wheels that is φ.

    Parameters
    ----------
    front, rear : Wheel
        The wheels [mm].

    Returns
    -------
    float
        Slope of the ground in the frame [rad], positive where it rises to the rear: then the toes are up.

    Examples
    --------
    >>> sizes = ((0.0, 40.0), (100.0, 45.0))
    >>> front, rear = (Wheel(position_mm=x, height_mm=0.0, radius_mm=r) for x, r in sizes)
    >>> round(tangent_tilt_rad(front, rear), 4)  # the larger wheel lifts the heel: -asin(5/100)
    -0.05

    References
    ----------
    Euclid, Elements, book III, proposition 18: a tangent is at right angles to the radius where it touches.
    """
    along, up = rear.position_mm - front.position_mm, rear.height_mm - front.height_mm
    return atan2(up, along) - asin((rear.radius_mm - front.radius_mm) / hypot(along, up))


def clearances_mm(wheels: Sequence[Wheel], tilt_rad: float) -> tuple[float, ...]:
    """How high each wheel stands above the ground, where the ground has this slope and bears the lowest.

    Valid for slopes under a right angle.

    Parameters
    ----------
    wheels : sequence of Wheel
        The wheels [mm].
    tilt_rad : float
        Slope of the ground in the frame [rad], positive where it rises to the rear.

    Returns
    -------
    tuple of floats
        For each wheel its height above the ground [mm]; the least is 0.

    Examples
    --------
    >>> level = [Wheel(position_mm=x, height_mm=h, radius_mm=40.0) for x, h in ((0.0, 1.0), (90.0, 0.0))]
    >>> clearances_mm(level, 0.0)
    (1.0, 0.0)

    References
    ----------
    Distance of a point from a line in Hesse's normal form (textbook geometry): common practice, no source.
    """
    lowest = [w.height_mm * cos(tilt_rad) - w.position_mm * sin(tilt_rad) - w.radius_mm for w in wheels]
    ground = min(lowest)
    return tuple(low - ground for low in lowest)


def stances_of(wheels: Sequence[Wheel]) -> tuple[Stance, ...]:
    """The stances of a skate from its front wheels to its rear ones: the edges of the wheels' lower hull.

    Valid for wheels in order from the front that do not overlap and whose heights differ by less than the
    least diameter: then the first and the last wheel touch in some stance. From the wheel in hand, the ground
    goes to the wheel to which it falls most, or rises least: no wheel is under it then.

    Parameters
    ----------
    wheels : sequence of Wheel
        Two wheels or more, from the front [mm].

    Returns
    -------
    tuple of Stance
        In rising order of their slopes [rad].

    Raises
    ------
    ValueError
        If wheels overlap, or their heights differ by as much as the least diameter.

    Examples
    --------
    >>> heights = ((0.0, 1.0), (80.0, 0.0), (160.0, 0.0), (240.0, 1.0))
    >>> wheels = [Wheel(position_mm=x, height_mm=h, radius_mm=38.0) for x, h in heights]
    >>> [stance.touching for stance in stances_of(wheels)]
    [(0, 1), (1, 2), (2, 3)]

    References
    ----------
    Rappaport, A convex hull algorithm for discs, and applications, Computational Geometry 1 (1992) 171-187;
    walked around as in Jarvis, Information Processing Letters 2 (1973) 18-21.
    """
    heights = [wheel.height_mm for wheel in wheels]
    if any(room_between_mm(front, rear) < 0 for front, rear in pairwise(wheels)):
        raise ValueError("wheels that do not overlap are expected")
    if max(heights) - min(heights) >= 2 * min(wheel.radius_mm for wheel in wheels):
        raise ValueError("heights that differ by less than the least diameter are expected")
    stances: list[Stance] = []
    here = 0
    while here < len(wheels) - 1:
        tilts = {n: tangent_tilt_rad(wheels[here], wheels[n]) for n in range(here + 1, len(wheels))}
        next_one = min(tilts, key=lambda n: tilts[n])
        tilt = tilts[next_one]
        clearances = clearances_mm(wheels, tilt)
        touching = tuple(
            n for n, clear in enumerate(clearances) if n in {here, next_one} or clear <= LIMIT_ROUNDING_MM
        )
        points = tuple(_touching_point(wheels[n], tilt) for n in touching)
        stances.append(Stance(touching=touching, tilt_rad=tilt, clearances_mm=clearances, points_mm=points))
        here = touching[-1]
    return tuple(stances)


def _touching_point(wheel: Wheel, tilt_rad: float) -> Point:
    """The wheel's point that is nearest to the ground: below its axle, at right angles to the ground."""
    return (
        wheel.position_mm + wheel.radius_mm * sin(tilt_rad),
        wheel.height_mm - wheel.radius_mm * cos(tilt_rad),
    )


def curve_of(wheels: Sequence[Wheel]) -> Curve:
    """How deep the wheels that touch hang under the chord from the first to the last, and on which radius.

    Valid as `stances_of`. The chord is the outer tangent of the first and the last wheel, and each wheel's
    touching point is the one nearest to a ground along the chord. The circle goes through the touching points
    of the first and the last wheel, and misses those between by the least sum of squares, reckoned towards
    the chord, as a shallow curve allows: it goes through all where there is such a circle, as for three
    wheels, or four that are alike from both ends. Circles through both ends of a chord c with the centre k
    above it have u(c - u) - v² = 2kv, u along and v under the chord.

    Parameters
    ----------
    wheels : sequence of Wheel
        Two wheels or more, from the front [mm].

    Returns
    -------
    Curve
        Chord, depth, radius and the greatest miss [mm].

    Examples
    --------
    >>> heights = ((0.0, 1.0), (120.0, 0.0), (240.0, 1.0))
    >>> curve = curve_of([Wheel(position_mm=x, height_mm=h, radius_mm=40.0) for x, h in heights])
    >>> curve.chord_mm, curve.depth_mm, curve.radius_mm  # 240²/(8·1) + 1/2
    (240.0, 1.0, 7200.5)

    References
    ----------
    Euclid, Elements, book III, proposition 35 (chords that meet): radius = chord²/(8·depth) + depth/2 for
    three points; least squares: JCGM 100:2008, H.3.
    """
    first, last = wheels[0], wheels[-1]
    tilt = tangent_tilt_rad(first, last)
    start_x, start_y = _touching_point(first, tilt)
    end_x, end_y = _touching_point(last, tilt)
    chord = hypot(end_x - start_x, end_y - start_y)
    touching = sorted({n for stance in stances_of(wheels) for n in stance.touching})[1:-1]
    between: list[Point] = []
    for x, y in (_touching_point(wheels[n], tilt) for n in touching):
        right, up = x - start_x, y - start_y
        between.append((right * cos(tilt) + up * sin(tilt), right * sin(tilt) - up * cos(tilt)))
    depth = max((under for _, under in between), default=0.0)
    if depth <= LIMIT_ROUNDING_MM:
        return Curve(chord_mm=chord, depth_mm=0.0, radius_mm=None, greatest_miss_mm=0.0)
    powers = [along * (chord - along) - under**2 for along, under in between]
    bend = sum(p * v for p, (_, v) in zip(powers, between, strict=True)) / sum(p**2 for p in powers)
    centre = 1 / (2 * bend)
    radius = hypot(chord / 2, centre)
    misses = (abs(hypot(along - chord / 2, under + centre) - radius) for along, under in between)
    return Curve(chord_mm=chord, depth_mm=depth, radius_mm=radius, greatest_miss_mm=max(misses))
