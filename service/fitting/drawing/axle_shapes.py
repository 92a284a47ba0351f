"""The axle: head, shank, thread and its engagement; barrel and screw; bolt and nut. Axles are not cut.

Along x from the head wall's outer face, down y from the middle of the holes [mm].
"""

from __future__ import annotations

from collections.abc import Iterator

from service.engine.codes import ROUND_HEADED, Fastening
from service.engine.constants import LEAD_PITCHES
from service.engine.threads import Thread, thread_dimensions
from service.fitting.drawing.measures import AxleMeasures, DrawingAnswer, FrameMeasures, Length
from service.fitting.drawing.shapes import DASHED_THIN, THICK, THIN, Look, Pen, Shape, group
from service.fitting.drawing.sizes import BRAKE_THREAD_DEPTH_MM, SOCKET_OF_HEAD


def axle_shapes(pen: Pen, answer: DrawingAnswer) -> Shape:
    """The axle as its fastening makes it, seated as far as its heads let it."""
    make = {
        Fastening.THREADED_WALL: _threaded,
        Fastening.TWO_PIECE: _two_piece,
        Fastening.BOLT_AND_NUT: _bolt_and_nut,
    }[answer.axle.fastening]
    return group("axle", list(make(pen, answer)))


def engaged_span(answer: DrawingAnswer) -> tuple[float, float] | None:
    """From where to where the thread engages; None where that is not known."""
    if answer.engaged is None:
        return None
    frame, axle, engaged = answer.frame, answer.axle, answer.engaged.mm
    if axle.fastening is Fastening.TWO_PIECE:
        end = frame.seats_mm[0] + axle.barrel.mm - axle.mouth.mm
        return end - engaged, end
    begin = frame.tapped_from_mm
    if axle.thread_length.known:
        begin = max(begin, axle.length.mm - axle.thread_length.mm)
    return begin, begin + engaged


def _threaded(pen: Pen, answer: DrawingAnswer) -> Iterator[Shape]:
    frame, axle = answer.frame, answer.axle
    length, head = axle.length, axle.head_height_mm
    thread_from = max(length.mm - axle.thread_length.mm, head)
    parts = [
        _head(pen, axle, (0.0, head)),
        _shank(pen, axle, (head, thread_from)),
        *_seat(pen, frame, axle),
        *_thread(pen, axle, (thread_from, length.mm)),
    ]
    yield group("length", parts, mm=round(length.mm, 3))
    yield from _engaged(pen, answer)
    if axle.brake_thread is not None:
        yield _brake_end(pen, axle.brake_thread, length.mm)


def _two_piece(pen: Pen, answer: DrawingAnswer) -> Iterator[Shape]:
    axle = answer.axle
    near, far = answer.frame.seats_mm
    height = axle.head_height_mm
    yield _head(pen, axle, (near - height, near))
    yield group("barrel", [*_barrel(pen, axle, near)], mm=round(axle.barrel.mm, 3))
    screw = _thread(pen, axle, (far, far - axle.screw.mm), dashed=not axle.screw.known)
    yield group("screw", screw, mm=round(axle.screw.mm, 3))
    yield from _engaged(pen, answer)
    yield _head(pen, axle, (far, far + height), driven=False)


def _barrel(pen: Pen, axle: AxleMeasures, near: float) -> Iterator[Shape]:
    """The barrel, cut open where its thread is, so that the screw in it can be seen."""
    yield _shank(pen, axle, (near, near + axle.barrel.mm), known=axle.barrel.known)
    end = near + axle.barrel.mm - axle.mouth.mm
    start = end - axle.barrel_thread.mm
    root = min(axle.thread.major_mm, axle.shaft.mm) / 2
    shell = axle.shaft.mm / 2 - root
    look = Look(fill="sleeve", thick=False, dashed=not axle.barrel_thread.known)
    depth = near + axle.barrel.mm - start
    for top in (-axle.shaft.mm / 2, root):
        yield pen.box((start, top), (depth, shell), look)
    yield pen.line((start, -root), (start, root), THICK)
    yield pen.line((end, -root), (end, root), THIN)


def _bolt_and_nut(pen: Pen, answer: DrawingAnswer) -> Iterator[Shape]:
    frame, axle = answer.frame, answer.axle
    length = axle.length.mm
    thread_from = max(length - axle.thread_length.mm, 0.0)
    yield _hexagon(pen, axle, (-axle.head_height_mm, 0.0), name="head", dashed=True)
    parts = [_shank(pen, axle, (0.0, thread_from)), *_thread(pen, axle, (thread_from, length))]
    yield group("length", parts, mm=round(length, 3))
    width = frame.outside.mm
    yield _hexagon(pen, axle, (width, width + axle.nut.mm), name="nut", dashed=not axle.nut.known)


