"""The sheet of a rocker: each stance with its wheels on the ground, and the curve that they make."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import ceil, radians

from schemas.codes import Language
from schemas.rockers import RockersResponse, StanceAnswer, WheelAnswer
from service.fitting.drawing.lettering import label, paragraph, width_of
from service.fitting.drawing.shapes import (
    DASHED_THIN,
    SOLID,
    THICK,
    Look,
    Pen,
    Point,
    Shape,
    group,
    moved,
    plain,
)
from service.fitting.drawing.sheet import MARGIN_MM, Block, stacked
from service.fitting.drawing.signs import sign
from service.fitting.drawing.sizes import LARGE_MM, SHEET_WIDTH_MM, SMALL_MM, TEXT_MM
from service.fitting.drawing.svg import Sheet, svg_of
from service.fitting.drawing.tilted import Curve, curve_of, turned
from service.fitting.drawing.title_block import title_block
from service.fitting.languages import sentences_in
from service.fitting.normal_form import digest_of
from service.fitting.wording import number

_MM_PER_M = 1000.0
_ROOM_BESIDE_MM = 3.0


def rocker_drawing(answer: RockersResponse, *, language: Language = Language.ENGLISH) -> str:
    """The drawing of a rocker's stances as SVG: a pure function of the answer and the language."""
    words = sentences_in(language).drawings
    left, right = _extent(answer.wheels)
    share = 1 - 2 * (MARGIN_MM + _ROOM_BESIDE_MM) / SHEET_WIDTH_MM
    width = max(SHEET_WIDTH_MM, (right - left) / share)
    pen = Pen.for_sheet(width, f"axd-{digest_of(answer.model_dump_json(), language)[:10]}")
    blocks = [_head_block(pen, answer, words, width)]
    blocks += [_stance_block(pen, answer, stance, words, width) for stance in answer.stances]
    blocks += [] if answer.stances else [_overlap_block(pen, answer.wheels, width)]
    curve = _curve_block(pen, answer, words, width)
    blocks += [curve] if curve else []
    blocks.append(_foot(pen, answer, words, width))
    shapes, height = stacked(pen, blocks, width)
    sheet = Sheet(
        width_mm=width,
        height_mm=height,
        title=words["rocker_title"].format(count=len(answer.wheels)),
        description=_description(answer, words),
        language=language,
        shapes=shapes,
    )
    return svg_of(sheet, pen)


def _extent(wheels: Sequence[WheelAnswer]) -> tuple[float, float]:
    """From where to where the wheels reach along the frame [mm]."""
    left = min(wheel.axle_position_mm - wheel.diameter_mm / 2 for wheel in wheels)
    return left, max(wheel.axle_position_mm + wheel.diameter_mm / 2 for wheel in wheels)


def _described(answer: RockersResponse) -> list[str]:
    """What the answer says of the wheels, apart from their stances."""
    return [*([answer.curve.text] if answer.curve else []), *(note.text for note in answer.notes)]


def _description(answer: RockersResponse, words: Mapping[str, str]) -> str:
    told = [words["rocker_description"].format(count=len(answer.wheels))]
    told += [stance.text for stance in answer.stances] or [words["rocker_none"]]
    return " ".join([*told, *_described(answer)])


def _head_block(pen: Pen, answer: RockersResponse, words: Mapping[str, str], width: float) -> Block:
    """The title, and what is to be said of the wheels."""
    large, text = pen.of(LARGE_MM), pen.of(TEXT_MM)
    shapes, y = [], 0.0
    title = words["rocker_title"].format(count=len(answer.wheels))
    shapes.append(label(pen, (0.0, large * 0.85), title, large, bold=True))
    y += large * 1.4
    told = [] if answer.stances else [words["rocker_none"]]
    for sentence, kind in [(text, "cross") for text in told] + [
        (note.text, "cross" if note.outcome == "fail" else "triangle") for note in answer.notes
    ]:
        shapes.append(sign(pen, kind, (pen.of(2.2), y + text * 0.7), pen.of(1.8)))
        room = width - 2 * pen.of(MARGIN_MM) - pen.of(6.0)
        lines, height = paragraph(pen, (pen.of(6.0), y), sentence, text, room)
        shapes, y = shapes + lines, y + height
    return Block(tuple(shapes), y + pen.of(3.0))


