"""The sheet of one axle in one frame: head, section, width window, what to see to, legend, title block."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from schemas.codes import Language
from service.engine.codes import Fastening
from service.fitting.drawing.axle_shapes import axle_shapes
from service.fitting.drawing.band import BAND_HEIGHT_MM, band_shapes
from service.fitting.drawing.frame_shapes import frame_shapes
from service.fitting.drawing.lettering import label, paragraph
from service.fitting.drawing.marks import mark_shapes, marks_of, zone_shapes
from service.fitting.drawing.measures import DrawingAnswer, Remark
from service.fitting.drawing.measuring import dimension_shapes, rows_below
from service.fitting.drawing.shapes import THIN, Pen, Shape, group, moved
from service.fitting.drawing.signs import OUTCOME_SIGNS, VERDICT_SIGNS, sign
from service.fitting.drawing.sizes import (
    LARGE_MM,
    PARTS_OF_SHEET,
    SHEET_WIDTH_MM,
    SMALL_MM,
    TEXT_MM,
    WALL_ABOVE_MM,
    WALL_BELOW_MM,
)
from service.fitting.drawing.svg import Sheet, svg_of
from service.fitting.drawing.title_block import title_block
from service.fitting.drawing.zones import zones_of
from service.fitting.languages import sentences_in
from service.fitting.normal_form import digest_of
from service.fitting.wording import number, percentage

MARGIN_MM = 4.0
_ROWS_ABOVE_MM = 15.0


@dataclass(frozen=True, slots=True)
class Block:
    """A part of the sheet over its whole width, and how high it is."""

    shapes: tuple[Shape, ...]
    height_mm: float


def fit_drawing(answer: DrawingAnswer, *, language: Language = Language.ENGLISH) -> str:
    """The drawing of an answer as SVG: a pure function of the answer and the language."""
    left, right = extent_of(answer)
    width = max(SHEET_WIDTH_MM, (right - left) / PARTS_OF_SHEET)
    pen = Pen.for_sheet(width, f"axd-{digest_of(repr(answer), language)[:10]}")
    words = sentences_in(language).drawings
    blocks = [
        _head_block(pen, answer, words, width, language),
        _section_block(pen, answer, words, width),
        _window_block(pen, answer, words, width),
        _remarks_block(pen, answer.remarks, words, width),
        _assumed_block(pen, answer, words, width),
    ]
    foot = [answer.sku, words["revision"].format(revision=answer.revision), words["scale"]]
    blocks.append(Block(*title_block(pen, foot, words["disclaimer"], width - 2 * pen.of(MARGIN_MM))))
    shapes, height = stacked(pen, blocks, width)
    sheet = Sheet(
        width_mm=width,
        height_mm=height,
        title=_title(answer, words),
        description=_description(answer, words, language),
        language=language,
        shapes=shapes,
        turn_mm=answer.axle.thread.pitch_mm,
    )
    return svg_of(sheet, pen)


def stacked(pen: Pen, blocks: list[Block], width: float) -> tuple[tuple[Shape, ...], float]:
    """The blocks one under the other within a thin frame, and the sheet's height."""
    margin = pen.of(MARGIN_MM)
    shapes, y = [], margin
    for block in blocks:
        shapes += [moved(group("block", block.shapes), margin, y)]
        y += block.height_mm
    edge = pen.of(1.5)
    shapes.insert(0, pen.box((edge, edge), (width - 2 * edge, y + margin - 2 * edge), THIN))
    return tuple(shapes), y + margin


def extent_of(answer: DrawingAnswer) -> tuple[float, float]:
    """From where to where the section reaches along the axle [mm]."""
    frame, axle = answer.frame, answer.axle
    near, far = frame.seats_mm
    height = axle.head_height_mm
    ends = [0.0, frame.outside.mm, frame.hub_from_mm, frame.hub_from_mm + frame.hub_mm]
    if axle.fastening is Fastening.TWO_PIECE:
        ends += [near - height, far + height, near + axle.barrel.mm, far - axle.screw.mm]
    else:
        ends.append(axle.length.mm)
    if axle.fastening is Fastening.BOLT_AND_NUT:
        ends += [-height, frame.outside.mm + axle.nut.mm]
    return min(ends), max(ends)


def _head_block(
    pen: Pen, answer: DrawingAnswer, words: Mapping[str, str], width: float, language: Language
) -> Block:
    """The verdict by sign and word, its probability, and which axle it is of."""
    radius, large, text = pen.of(4.4), pen.of(LARGE_MM), pen.of(TEXT_MM)
    room = width - 2 * pen.of(MARGIN_MM)
    begin = 2 * radius + pen.of(3.0)
    shapes = [
        sign(pen, VERDICT_SIGNS[answer.verdict], (radius, radius), radius),
        label(pen, (begin, large * 0.85), _verdict(answer, words), large, bold=True),
    ]
    if answer.probability is not None:
        said = percentage(answer.probability, language=language)
        shapes.append(label(pen, (begin, pen.of(8.6)), words["probability"].format(probability=said), text))
    y = pen.of(10.2)
    shapes.append(label(pen, (0.0, y + text), answer.sku, text, bold=True))
    named, height = paragraph(pen, (0.0, y + text * 1.3), answer.name, text, room)
    return Block((*shapes, *named), y + text * 1.3 + height + pen.of(1.5))


