"""A sheet as SVG: one element for each shape, everything escaped, nothing loaded and nothing run."""

from __future__ import annotations

from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, tostring

from schemas.codes import Language
from service.fitting.drawing.shapes import INK, Pen, Shape, plain
from service.fitting.drawing.sizes import THIN_MM

STYLE = """.axd{color:#111}
.axd-text{font-family:system-ui,"Helvetica Neue",Arial,sans-serif}
@media (prefers-color-scheme:dark){.axd{--axd-ink:#f2f2ee;--axd-sheet:#191b1c;color:var(--axd-ink)}
.axd .axd-paper{fill:var(--axd-sheet)}.axd .axd-text{stroke:var(--axd-sheet)}}
@media print{.axd{--axd-ink:#000;--axd-sheet:#fff;color:#000}
.axd .axd-paper{fill:#fff}.axd .axd-text{stroke:#fff}}"""
"""The style of every drawing, the same in each; without it a drawing is black on white."""

_HATCHES = {  # how far its lines stand apart [mm], and how they are turned [°]
    "wall-left": (1.6, 45),
    "wall-right": (1.6, 45),
    "wheel": (1.6, 135),
    "sleeve": (0.8, 45),
    "band": (2.4, 0),
}
_CROSSED_MM = 1.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A finished sheet: its size [mm], its shapes, and what is said of it to who cannot see it."""

    width_mm: float
    height_mm: float
    title: str
    description: str
    language: Language
    shapes: tuple[Shape, ...]
    turn_mm: float = 1.0
    """The pitch of the thread that engages: its turns are drawn."""


def svg_of(sheet: Sheet, pen: Pen) -> str:
    """The text of the SVG."""
    width, height = plain(sheet.width_mm), plain(sheet.height_mm)
    root = Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{width}mm",
            "height": f"{height}mm",
            "viewBox": f"0 0 {width} {height}",
            "role": "img",
            "aria-labelledby": f"{pen.prefix}-title {pen.prefix}-desc",
            "lang": sheet.language.value,
            "xml:lang": sheet.language.value,
            "class": "axd",
            "color": "#111",
            "font-family": "Helvetica, Arial, sans-serif",
        },
    )
    SubElement(root, "title", {"id": f"{pen.prefix}-title"}).text = sheet.title
    SubElement(root, "desc", {"id": f"{pen.prefix}-desc"}).text = sheet.description
    SubElement(root, "style").text = STYLE
    _add_patterns(SubElement(root, "defs"), pen, sheet.turn_mm)
    paper = pen.box((0.0, 0.0), (sheet.width_mm, sheet.height_mm))
    _add(
        root, Shape("rect", dict(paper.attributes) | {"fill": "#fff", "stroke": "none", "class": "axd-paper"})
    )
    for shape in sheet.shapes:
        _add(root, shape)
    return tostring(root, encoding="unicode", short_empty_elements=True)


def _add(parent: Element, shape: Shape) -> None:
    """The shape and all that stands in it."""
    names = {"name": "data-name", "mm": "data-mm", "scale": "data-scale", "kind": "data-kind"}
    attributes = {names.get(name, name): _text(value) for name, value in shape.attributes.items()}
    element = SubElement(parent, shape.tag, attributes)
    element.text = shape.text
    for child in shape.children:
        _add(element, child)


def _text(value: str | float) -> str:
    return value if isinstance(value, str) else plain(value)


def _add_patterns(definitions: Element, pen: Pen, turn_mm: float) -> None:
    """The hatchings; the lines of each grow apart with the sheet, but a thread's turns are as they are."""
    for name, (apart, turned) in _HATCHES.items():
        _pattern(definitions, pen, name, size=pen.of(apart), turned=turned)
    crossed = _pattern(definitions, pen, "wrong", size=pen.of(_CROSSED_MM), turned=45)
    size = plain(pen.of(_CROSSED_MM))
    SubElement(crossed, "path", {"d": f"M0 0H{size}"} | _thin(pen))
    _pattern(definitions, pen, "turns", size=turn_mm, turned=0)


def _pattern(definitions: Element, pen: Pen, name: str, *, size: float, turned: float) -> Element:
    side = plain(size)
    pattern = SubElement(
        definitions,
        "pattern",
        {
            "id": f"{pen.prefix}-{name}",
            "width": side,
            "height": side,
            "patternUnits": "userSpaceOnUse",
            "patternTransform": f"rotate({plain(turned)})",
        },
    )
    SubElement(pattern, "path", {"d": f"M0 0V{side}"} | _thin(pen))
    return pattern


def _thin(pen: Pen) -> dict[str, str]:
    # A line on the pattern's edge shows half of its width.
    return {"stroke": INK, "stroke-width": plain(2 * pen.of(THIN_MM) * 0.8), "fill": "none"}