def _stance_block(
    pen: Pen, answer: RockersResponse, stance: StanceAnswer, words: Mapping[str, str], width: float
) -> Block:
    """One stance: the sentence, the wheels on the ground, and under each whether it touches."""
    text, room = pen.of(TEXT_MM), width - 2 * pen.of(MARGIN_MM)
    heading = words["rocker_stance"].format(number=answer.stances.index(stance) + 1)
    shapes: list[Shape] = [label(pen, (0.0, text), heading, text, bold=True)]
    told, height = paragraph(pen, (0.0, text * 1.4), stance.text, text, room)
    shapes += told
    centres = turned(answer.wheels, radians(stance.tilt_deg))
    lowest = min(y - wheel.diameter_mm / 2 for (_, y), wheel in zip(centres, answer.wheels, strict=True))
    highest = max(y + wheel.diameter_mm / 2 for (_, y), wheel in zip(centres, answer.wheels, strict=True))
    placed = [(x, lowest - y) for x, y in centres]  # the ground is 0, and y goes down
    side = [_ground(pen, answer), *_wheels(pen, placed, answer, stance), *_frame_line(pen, placed)]
    labels, lower = _labels(pen, placed, stance, words)
    left, right = _extent(answer.wheels)
    down = text * 1.4 + height + pen.of(1.5) + highest - lowest
    along = (room - (right - left)) / 2 - left
    tilt = {"data-tilt": stance.tilt_deg}
    shapes.append(moved(group("stance", [*side, *labels], **tilt), along, down))
    return Block(tuple(shapes), down + lower + pen.of(3.0))


def _overlap_block(pen: Pen, wheels: Sequence[WheelAnswer], width: float) -> Block:
    """Wheels that do not go on their axles, where they would be; where two would be is crossed out."""
    left, right = _extent(wheels)
    parts = [
        pen.circle((wheel.axle_position_mm, -wheel.offset_mm), wheel.diameter_mm / 2, THICK)
        for wheel in wheels
    ]
    for front, rear in pairwise(wheels):
        start, end = (
            rear.axle_position_mm - rear.diameter_mm / 2,
            front.axle_position_mm + front.diameter_mm / 2,
        )
        if end > start:
            half = min(front.diameter_mm, rear.diameter_mm) / 4
            middle = -(front.offset_mm + rear.offset_mm) / 2
            box = pen.box((start, middle - half), (end - start, 2 * half), Look(fill="wrong"))
            parts.append(group("zone_overlap", [box], mm=end - start, **{"class": "axd-wrong"}))
    radius = max(abs(wheel.offset_mm) + wheel.diameter_mm / 2 for wheel in wheels)
    along = (width - 2 * pen.of(MARGIN_MM) - (right - left)) / 2 - left
    return Block((moved(group("overlap", parts), along, radius),), 2 * radius + pen.of(4.0))


def _ground(pen: Pen, answer: RockersResponse) -> Shape:
    left, right = _extent(answer.wheels)
    beyond = pen.of(_ROOM_BESIDE_MM)
    return group("ground", [pen.line((left - beyond, 0.0), (right + beyond, 0.0), THICK)])


def _wheels(pen: Pen, placed: Sequence[Point], answer: RockersResponse, stance: StanceAnswer) -> list[Shape]:
    """The wheels: thick where they touch, thin and dashed where they hang."""
    shapes = []
    for centre, wheel, clear in zip(placed, answer.wheels, stance.clearances_mm, strict=True):
        look = SOLID if wheel.position in stance.wheels else DASHED_THIN
        radius = wheel.diameter_mm / 2
        cross = pen.of(1.5)
        data = {"data-position": wheel.position, "data-clearance-mm": clear}
        parts = [
            pen.circle(centre, radius, look),
            pen.line((centre[0] - cross, centre[1]), (centre[0] + cross, centre[1])),
            pen.line((centre[0], centre[1] - cross), (centre[0], centre[1] + cross)),
        ]
        shapes.append(group("wheel", parts, mm=wheel.diameter_mm, **data))
    return shapes


def _frame_line(pen: Pen, placed: Sequence[Point]) -> list[Shape]:
    """The line from axle to axle."""
    return [pen.way(list(placed), DASHED_THIN)]


