"""The frame and the wheel in section: walls with their holes and recesses, hub, bearings, sleeve.

Along x from the head wall's outer face, down y from the middle of the holes [mm].
"""

from __future__ import annotations

from collections.abc import Iterator

from service.engine.codes import Fastening
from service.engine.constants import BEARING_BORE_MM, BEARING_WIDTH_MM
from service.engine.threads import thread_dimensions
from service.fitting.drawing.measures import AxleMeasures, DrawingAnswer, FrameMeasures, Length
from service.fitting.drawing.shapes import THICK, THIN, Look, Pen, Point, Shape, group, moved
from service.fitting.drawing.sizes import (
    BEARING_OUTSIDE_MM,
    HUB_RADIUS_MM,
    HUB_SHOULDER_RADIUS_MM,
    WALL_ABOVE_MM,
    WALL_BELOW_MM,
)

_ROOM_AROUND_HEAD_MM = 0.3
_RING_OF_BEARING = 0.25


def frame_shapes(pen: Pen, answer: DrawingAnswer) -> Shape:
    """Both walls and the wheel between them."""
    frame, axle = answer.frame, answer.axle
    walls = [_head_wall(pen, frame, axle), _far_wall(pen, frame, axle)]
    wheel = moved(group("wheel", list(_wheel(pen, answer))), 0.0, -axle.offset_mm)
    return group("frame", [*walls, wheel], mm=round(frame.outside.mm, 3))


def _head_wall(pen: Pen, frame: FrameMeasures, axle: AxleMeasures) -> Shape:
    """The wall under the driven head, with the recess that the head sits in."""
    sunk = axle.fastening is Fastening.THREADED_WALL
    depth = axle.head_height_mm if sunk else min(frame.recess_mm / 2, frame.head_wall.mm)
    shapes = _wall(pen, frame, frame.head_wall, _recessed(frame, axle, frame.head_wall.mm, depth))
    return group("head_wall", shapes, mm=round(frame.head_wall.mm, 3))


def _far_wall(pen: Pen, frame: FrameMeasures, axle: AxleMeasures) -> Shape:
    """The wall opposite the driven head: tapped, or with a plain hole and a recess."""
    width, wall = frame.outside.mm, frame.far_wall
    if frame.tapped is None:
        corners = _recessed(frame, axle, wall.mm, min(frame.recess_mm / 2, wall.mm))
    else:
        radius = thread_dimensions(frame.tapped).internal_minor_mm / 2
        corners = (wall.mm, radius), (0.0, radius)
    mirrored = [(width - x, y) for x, y in corners]
    shapes = _wall(pen, frame, wall, mirrored)
    if frame.tapped is not None:
        root = frame.tapped.major_mm / 2  # thin, since it lies in the material (ISO 6410-1, 2.1)
        shapes += [pen.line((width - wall.mm, y), (width, y)) for y in (-root, root)]
    return group("far_wall", shapes, mm=round(wall.mm, 3))


def _recessed(frame: FrameMeasures, axle: AxleMeasures, wall: float, depth: float) -> tuple[Point, ...]:
    """The hole's edge in a wall, from its inner to its outer face: a hole, and the recess for the head."""
    hole = frame.bore.mm / 2 + (frame.hole_offset_mm or 0.0)
    recess = max(axle.head_across_mm / 2 + _ROOM_AROUND_HEAD_MM, hole)
    if depth <= 0:
        return (wall, hole), (0.0, hole)
    return (wall, hole), (depth, hole), (depth, recess), (0.0, recess)


