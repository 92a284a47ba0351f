"""Marks of what is wrong: its zone in the section, and beside it a sign, a word, and a line to the spot."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from service.engine.codes import Check, Outcome
from service.engine.judgement import MUST_BE_KNOWN
from service.fitting.drawing.axle_shapes import engaged_span
from service.fitting.drawing.lettering import label, lines_of
from service.fitting.drawing.measures import DrawingAnswer, Remark
from service.fitting.drawing.shapes import DASHED_THIN, THIN, Look, Pen, Point, Shape, group
from service.fitting.drawing.signs import OUTCOME_SIGNS, sign
from service.fitting.drawing.sizes import SMALL_MM, WALL_ABOVE_MM, WALL_BELOW_MM
from service.fitting.drawing.zones import Zone, zones_of
from service.fitting.wording import number

_SIGN_MM, _ROW_MM, _LEAST_ROW_MM = 2.0, 7.5, 6.0
_TIGHT = 1.1
_LOOKS = {
    Outcome.FAIL: Look(fill="wrong"),
    Outcome.CAUTION: Look(fill="wrong", thick=False),
    Outcome.UNKNOWN: DASHED_THIN,
}
_NOT_IN_THE_SECTION = {Check.READINGS_AGREE, Check.BORE_CLASS}


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A sign beside the section: what it says, and where it points to."""

    outcome: Outcome
    text: str
    spot: Point


def zone_shapes(pen: Pen, answer: DrawingAnswer, zones: Sequence[Zone]) -> list[Shape]:
    """The zones of what is wrong, crossed out as much as it is wrong."""
    outcomes = _outcomes(answer)
    shapes = []
    for zone in zones:
        look = _LOOKS[outcomes.get(zone.check, Outcome.FAIL)]
        size = (zone.right - zone.left, zone.bottom - zone.top)
        box = pen.box((zone.left, zone.top), size, look)
        data: dict[str, str | float] = {"class": "axd-wrong", "data_check": zone.check.value}
        if zone.mm is not None:
            data["mm"] = round(zone.mm, 3)
        shapes.append(group(zone.word, [box], **data))
    return shapes


def _outcomes(answer: DrawingAnswer) -> Mapping[Check, Outcome]:
    """The worst outcome of each check; what is wrong with the engagement is so with the width."""
    outcomes: dict[Check, Outcome] = {}
    for remark in answer.remarks:  # the worst first
        check = Check.WIDTH if remark.check is Check.ENGAGEMENT else remark.check
        outcomes.setdefault(check, remark.outcome)
    return outcomes


def marks_of(answer: DrawingAnswer, words: Mapping[str, str]) -> list[Mark]:
    """A mark for each thing that is wrong, to be cautious of, or to be known before."""
    zones: dict[Check, dict[str, Zone]] = {}
    for zone in zones_of(answer):
        zones.setdefault(zone.check, {}).setdefault(zone.word, zone)
    marks = []
    for remark in filter(_is_marked, answer.remarks):
        outcome, word = remark.outcome, words[f"check_{remark.check.value}"]
        found = zones.get(remark.check, {}).values()
        for zone in found:
            # That two shapes differ is said only where they do.
            text = _said(zone, words) if zone.mm is not None or outcome is Outcome.FAIL else word
            marks.append(Mark(outcome=outcome, text=text, spot=zone.middle))
        if not found:
            marks.append(Mark(outcome=outcome, text=word, spot=_spot(answer, remark.check)))
    return marks


def _is_marked(remark: Remark) -> bool:
    if remark.check in _NOT_IN_THE_SECTION:
        return False
    return remark.outcome is not Outcome.UNKNOWN or remark.check in MUST_BE_KNOWN | {Check.WIDTH}


def _said(zone: Zone, words: Mapping[str, str]) -> str:
    return words[zone.word] + ("" if zone.mm is None else f" {number(zone.mm)}\u00a0mm")


def _spot(answer: DrawingAnswer, check: Check) -> Point:
    """Where a check that has no zone is looked at."""
    frame, axle = answer.frame, answer.axle
    radius = axle.shaft.mm / 2
    middle = frame.outside.mm / 2
    engaged = engaged_span(answer) or (frame.tapped_from_mm, frame.outside.mm)
    return {
        Check.WIDTH: (frame.outside.mm, -WALL_ABOVE_MM / 2),
        Check.ENGAGEMENT: ((engaged[0] + engaged[1]) / 2, radius * 0.7),
        Check.BORE: (frame.head_wall.mm / 2, radius),
        Check.BEARING_FIT: (frame.hub_from_mm + 2.0, radius),
        Check.SLEEVE: (middle - 2.0, -radius),
        Check.BENDING: (middle + 3.0, -radius),
        Check.THIN_AXLE: (middle + 1.0, radius),
    }.get(check, (middle, 0.0))


def mark_shapes(pen: Pen, marks: Sequence[Mark], *, left: float, right: float, room: float) -> list[Shape]:
    """The marks beside the section, each on its side, from the top down in the order of their spots."""
    middle = (left + right) / 2
    sides: dict[bool, list[Mark]] = {True: [], False: []}
    most = max(1, int((WALL_ABOVE_MM + WALL_BELOW_MM) / pen.of(_ROW_MM)))
    for mark in marks:
        on_left = mark.spot[0] < middle
        if len(sides[on_left]) >= most and len(sides[not on_left]) < most:
            on_left = not on_left
        sides[on_left].append(mark)
    shapes = []
    for on_left, found in sides.items():
        ordered = sorted(found, key=lambda mark: mark.spot[1])
        y = -WALL_ABOVE_MM
        for mark in ordered:
            lines = lines_of(mark.text, pen.of(SMALL_MM), room - pen.of(2 * _SIGN_MM + 3.0))
            height = pen.of(max(_LEAST_ROW_MM, len(lines) * SMALL_MM * _TIGHT + 1.6))
            edge = (left if on_left else right, y + height / 2)
            shapes.append(_mark(pen, mark, edge, lines, on_left=on_left))
            y += height
    return shapes


def _mark(pen: Pen, mark: Mark, edge: Point, lines: Sequence[str], *, on_left: bool) -> Shape:
    """The sign with its word towards the sheet's edge, and a leader that ends in a point."""
    outwards = -1.0 if on_left else 1.0
    radius = pen.of(_SIGN_MM)
    centre = (edge[0] + outwards * (radius + pen.of(1.5)), edge[1])
    begin = centre[0] + outwards * (radius + pen.of(0.8))
    size = pen.of(SMALL_MM)
    first = centre[1] + size * 0.36 - (len(lines) - 1) * size * _TIGHT / 2
    texts = [
        label(pen, (begin, first + n * size * _TIGHT), line, size, anchor="end" if on_left else "start")
        for n, line in enumerate(lines)
    ]
    leader = [pen.line((centre[0] - outwards * radius, centre[1]), mark.spot, THIN), _dot(pen, mark.spot)]
    return group("mark", [*leader, sign(pen, OUTCOME_SIGNS[mark.outcome], centre, radius), *texts])


def _dot(pen: Pen, spot: Point) -> Shape:
    x, y = spot
    half = pen.of(0.55)
    return pen.solid([(x - half, y), (x, y - half), (x + half, y), (x, y + half)])
