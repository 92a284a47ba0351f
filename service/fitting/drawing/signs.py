"""Signs that tell verdicts and outcomes apart by their shape: tick, triangle, lozenge, cross."""

from __future__ import annotations

from service.engine.codes import Outcome, Verdict
from service.fitting.drawing.lettering import label
from service.fitting.drawing.shapes import SOLID, THICK, Pen, Point, Shape, group

VERDICT_SIGNS = {
    Verdict.FITS.value: "tick",
    Verdict.FITS_WITH_CAUTION.value: "triangle",
    Verdict.CHECK_FIRST.value: "lozenge",
    Verdict.NO_FIT.value: "cross",
    None: "lozenge",
}
OUTCOME_SIGNS = {Outcome.FAIL: "cross", Outcome.CAUTION: "triangle", Outcome.UNKNOWN: "lozenge"}


def sign(pen: Pen, kind: str, centre: Point, radius: float) -> Shape:
    """A sign about a centre: tick in a circle, ! in a triangle, ? in a lozenge, cross in a square."""
    make = {"tick": _tick, "triangle": _triangle, "lozenge": _lozenge, "cross": _cross}[kind]
    return group("sign", make(pen, centre, radius), kind=kind)


def _tick(pen: Pen, centre: Point, radius: float) -> list[Shape]:
    x, y = centre
    tick = [
        (x - 0.5 * radius, y),
        (x - 0.1 * radius, y + 0.45 * radius),
        (x + 0.55 * radius, y - 0.45 * radius),
    ]
    return [pen.circle(centre, radius, SOLID), pen.way(tick, THICK)]


def _triangle(pen: Pen, centre: Point, radius: float) -> list[Shape]:
    x, y = centre
    corners = [(x, y - radius), (x + radius, y + 0.8 * radius), (x - radius, y + 0.8 * radius)]
    stroke = pen.line((x, y - 0.35 * radius), (x, y + 0.25 * radius), THICK)
    point = pen.line((x, y + 0.45 * radius), (x, y + 0.6 * radius), THICK)
    return [pen.outline(corners, SOLID), stroke, point]


def _lozenge(pen: Pen, centre: Point, radius: float) -> list[Shape]:
    x, y = centre
    corners = [(x, y - radius), (x + radius, y), (x, y + radius), (x - radius, y)]
    mark = label(pen, (x, y + 0.42 * radius), "?", 1.2 * radius, anchor="middle", bold=True)
    return [pen.outline(corners, SOLID), mark]


def _cross(pen: Pen, centre: Point, radius: float) -> list[Shape]:
    x, y = centre
    side, arm = 0.9 * radius, 0.5 * radius
    return [
        pen.box((x - side, y - side), (2 * side, 2 * side), SOLID),
        pen.line((x - arm, y - arm), (x + arm, y + arm), THICK),
        pen.line((x - arm, y + arm), (x + arm, y - arm), THICK),
    ]
