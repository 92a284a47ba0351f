"""Text on the sheet: how wide it will be about, and where its lines break."""

from __future__ import annotations

from typing import Literal

from service.fitting.drawing.shapes import INK, PAPER, Pen, Point, Shape

Anchor = Literal["start", "middle", "end"]
_NARROW, _SLIM = frozenset("iljI.,;:'’|! "), frozenset("tfr()-/·")
_WIDE = frozenset("mwMW%—…@Ω")
_NARROW_EM, _SLIM_EM, _WIDE_EM, _CAPITAL_EM, _OTHER_EM, _BOLD = 0.34, 0.43, 0.98, 0.74, 0.63, 1.12
LINE = 1.35
"""From line to line, of the text's size."""


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """How wide a text is at most in the usual sans-serif types [mm]; a little more rather than less."""
    ems = sum(_em(character) for character in text)
    return ems * size * (_BOLD if bold else 1.0)


def _em(character: str) -> float:
    if character in _NARROW:
        return _NARROW_EM
    if character in _SLIM:
        return _SLIM_EM
    if character in _WIDE:
        return _WIDE_EM
    return _CAPITAL_EM if character.isupper() else _OTHER_EM


def lines_of(text: str, size: float, room: float, *, bold: bool = False) -> list[str]:
    """The text in lines that are no wider than the room; a word that is wider breaks."""
    lines = [""]
    for word in text.split(" "):  # a no-break space holds what it joins
        for piece in _pieces(word, size, room, bold=bold):
            longer = f"{lines[-1]} {piece}".strip()
            if lines[-1] and width_of(longer, size, bold=bold) > room:
                lines.append(piece)
            else:
                lines[-1] = longer
    return lines


def _pieces(word: str, size: float, room: float, *, bold: bool) -> list[str]:
    pieces = [""]
    for character in word:
        if pieces[-1] and width_of(pieces[-1] + character, size, bold=bold) > room:
            pieces.append("")
        pieces[-1] += character
    return pieces


def label(
    pen: Pen, where: Point, text: str, size: float, *, anchor: Anchor = "start", bold: bool = False
) -> Shape:
    """A line of text on its base line, with paper around its letters where it stands on lines."""
    attributes: dict[str, str | float] = {
        "x": where[0],
        "y": where[1],
        "font-size": size,
        "text-anchor": anchor,
        "fill": INK,
        "stroke": PAPER,
        "stroke-width": pen.of(0.7),
        "stroke-linejoin": "round",
        "paint-order": "stroke",
        "class": "axd-text",
    }
    if bold:
        attributes["font-weight"] = "bold"
    return Shape("text", attributes, text=text)


def paragraph(pen: Pen, where: Point, text: str, size: float, room: float) -> tuple[list[Shape], float]:
    """The lines of a text from its upper left corner, and how high they are together."""
    lines = lines_of(text, size, room)
    step = size * LINE
    shapes = [label(pen, (where[0], where[1] + size + n * step), line, size) for n, line in enumerate(lines)]
    return shapes, step * len(lines)