def _head(pen: Pen, axle: AxleMeasures, span: tuple[float, float], *, driven: bool = True) -> Shape:
    """A head of the usual size, dashed since the catalogue has none; a key's flats have crossed lines."""
    start, end = span
    half = axle.head_across_mm / 2
    shapes = [pen.box((start, -half), (end - start, 2 * half), Look(fill="paper", dashed=True))]
    if driven and axle.socket_mm is not None:
        depth, socket = (end - start) * SOCKET_OF_HEAD, min(axle.socket_mm, 2 * half)
        shapes.append(pen.box((start, -socket / 2), (depth, socket), DASHED_THIN))
    if not driven and axle.keyed_profile not in {None, ROUND_HEADED}:  # ISO 128-3: flats of a round part
        shapes += [pen.line((start, -half), (end, half)), pen.line((start, half), (end, -half))]
    return group("head", shapes, mm=round(end - start, 3))


def _hexagon(pen: Pen, axle: AxleMeasures, span: tuple[float, float], *, name: str, dashed: bool) -> Shape:
    """A hexagon's side: a head or a nut, three of its faces to be seen."""
    start, end = span
    half = axle.head_across_mm / 2
    look = Look(fill="paper", dashed=dashed)
    edges = [pen.line((start, y), (end, y)) for y in (-half / 2, half / 2)]
    return group(
        name, [pen.box((start, -half), (end - start, 2 * half), look), *edges], mm=round(end - start, 3)
    )


def _shank(pen: Pen, axle: AxleMeasures, span: tuple[float, float], *, known: bool = True) -> Shape:
    start, end = span
    look = Look(fill="paper", dashed=not (axle.shaft.known and axle.length.known and known))
    if axle.fastening is Fastening.TWO_PIECE:
        look = Look(fill="paper", dashed=not (axle.shaft.known and known))
    size = (max(end - start, 0.0), axle.shaft.mm)
    box = pen.box((start, -axle.shaft.mm / 2), size, look)
    return group("shaft", [box], mm=round(axle.shaft.mm, 3))


def _seat(pen: Pen, frame: FrameMeasures, axle: AxleMeasures) -> Iterator[Shape]:
    """The seat of an offset axle, off the middle of its ends."""
    if axle.offset_mm:
        top = -axle.shaft.mm / 2 - axle.offset_mm
        size = (frame.inside.mm, axle.shaft.mm)
        yield group("seat", [pen.box((frame.head_wall.mm, top), size, Look(fill="paper"))], mm=axle.offset_mm)


def _thread(
    pen: Pen, axle: AxleMeasures, span: tuple[float, float], *, dashed: bool | None = None
) -> list[Shape]:
    """A thread up to its tip: crests thick, roots thin, thick where it ends (ISO 6410-1, 2.1)."""
    start, tip = span
    thread, towards = axle.thread, 1.0 if tip > start else -1.0
    if dashed is None:
        dashed = not (axle.thread_known and axle.thread_length.known and axle.length.known)
    crest, root = thread.major_mm / 2, thread_dimensions(thread).internal_minor_mm / 2
    lead = tip - towards * min(LEAD_PITCHES * thread.pitch_mm, abs(tip - start))
    corners = [(start, -crest), (lead, -crest), (tip, -root), (tip, root), (lead, crest), (start, crest)]
    shapes = [pen.outline(corners, Look(fill="paper", dashed=dashed))]
    shapes += [pen.line((start, y), (tip, y)) for y in (-root, root)]
    shapes.append(pen.line((lead, -crest), (lead, crest)))
    return shapes


def _engaged(pen: Pen, answer: DrawingAnswer) -> Iterator[Shape]:
    """Where the thread engages: a line for each turn."""
    span = engaged_span(answer)
    if span is not None and answer.engaged is not None and answer.engaged.mm > 0:
        crest = answer.axle.thread.major_mm / 2
        size = (answer.engaged.mm, 2 * crest)
        box = pen.box((span[0], -crest), size, Look(fill="turns", thick=False))
        yield group("engaged", [box], mm=round(answer.engaged.mm, 3))


def _brake_end(pen: Pen, thread: Thread, tip: float) -> Shape:
    """The tapped end that carries the brake, hidden in the axle."""
    start = tip - BRAKE_THREAD_DEPTH_MM
    radii = (thread.major_mm / 2, thread_dimensions(thread).internal_minor_mm / 2)
    lines = [pen.line((start, side * r), (tip, side * r), DASHED_THIN) for r in radii for side in (-1, 1)]
    lines.append(pen.line((start, -radii[1]), (start, radii[1]), DASHED_THIN))
    return group("brake_thread", lines, mm=thread.major_mm)


def shown_mm(frame: FrameMeasures, axle: AxleMeasures) -> Length:
    """How far a bolt stands out of its nut."""
    known = axle.length.known and axle.nut.known
    return Length(axle.length.mm - frame.outside.mm - axle.nut.mm, known)
