"""The width window as a band on a scale of widths, and on it the ideal and the measured width."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor

from service.fitting.drawing.lettering import label, width_of
from service.fitting.drawing.measures import BandMeasures
from service.fitting.drawing.shapes import SOLID, THICK, THIN, Look, Pen, Shape, group
from service.fitting.drawing.sizes import SMALL_MM
from service.fitting.wording import number

BAND_HEIGHT_MM = 27.0
_BAND_TOP_MM, _BAND_MM, _BAR_MM, _AXIS_MM = 5.5, 5.0, 14.0, 21.5
_LEAST_RANGE_MM = 4.0
_STEPS_MM = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)


@dataclass(frozen=True, slots=True)
class Scale:
    """Widths on paper: where the least one stands, and how many mm of paper one mm of width takes."""

    least_mm: float
    left: float
    per_mm: float

    def at(self, width_mm: float) -> float:
        """Where a width stands on the paper."""
        return self.left + (width_mm - self.least_mm) * self.per_mm


def band_shapes(pen: Pen, band: BandMeasures, words: dict[str, str], *, left: float, right: float) -> Shape:
    """The band, the ideal width over it, the measured one under it, and the scale."""
    scale, greatest = _scale(band, left=left, right=right)
    shapes = [
        _window(pen, band, scale),
        *_ideal(pen, band, scale, words["ideal"], (left, right)),
        *_measured(pen, band, scale, words["measured"], (left, right)),
        *_axis(pen, scale, greatest),
    ]
    return group("width_window", shapes, scale=round(scale.per_mm, 6))


def _scale(band: BandMeasures, *, left: float, right: float) -> tuple[Scale, float]:
    least = min(band.lower_mm, band.width_mm - band.expanded_mm, band.ideal_mm)
    greatest = max(band.upper_mm, band.width_mm + band.expanded_mm, band.ideal_mm)
    lacking = max(0.0, _LEAST_RANGE_MM - (greatest - least)) / 2
    room = 0.18 * (greatest - least + 2 * lacking)
    least, greatest = least - lacking - room, greatest + lacking + room
    return Scale(least, left, (right - left) / (greatest - least)), greatest


def _window(pen: Pen, band: BandMeasures, scale: Scale) -> Shape:
    """The band itself; its length times the scale is the window's width."""
    top, height, size = pen.of(_BAND_TOP_MM), pen.of(_BAND_MM), pen.of(SMALL_MM)
    start, width = scale.at(band.lower_mm), (band.upper_mm - band.lower_mm) * scale.per_mm
    base = top + height / 2 + size * 0.36
    shapes = [pen.box((start, top), (width, height), Look(fill="band"))]
    if width > 0:
        shapes += [
            label(pen, (start - pen.of(1.0), base), number(band.lower_mm), size, anchor="end"),
            label(pen, (start + width + pen.of(1.0), base), number(band.upper_mm), size),
        ]
    return group("window", shapes, mm=round(max(band.upper_mm - band.lower_mm, 0.0), 3))


def _ideal(pen: Pen, band: BandMeasures, scale: Scale, text: str, ends: tuple[float, float]) -> list[Shape]:
    """A centre line through the band at the ideal width."""
    x, size = scale.at(band.ideal_mm), pen.of(SMALL_MM)
    line = pen.axis((x, pen.of(_BAND_TOP_MM - 1.2)), (x, pen.of(_BAND_TOP_MM + _BAND_MM + 0.8)))
    where = (_within(x, width_of(text, size), ends), pen.of(_BAND_TOP_MM - 1.9))
    return [
        group("ideal_width", [line], mm=round(band.ideal_mm, 3)),
        label(pen, where, text, size, anchor="middle"),
    ]


def _measured(
    pen: Pen, band: BandMeasures, scale: Scale, text: str, ends: tuple[float, float]
) -> list[Shape]:
    """The measured width as a lozenge, its expanded uncertainty as a bar with ends."""
    y, x, size = pen.of(_BAR_MM), scale.at(band.width_mm), pen.of(SMALL_MM)
    reach, tick, half = band.expanded_mm * scale.per_mm, pen.of(1.1), pen.of(0.9)
    bar = [
        pen.line((x - reach, y), (x + reach, y), THICK),
        *(pen.line((end, y - tick), (end, y + tick), THICK) for end in (x - reach, x + reach)),
    ]
    top = pen.of(_BAND_TOP_MM)
    lozenge = [(x - half, y), (x, y - half), (x + half, y), (x, y + half)]
    pointer = [pen.line((x, top), (x, y), THICK), pen.outline(lozenge, SOLID)]
    where = (_within(x, width_of(text, size), ends), y + pen.of(4.2))
    return [
        group("uncertainty", bar, mm=round(2 * band.expanded_mm, 3)),
        group("measured_width", pointer, mm=round(band.width_mm, 3)),
        label(pen, where, text, size, anchor="middle"),
    ]  # fmt: skip


def _axis(pen: Pen, scale: Scale, greatest: float) -> list[Shape]:
    """The scale: a line with a number at each step."""
    y, size = pen.of(_AXIS_MM), pen.of(SMALL_MM)
    least_step = pen.of(11.0) / scale.per_mm
    step = next((step for step in _STEPS_MM if step >= least_step), _STEPS_MM[-1])
    shapes = [pen.line((scale.left, y), (scale.at(greatest), y), THIN)]
    room = width_of("100.5", size) / scale.per_mm / 2
    for n in range(ceil((scale.least_mm + room) / step), floor((greatest - room) / step) + 1):
        x = scale.at(n * step)
        shapes.append(pen.line((x, y), (x, y + pen.of(1.0)), THIN))
        shapes.append(label(pen, (x, y + pen.of(1.3) + size), number(n * step), size, anchor="middle"))
    return shapes


def _within(x: float, width: float, ends: tuple[float, float]) -> float:
    """The middle of a text that is to stand at x, moved so that it stays on the sheet."""
    return min(max(x, ends[0] + width / 2), ends[1] - width / 2)