def _wall(pen: Pen, frame: FrameMeasures, wall: Length, edge: tuple[Point, ...] | list[Point]) -> list[Shape]:
    """A wall over and under its hole; broken off at the top, where the frame goes on."""
    inner, outer = edge[0][0], edge[-1][0]
    middle, dashed = frame.outside.mm / 2, not wall.known
    hatched = "wall-left" if outer < middle else "wall-right"
    above = [(outer, -WALL_ABOVE_MM), (inner, -WALL_ABOVE_MM), *((x, -y) for x, y in edge)]
    below = [(outer, WALL_BELOW_MM), (inner, WALL_BELOW_MM), *edge]
    bare = {"stroke": "none"}
    return [
        pen.outline(above, Look(fill=hatched), **bare),
        pen.outline(below, Look(fill=hatched, dashed=dashed)),
        pen.way([*above[1:], above[0]], Look(dashed=dashed)),
        pen.way(_zigzag(outer, inner)),
    ]


def _zigzag(start: float, end: float) -> list[Point]:
    """A break line (ISO 128-2, type 01.1.19): straight, with a tooth in the middle."""
    middle, tooth = (start + end) / 2, (end - start) / 8
    top = -WALL_ABOVE_MM
    return [
        (start - tooth, top),
        (middle - tooth, top),
        (middle - tooth / 2, top - abs(tooth)),
        (middle + tooth / 2, top + abs(tooth)),
        (middle + tooth, top),
        (end + tooth, top),
    ]


def _wheel(pen: Pen, answer: DrawingAnswer) -> Iterator[Shape]:
    """Hub, both bearings, and the sleeve of a thin axle."""
    frame = answer.frame
    start, width = frame.hub_from_mm, frame.hub_mm
    yield _hub(pen, start, width)
    bearing = min(BEARING_WIDTH_MM, width / 2)
    for left in (start, start + width - bearing):
        yield _bearing(pen, left, bearing)
    if answer.sleeve is not None:
        yield _sleeve(pen, answer.sleeve, frame, answer.axle.shaft.mm)


def _hub(pen: Pen, start: float, width: float) -> Shape:
    bearing, seat = min(BEARING_WIDTH_MM, width / 2), BEARING_OUTSIDE_MM / 2
    inner, end = HUB_SHOULDER_RADIUS_MM, start + width
    edge = [
        (start, HUB_RADIUS_MM), (end, HUB_RADIUS_MM), (end, seat), (end - bearing, seat),
        (end - bearing, inner), (start + bearing, inner), (start + bearing, seat), (start, seat),
    ]  # fmt: skip
    above = [(x, -y) for x, y in edge]
    halves = [pen.outline(half, Look(fill="wheel")) for half in (above, edge)]
    return group("hub", halves, mm=round(width, 3))


def _bearing(pen: Pen, left: float, width: float) -> Shape:
    """A bearing 608 in section, its balls in their ring; not hatched (ISO 8826-1, simplified)."""
    inner, outer = BEARING_BORE_MM / 2, BEARING_OUTSIDE_MM / 2
    ring = (outer - inner) * _RING_OF_BEARING
    shapes = []
    for side in (-1.0, 1.0):
        shapes += [
            pen.box((left, min(side * inner, side * outer)), (width, outer - inner), Look(fill="paper")),
            pen.line((left, side * (inner + ring)), (left + width, side * (inner + ring)), THIN),
            pen.line((left, side * (outer - ring)), (left + width, side * (outer - ring)), THIN),
            pen.circle((left + width / 2, side * (inner + outer) / 2), ring, THIN),
        ]
    return group("bearing", shapes, mm=BEARING_OUTSIDE_MM)


def _sleeve(pen: Pen, sleeve: Length, frame: FrameMeasures, inner: float) -> Shape:
    """The sleeve through the whole wheel; dashed where the catalogue has none."""
    left = frame.hub_from_mm + (frame.hub_mm - sleeve.mm) / 2
    thickness = (BEARING_BORE_MM - inner) / 2
    look = Look(fill="sleeve", thick=THICK.thick, dashed=not sleeve.known)
    tops = (-BEARING_BORE_MM / 2, inner / 2)
    boxes = [pen.box((left, top), (sleeve.mm, thickness), look) for top in tops]
    return group("sleeve", boxes, mm=round(sleeve.mm, 3))
