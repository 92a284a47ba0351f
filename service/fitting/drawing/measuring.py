"""Which lengths of the section are dimensioned, and where their lines stand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from service.engine.codes import Fastening
from service.fitting.drawing.axle_shapes import engaged_span, shown_mm
from service.fitting.drawing.dimensions import Span, across, diameter, measured
from service.fitting.drawing.lettering import label
from service.fitting.drawing.measures import DrawingAnswer, Length
from service.fitting.drawing.shapes import THIN, Pen, Shape, group
from service.fitting.drawing.sizes import SMALL_MM, WALL_ABOVE_MM, WALL_BELOW_MM
from service.fitting.wording import number

_FIRST_ROW_MM, _ROW_MM = 6.0, 5.6


def dimension_shapes(
    pen: Pen, answer: DrawingAnswer, words: Mapping[str, str], *, limit: float
) -> Iterator[Shape]:
    """All dimensions of the section: of the frame above it, of the axle below it and within it."""
    yield from _frame_dimensions(pen, answer, words)
    # The lowest row first: its extension lines pass under the numbers of the rows above it.
    for place, span in reversed(list(enumerate(_below(answer, words, limit)))):
        row = WALL_BELOW_MM + pen.of(_FIRST_ROW_MM + _ROW_MM * place)
        yield across(pen, span, feature=_feature(answer, span.name), row=row)
    yield from _diameter(pen, answer)
    yield from _offset(pen, answer, words)


def rows_below(pen: Pen, answer: DrawingAnswer) -> float:
    """How much room the dimensions below the section take [mm]."""
    rows = len(list(_below(answer, {})))
    return pen.of(_FIRST_ROW_MM + _ROW_MM * (rows - 1) + 4.0) if rows else pen.of(4.0)


def _frame_dimensions(pen: Pen, answer: DrawingAnswer, words: Mapping[str, str]) -> Iterator[Shape]:
    frame = answer.frame
    width, head, far = frame.outside.mm, frame.head_wall.mm, frame.tapped_from_mm
    top = -WALL_ABOVE_MM - pen.of(1.0)
    rows = [
        (frame.head_wall, Span(name="head_wall_mm", mm=head, start=0.0, end=head, outwards=-1)),
        (frame.inside, _span("inside_width_mm", frame.inside, (head, far), words)),
        (frame.far_wall, Span(name="far_wall_mm", mm=frame.far_wall.mm, start=far, end=width)),
    ]
    for length, span in rows:
        if length.known:
            yield across(pen, span, feature=top, row=-WALL_ABOVE_MM - pen.of(3.6))
    outside = _span("outside_width_mm", frame.outside, (0.0, width), words)
    yield across(pen, outside, feature=top, row=-WALL_ABOVE_MM - pen.of(9.4))


def _below(answer: DrawingAnswer, words: Mapping[str, str], limit: float | None = None) -> Iterator[Span]:
    """The axle's own lengths, as far as they are known, from the longest row down."""
    frame, axle = answer.frame, answer.axle
    near, far = frame.seats_mm
    found: list[tuple[str, Length, tuple[float, float]]] = []
    if axle.fastening is Fastening.TWO_PIECE:
        found = [
            ("grip_mm", Length(far - near), (near, far)),
            ("barrel_mm", axle.barrel, (near, near + axle.barrel.mm)),
            ("screw_mm", axle.screw, (far - axle.screw.mm, far)),
        ]
    else:
        found = [("length_mm", axle.length, (0.0, axle.length.mm))]
    if axle.fastening is Fastening.BOLT_AND_NUT:
        shown, end = shown_mm(frame, axle), frame.outside.mm + axle.nut.mm
        found.append(("nut_height_mm", axle.nut, (frame.outside.mm, end)))
        if shown.mm > 0:
            found.append(("shown_mm", shown, (end, end + shown.mm)))
    engaged = engaged_span(answer)
    if engaged is not None and answer.engaged is not None:
        found.append(("engaged_mm", answer.engaged, engaged))
    yield from (_span(name, length, ends, words, limit) for name, length, ends in found if length.known)


def _span(
    name: str, length: Length, ends: tuple[float, float], words: Mapping[str, str], limit: float | None = None
) -> Span:
    word = words.get(name, "")
    return Span(name=name, mm=length.mm, start=ends[0], end=ends[1], word=word, limit=limit)


def _feature(answer: DrawingAnswer, name: str) -> float:
    """From where extension lines come down: the lower edge of what is dimensioned."""
    axle = answer.axle
    heads = axle.fastening is Fastening.TWO_PIECE and name in {"grip_mm", "screw_mm"}
    across_mm = axle.head_across_mm if heads or name == "nut_height_mm" else axle.shaft.mm
    return across_mm / 2 + 0.5


def _offset(pen: Pen, answer: DrawingAnswer, words: Mapping[str, str]) -> Iterator[Shape]:
    """How far the seat of an offset axle is off the middle of its ends."""
    offset, frame = answer.axle.offset_mm, answer.frame
    if offset:
        x = frame.head_wall.mm + 0.66 * frame.inside.mm
        size = pen.of(SMALL_MM)
        line = pen.line((x, 0.0), (x, -offset), THIN, **measured(offset))
        axis = pen.axis((frame.head_wall.mm, -offset), (frame.tapped_from_mm, -offset))
        told = label(pen, (x, size * 1.05), f"{words['offset_mm']} {number(offset)}", size, anchor="middle")
        yield group("offset_mm", [axis, line, told], mm=offset, **{"class": "axd-dimension"})


def _diameter(pen: Pen, answer: DrawingAnswer) -> Iterator[Shape]:
    frame, axle = answer.frame, answer.axle
    if axle.shaft.known:
        half = axle.shaft.mm / 2
        lift = axle.offset_mm
        span = Span(name="shaft_mm", mm=axle.shaft.mm, start=-half - lift, end=half - lift)
        yield diameter(pen, span, along=frame.head_wall.mm + pen.of(3.5))