def _section_block(pen: Pen, answer: DrawingAnswer, words: Mapping[str, str], width: float) -> Block:
    """The cross-section, with its dimensions and with marks of what is wrong."""
    room = width - 2 * pen.of(MARGIN_MM)
    left, right = extent_of(answer)
    margin = (room - (right - left)) / 2
    parts = [
        frame_shapes(pen, answer),
        axle_shapes(pen, answer),
        pen.axis((left - pen.of(3.0), 0.0), (right + pen.of(3.0), 0.0)),
        *zone_shapes(pen, answer, zones_of(answer)),
        *dimension_shapes(pen, answer, words, limit=right + margin),
    ]
    parts += mark_shapes(
        pen,
        marks_of(answer, words),
        left=left - pen.of(1.5),
        right=right + pen.of(1.5),
        room=margin - pen.of(1.5),
    )
    top = pen.of(_ROWS_ABOVE_MM) + WALL_ABOVE_MM
    height = top + WALL_BELOW_MM + rows_below(pen, answer)
    return Block((moved(group("section", parts), margin - left, top),), height)


def _window_block(pen: Pen, answer: DrawingAnswer, words: Mapping[str, str], width: float) -> Block:
    """The width window; or why there is none."""
    text, room = pen.of(TEXT_MM), width - 2 * pen.of(MARGIN_MM)
    band = answer.band
    if band is None:
        shapes, height = paragraph(pen, (0.0, 0.0), answer.no_window or "", text, room)
        return Block(tuple(shapes), height + pen.of(2.0))
    told = {
        "ideal": words["ideal"].format(ideal=number(band.ideal_mm)),
        "measured": words["measured"].format(width=number(band.width_mm), expanded=number(band.expanded_mm)),
    }
    heading = words["window"] if band.upper_mm > band.lower_mm else f"{words['window']}: {words['no_width']}"
    shapes = [
        label(pen, (0.0, text), heading, text, bold=True),
        moved(band_shapes(pen, band, told, left=0.0, right=room), 0.0, pen.of(5.5)),
    ]
    return Block(tuple(shapes), pen.of(BAND_HEIGHT_MM + 6.5))


def _remarks_block(pen: Pen, remarks: tuple[Remark, ...], words: Mapping[str, str], width: float) -> Block:
    """What did not pass: a sign, the check's word, and the sentence of the answer."""
    if not remarks:
        return Block((), 0.0)
    text, indent = pen.of(TEXT_MM), pen.of(6.0)
    room = width - 2 * pen.of(MARGIN_MM) - indent
    shapes, y = [label(pen, (0.0, text), words["remarks"], text, bold=True)], text * 1.8
    for remark in remarks:
        kind = OUTCOME_SIGNS[remark.outcome]
        shapes.append(sign(pen, kind, (pen.of(2.2), y + text * 0.7), pen.of(1.8)))
        shapes.append(label(pen, (indent, y + text), words[f"check_{remark.check.value}"], text, bold=True))
        lines, height = paragraph(pen, (indent, y + text * 1.3), remark.text, pen.of(SMALL_MM), room)
        shapes += lines
        y += text * 1.3 + height + pen.of(1.2)
    return Block(tuple(shapes), y + pen.of(1.0))


def _assumed_block(pen: Pen, answer: DrawingAnswer, words: Mapping[str, str], width: float) -> Block:
    """The legend: what was drawn as it is mostly, since nobody measured it."""
    size, room = pen.of(SMALL_MM), width - 2 * pen.of(MARGIN_MM)
    features = ", ".join(f"{words[name]} {number(mm)}\u00a0mm" for name, mm in answer.assumed)
    legend = f"{words['assumed']} {features}."
    shapes: list[Shape] = []
    y = 0.0
    for text in (legend, words["bearings"].format(hub=number(answer.frame.hub_mm))):
        lines, height = paragraph(pen, (0.0, y), text, size, room)
        shapes, y = shapes + lines, y + height
    return Block((group("legend", shapes),), y + pen.of(2.0))


def _verdict(answer: DrawingAnswer, words: Mapping[str, str]) -> str:
    return words[f"verdict_{answer.verdict or 'cannot_tell'}"]


def _title(answer: DrawingAnswer, words: Mapping[str, str]) -> str:
    width = number(answer.frame.outside.mm)
    return words["title"].format(sku=answer.sku, width=width, verdict=_verdict(answer, words))


def _description(answer: DrawingAnswer, words: Mapping[str, str], language: Language) -> str:
    """All that the drawing shows, in sentences."""
    told = [
        words["description"].format(sku=answer.sku, name=answer.name, width=number(answer.frame.outside.mm))
    ]
    if answer.probability is not None:
        said = percentage(answer.probability, language=language)
        told.append(words["description_verdict"].format(verdict=_verdict(answer, words), probability=said))
    band = answer.band
    if band is None:
        told.append(answer.no_window or "")
    elif band.upper_mm > band.lower_mm:
        told.append(
            words["description_window"].format(
                minimum=number(band.lower_mm), maximum=number(band.upper_mm), ideal=number(band.ideal_mm)
            )
        )
    told += [remark.text for remark in answer.remarks]
    features = ", ".join(words[name] for name, _ in answer.assumed)
    told.append(words["description_assumed"].format(features=features))
    return " ".join(text for text in told if text)