def _labels(
    pen: Pen, placed: Sequence[Point], stance: StanceAnswer, words: Mapping[str, str]
) -> tuple[list[Shape], float]:
    """Under each wheel a sign and a word: touches, or how far it is clear; in rows if it is narrow."""
    size = pen.of(SMALL_MM)
    texts = [
        words["rocker_touches"]
        if n + 1 in stance.wheels
        else words["rocker_clear"].format(value=number(clear))
        for n, clear in enumerate(stance.clearances_mm)
    ]
    widest = max(width_of(text, size) for text in texts) + pen.of(1.5)
    nearest = min(b[0] - a[0] for a, b in pairwise(placed))
    rows = min(len(texts), ceil(widest / nearest))
    shapes = []
    for n, ((x, _), text) in enumerate(zip(placed, texts, strict=True)):
        y = pen.of(4.6) + (n % rows) * size * 1.35
        shapes.append(label(pen, (x, y + size), text, size, anchor="middle"))
        shapes.append(_pointer(pen, x, touches=n + 1 in stance.wheels))
    return shapes, pen.of(5.0) + rows * size * 1.35


def _pointer(pen: Pen, x: float, *, touches: bool) -> Shape:
    """Under the ground: a full triangle where a wheel touches, an open ring where it hangs."""
    half = pen.of(1.1)
    if touches:
        return pen.solid([(x, pen.of(0.5)), (x + half, pen.of(3.0)), (x - half, pen.of(3.0))])
    return pen.circle((x, pen.of(2.0)), half * 0.8, THICK)


def _curve_block(pen: Pen, answer: RockersResponse, words: Mapping[str, str], width: float) -> Block | None:
    """The curve: the chord under the outer wheels, its depth, and the circle through the touching points."""
    if answer.curve is None:
        return None
    text, room = pen.of(TEXT_MM), width - 2 * pen.of(MARGIN_MM)
    shapes: list[Shape] = [label(pen, (0.0, text), words["rocker_curve"], text, bold=True)]
    told, height = paragraph(pen, (0.0, text * 1.4), answer.curve.text, text, room)
    curve = curve_of(answer.wheels, answer.curve.radius_mm)
    left, right = _extent(answer.wheels)
    lowest = min(wheel.offset_mm - wheel.diameter_mm / 2 for wheel in answer.wheels)
    highest = max(wheel.offset_mm + wheel.diameter_mm / 2 for wheel in answer.wheels)
    circles = [
        pen.circle((w.axle_position_mm, -w.offset_mm), w.diameter_mm / 2, SOLID if w.touches else DASHED_THIN)
        for w in answer.wheels
    ]
    parts = [*circles, *_curve(pen, curve, answer, words)]
    down = text * 1.4 + height + pen.of(1.5) + highest
    along = (room - (right - left)) / 2 - left
    shapes += [*told, moved(group("curve", parts), along, down)]
    return Block(tuple(shapes), down - lowest + pen.of(9.0))


def _curve(pen: Pen, curve: Curve, answer: RockersResponse, words: Mapping[str, str]) -> list[Shape]:
    assert answer.curve is not None  # noqa: S101 (else there is no block)
    size = pen.of(SMALL_MM)
    start, end = curve.chord
    shapes = [group("chord", [pen.line(start, end, THICK)], mm=answer.curve.chord_mm)]
    told = [words["rocker_depth"].format(value=number(answer.curve.depth_mm))]
    if curve.deepest is not None:
        shapes.append(group("depth", [pen.line(*curve.deepest, THICK)], mm=answer.curve.depth_mm))
    if answer.curve.radius_mm is not None:
        begin, stop, radius = _written(start), _written(end), plain(curve.radius_mm)
        path = f"M{begin}A{radius} {radius} 0 0 0 {stop}"
        arc = dict(pen.line(start, end, DASHED_THIN).attributes) | {"d": path, "fill": "none"}
        arc = {name: value for name, value in arc.items() if name not in {"x1", "y1", "x2", "y2"}}
        shapes.append(group("radius", [Shape("path", arc)], mm=answer.curve.radius_mm))
        told.append(words["rocker_radius"].format(value=number(answer.curve.radius_mm / _MM_PER_M)))
    middle = (start[0] + end[0]) / 2
    below = max(-(w.offset_mm - w.diameter_mm / 2) for w in answer.wheels) + pen.of(2.0) + size
    shapes.append(label(pen, (middle, below), ", ".join(told), size, anchor="middle"))
    return shapes


def _written(point: Point) -> str:
    return f"{plain(point[0])} {plain(point[1])}"


def _foot(pen: Pen, answer: RockersResponse, words: Mapping[str, str], width: float) -> Block:
    cells = [words["revision"].format(revision=answer.catalogue_revision), words["scale"]]
    return Block(*title_block(pen, cells, words["disclaimer"], width - 2 * pen.of(MARGIN_MM)))
