"""Dimension lines: extension lines, arrows, and the number above the line (ISO 129-1)."""

from __future__ import annotations

from dataclasses import dataclass

from service.fitting.drawing.lettering import label, width_of
from service.fitting.drawing.shapes import THIN, Pen, Shape, group
from service.fitting.drawing.sizes import ARROW_MM, SMALL_MM
from service.fitting.wording import number

_BEYOND_MM, _ABOVE_MM, _TAIL_MM = 1.2, 0.8, 3.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A length to be dimensioned: between two places along the section, by its name and its word."""

    name: str
    mm: float
    start: float
    end: float
    word: str = ""
    outwards: int = 1
    """To which side its number goes if it has no room between its arrows: -1 left, 1 right."""
    limit: float | None = None
    """How far out to the right number and word may go; None: the word only stands between the arrows."""


def across(pen: Pen, span: Span, *, feature: float, row: float) -> Shape:
    """A dimension along the section: its line at `row`, its extension lines from `feature`."""
    beyond = pen.of(_BEYOND_MM) * (1 if row > feature else -1)
    left, right = sorted((span.start, span.end))
    shapes = [pen.line((x, feature), (x, row + beyond)) for x in (left, right)]
    arrow = pen.of(ARROW_MM)
    within = right - left >= 2.5 * arrow
    shapes += _arrows(pen, (left, right), row, within=within)
    text, room = _text(pen, span, (left, right), within=within)
    size = pen.of(SMALL_MM)
    shapes.append(pen.line((left, row), (right, row), THIN, **measured(span.mm)))
    if room:
        where = ((left + right) / 2, row - pen.of(_ABOVE_MM))
        shapes.append(label(pen, where, text, size, anchor="middle"))
    else:
        shapes += _beside(pen, span, text, (left, right), row)
    return group(span.name, shapes, mm=round(span.mm, 3), **{"class": "axd-dimension"})


def measured(mm: float) -> dict[str, str | float]:
    """What says that this line is as long as the number."""
    return {"class": "axd-measure", "data-mm": round(mm, 3)}


def _text(pen: Pen, span: Span, ends: tuple[float, float], *, within: bool) -> tuple[str, bool]:
    """The number, with its word where there is room for it; and whether it goes between the ends."""
    size, plain, room = pen.of(SMALL_MM), number(span.mm), ends[1] - ends[0]
    full = f"{span.word} {plain}".strip()
    if within and width_of(full, size) <= room:
        return full, True
    if span.limit is not None and ends[1] + _tail(pen) + width_of(full, size) <= span.limit:
        return full, False
    return plain, width_of(plain, size) <= room


def _tail(pen: Pen) -> float:
    return pen.of(ARROW_MM + 0.6)


def _beside(pen: Pen, span: Span, text: str, ends: tuple[float, float], row: float) -> list[Shape]:
    """The line drawn on to one side, and the number over it."""
    size, tail = pen.of(SMALL_MM), _tail(pen)
    width = width_of(text, size)
    if span.outwards > 0:
        begin = ends[1] + tail
        return [
            pen.line((ends[1], row), (begin + width, row)),
            label(pen, (begin, row - pen.of(_ABOVE_MM)), text, size),
        ]
    begin = ends[0] - tail
    return [
        pen.line((begin - width, row), (ends[0], row)),
        label(pen, (begin, row - pen.of(_ABOVE_MM)), text, size, anchor="end"),
    ]


def _arrows(pen: Pen, ends: tuple[float, float], row: float, *, within: bool) -> list[Shape]:
    """Arrows at both ends: from within, or from outside where they have no room."""
    length, half = pen.of(ARROW_MM), pen.of(ARROW_MM) / 6
    shapes = []
    for x, inwards in ((ends[0], 1.0), (ends[1], -1.0)):
        back = x + (inwards if within else -inwards) * length
        shapes.append(pen.solid([(x, row), (back, row - half), (back, row + half)]))
        if not within:
            shapes.append(pen.line((x, row), (x - inwards * pen.of(_TAIL_MM), row)))
    return shapes


def diameter(pen: Pen, span: Span, *, along: float) -> Shape:
    """A diameter within the axle: its line at `along`, its number beside it."""
    top, bottom = sorted((span.start, span.end))
    length = min(pen.of(ARROW_MM), (bottom - top) / 3)
    half = length / 6
    shapes = [
        pen.line((along, top), (along, bottom), THIN, **measured(span.mm)),
        pen.solid([(along, top), (along - half, top + length), (along + half, top + length)]),
        pen.solid([(along, bottom), (along - half, bottom - length), (along + half, bottom - length)]),
        label(
            pen, (along + pen.of(0.9), (top + bottom) / 2 + pen.of(SMALL_MM) * 0.36), f"⌀{number(span.mm)}",
            pen.of(SMALL_MM),
        ),
    ]  # fmt: skip
    return group(span.name, shapes, mm=round(span.mm, 3), **{"class": "axd-dimension"})
