"""The title block at the sheet's foot: cells in a row, and under them what the drawing is not."""

from __future__ import annotations

from collections.abc import Sequence

from service.fitting.drawing.lettering import label, lines_of, paragraph, width_of
from service.fitting.drawing.shapes import THIN, Pen, Shape, group
from service.fitting.drawing.sizes import SMALL_MM


def title_block(pen: Pen, cells: Sequence[str], remark: str, room: float) -> tuple[tuple[Shape, ...], float]:
    """The block within this room, and how high it is."""
    size, pad = pen.of(SMALL_MM), pen.of(1.6)
    wanted = [width_of(text, size) + 2 * pad for text in cells]
    first = min(wanted[0], room / 2)  # a SKU is not to be broken
    longest = [max(width_of(word, size) for word in text.split()) + 2 * pad for text in cells[1:]]
    spare = max(room - first - sum(longest), 0.0) / sum(wanted[1:])
    widths = [first, *(word + spare * width for word, width in zip(longest, wanted[1:], strict=True))]
    broken = [lines_of(text, size, width - 2 * pad) for text, width in zip(cells, widths, strict=True)]
    height = max(len(lines) for lines in broken) * size * 1.3 + 2 * pad
    shapes: list[Shape] = [pen.line((0.0, 0.0), (room, 0.0), THIN)]
    x = 0.0
    for lines, width in zip(broken, widths, strict=True):
        shapes += [
            label(pen, (x + pad, pad + size * (0.95 + 1.3 * n)), line, size) for n, line in enumerate(lines)
        ]
        x += width
        if x < room - pad:
            shapes.append(pen.line((x, 0.0), (x, height), THIN))
    shapes.append(pen.line((0.0, height), (room, height), THIN))
    said, lower = paragraph(pen, (pad, height + pad), remark, size, room - 2 * pad)
    return (group("title_block", [*shapes, *said]),), height + lower + 1.5 * pad
