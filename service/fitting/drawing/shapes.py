"""Shapes of a drawing, in mm with y downwards, and the pen that draws them on a sheet of some width."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from service.fitting.drawing.sizes import SHEET_WIDTH_MM, THICK_MM, THIN_MM

Attributes = Mapping[str, str | float]
Point = tuple[float, float]
INK, PAPER = "currentColor", "#fff"


@dataclass(frozen=True, slots=True)
class Shape:
    """One element of the drawing: what it is, where, and what stands in it."""

    tag: str
    attributes: Attributes
    children: tuple[Shape, ...] = ()
    text: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How an outline looks: its line, and what fills it: paper, a hatching by its name, or nothing."""

    fill: str = "none"
    thick: bool = True
    dashed: bool = False


THICK, THIN = Look(), Look(thick=False)
SOLID = Look(fill="paper")
DASHED_THIN = Look(thick=False, dashed=True)


@dataclass(frozen=True, slots=True)
class Pen:
    """Draws shapes; text and lines grow with the sheet, so that a wide sheet is as easy to read.

    ``prefix`` begins every id, so that several drawings can stand in one page.
    """

    unit: float = 1.0
    prefix: str = "axd"
    named: Attributes = field(default_factory=dict)

    @staticmethod
    def for_sheet(width_mm: float, prefix: str) -> Pen:
        """The pen for a sheet of this width."""
        return Pen(width_mm / SHEET_WIDTH_MM, prefix)

    def of(self, mm: float) -> float:
        """A size of text, lines and room on this sheet [mm], given for the narrowest one."""
        return mm * self.unit

    def line(self, start: Point, end: Point, look: Look = THIN, **named: str | float) -> Shape:
        """A straight line."""
        ends = {"x1": start[0], "y1": start[1], "x2": end[0], "y2": end[1]}
        return Shape("line", ends | self._stroke(look) | named)

    def box(self, corner: Point, size: Point, look: Look = THICK, **named: str | float) -> Shape:
        """A rectangle from its upper left corner."""
        sides = {"x": corner[0], "y": corner[1], "width": max(size[0], 0.0), "height": max(size[1], 0.0)}
        return Shape("rect", sides | self._fill(look) | self._stroke(look) | named)

    def outline(self, points: Sequence[Point], look: Look = THICK, **named: str | float) -> Shape:
        """A closed outline through these points."""
        path = " ".join(f"{plain(x)},{plain(y)}" for x, y in points)
        return Shape("polygon", {"points": path} | self._fill(look) | self._stroke(look) | named)

    def way(self, points: Sequence[Point], look: Look = THIN) -> Shape:
        """An open line through these points."""
        path = " ".join(f"{plain(x)},{plain(y)}" for x, y in points)
        return Shape("polyline", {"points": path, "fill": "none"} | self._stroke(look))

    def circle(self, centre: Point, radius: float, look: Look = THICK, **named: str | float) -> Shape:
        """A circle."""
        where = {"cx": centre[0], "cy": centre[1], "r": radius}
        return Shape("circle", where | self._fill(look) | self._stroke(look) | named)

    def solid(self, points: Sequence[Point]) -> Shape:
        """A small area full of ink."""
        path = " ".join(f"{plain(x)},{plain(y)}" for x, y in points)
        return Shape("polygon", {"points": path, "fill": INK})

    def axis(self, start: Point, end: Point) -> Shape:
        """A centre line: long dashes and dots (ISO 128-2, type 04.1)."""
        ends = {"x1": start[0], "y1": start[1], "x2": end[0], "y2": end[1]}
        dashes = " ".join(plain(self.of(mm)) for mm in (4.0, 0.8, 0.3, 0.8))
        return Shape("line", ends | self._stroke(THIN) | {"stroke-dasharray": dashes})

    def _stroke(self, look: Look) -> dict[str, str | float]:
        stroke: dict[str, str | float] = {
            "stroke": INK,
            "stroke-width": self.of(THICK_MM if look.thick else THIN_MM),
        }
        if look.dashed:
            stroke["stroke-dasharray"] = f"{plain(self.of(1.6))} {plain(self.of(0.8))}"
        return stroke

    def _fill(self, look: Look) -> dict[str, str | float]:
        if look.fill == "none":
            return {"fill": "none"}
        if look.fill == "paper":
            return {"fill": PAPER, "class": "axd-paper"}
        return {"fill": f"url(#{self.prefix}-{look.fill})"}


def group(name: str, children: Sequence[Shape], **data: str | float) -> Shape:
    """Shapes that belong together, by the name of what they show."""
    return Shape(
        "g", {"data-name": name} | {key.replace("_", "-"): v for key, v in data.items()}, tuple(children)
    )


def moved(shape: Shape, along: float, down: float) -> Shape:
    """The shape somewhere else on the sheet."""
    return Shape("g", {"transform": f"translate({plain(along)} {plain(down)})"}, (shape,))


def plain(number: float) -> str:
    """A number in micrometres at the finest, without an exponent."""
    text = f"{number:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
