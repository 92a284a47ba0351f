"""Where wheels stand on a tilted frame, and the chord under them; lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, atan2, cos, hypot, sin

from schemas.rockers import WheelAnswer
from service.fitting.drawing.shapes import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """The chord from the first to the last touching wheel, and where a wheel reaches deepest through it.

    Points along the frame and down from its line of axles.
    """

    chord: tuple[Point, Point]
    deepest: tuple[Point, Point] | None
    radius_mm: float


def turned(wheels: Sequence[WheelAnswer], tilt_rad: float) -> list[Point]:
    """The wheels' middles, along and above a ground that is as steep in the frame."""
    along, above = cos(tilt_rad), sin(tilt_rad)
    return [
        (
            wheel.axle_position_mm * along + wheel.offset_mm * above,
            wheel.offset_mm * along - wheel.axle_position_mm * above,
        )
        for wheel in wheels
    ]


def curve_of(wheels: Sequence[WheelAnswer], radius_mm: float | None) -> Curve:
    """The chord of the wheels that touch: the line that touches the first and the last from below."""
    touching = [wheel for wheel in wheels if wheel.touches]
    first, last = touching[0], touching[-1]
    run, rise = last.axle_position_mm - first.axle_position_mm, last.offset_mm - first.offset_mm
    slope = atan2(rise, run) + asin((first.diameter_mm - last.diameter_mm) / 2 / hypot(run, rise))
    across, down = sin(slope), cos(slope)  # from a wheel's middle to the chord

    def lowest(wheel: WheelAnswer) -> Point:
        radius = wheel.diameter_mm / 2
        return wheel.axle_position_mm + radius * across, -wheel.offset_mm + radius * down

    start, end = lowest(first), lowest(last)
    below = [((p := lowest(wheel))[0] - start[0]) * across + (p[1] - start[1]) * down for wheel in touching]
    depth = max(below)
    foot = lowest(touching[below.index(depth)])
    deepest = ((foot[0] - depth * across, foot[1] - depth * down), foot) if depth > 0 else None
    return Curve(chord=(start, end), deepest=deepest, radius_mm=radius_mm or 0.0)
