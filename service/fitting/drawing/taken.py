"""The lengths that a drawing shows, taken from the engine's frame, axle and judgement."""

from __future__ import annotations

from service.engine.codes import Fastening, Holes
from service.engine.frame import Frame
from service.engine.measurement import Quantity
from service.engine.parts import Axle
from service.engine.threads import Thread, parse_thread
from service.fitting.drawing.measures import AxleMeasures, FrameMeasures, Length
from service.fitting.drawing.sizes import (
    BARREL_SHORT_OF_GRIP_MM,
    BARREL_THREAD_OF_GRIP,
    CORNERS_OF_FLATS,
    HEAD_ACROSS_OF_SHAFT,
    HEAD_HEIGHT_MM,
    HEAD_SHARE_OF_WALL,
    LEAST_DRAWN_MM,
    MOUTH_MM,
    NUT_HEIGHT_OF_THREAD,
    SCREW_OF_GRIP,
    THREAD_BEHIND_WALL_MM,
    WALL_MM,
    WIDTHS_ACROSS_FLATS_MM,
)

_USUAL_SHAFT_MM = 8.0
_USUAL_THREADS = {8.0: parse_thread("M8x1.25")}
_USUAL_THIN_THREAD = parse_thread("M6x1")
_KEYED_SOCKETS = ("hexagon", "hexalobular")
_HEXALOBULAR_ACROSS_MM = {20: 3.95, 25: 4.5, 30: 5.6}
"""Outer diameters of hexalobular sockets by their number (ISO 10664:2014, table 1, from memory) [mm]."""


def frame_measures(frame: Frame, axle: Axle) -> FrameMeasures:
    """The frame's lengths; what was not measured as it is mostly, so that all come to the outside width."""
    outside = frame.widths.outside.value_mm
    head, inside, far = _walls_and_room(frame, outside)
    fastening = frame.fastening or axle.fastening
    tapped = frame.thread or axle.thread if fastening is Fastening.THREADED_WALL else None
    if tapped is None and fastening is Fastening.THREADED_WALL:
        tapped = _usual_thread(axle)
    return FrameMeasures(
        outside=Length(outside),
        inside=inside,
        head_wall=head,
        far_wall=far,
        recess_mm=min(frame.recess_mm, outside / 2),
        bore=_bore(frame, axle),
        hub_mm=frame.hub_width_mm,
        tapped=tapped,
        hole_offset_mm=(frame.hole_offset_mm or axle.offset_mm or 1.0) if frame.holes is Holes.OVAL else None,
    )


def _walls_and_room(frame: Frame, outside: float) -> tuple[Length, Length, Length]:
    """Head wall, inside width and far wall, which come to the outside width."""
    widths = frame.widths
    known = (_value(widths.head_wall), _value(widths.inside), _value(widths.far_wall))
    drawn = _completed(known, outside)
    if min(drawn) < LEAST_DRAWN_MM:  # the readings contradict each other
        known, drawn = (None, None, None), _completed((None, None, None), outside)
    head, inside, far = (Length(mm, given is not None) for mm, given in zip(drawn, known, strict=True))
    return head, inside, far


def _completed(known: tuple[float | None, ...], outside: float) -> tuple[float, float, float]:
    head, inside, far = known
    if head is None and far is None:
        wall = min(WALL_MM, outside / 4) if inside is None else (outside - inside) / 2
        return wall, outside - 2 * wall, wall
    head, far = (head or far or 0.0), (far or head or 0.0)
    return head, outside - head - far if inside is None else inside, far


def _value(quantity: Quantity | None) -> float | None:
    return None if quantity is None else quantity.value_mm


def _bore(frame: Frame, axle: Axle) -> Length:
    """The diameter of the frame's holes: its class, or what was read of none; else the axle's."""
    bore = frame.bore
    if bore is None:
        return Length(axle.shaft_mm or _USUAL_SHAFT_MM, known=False)
    if bore.nominal_mm is not None:
        return Length(bore.nominal_mm)
    return Length(bore.reading.value_mm if bore.reading else _USUAL_SHAFT_MM)


def axle_measures(axle: Axle, frame: FrameMeasures) -> AxleMeasures:
    """The axle's lengths; what the catalogue does not know as it is mostly."""
    grip = frame.outside.mm - frame.recess_mm
    thread = axle.thread or _usual_thread(axle)
    nut = _given(axle.nut_height_mm, NUT_HEIGHT_OF_THREAD * thread.major_mm)
    usual = frame.outside.mm + (
        nut.mm + 2 * thread.pitch_mm if axle.fastening is Fastening.BOLT_AND_NUT else 0
    )
    length = _given(axle.length_mm, usual)
    behind = frame.far_wall.mm if axle.fastening is Fastening.THREADED_WALL else nut.mm
    across, height = _head(axle, thread, frame)
    return AxleMeasures(
        fastening=axle.fastening,
        shaft=_given(axle.shaft_mm, _USUAL_SHAFT_MM),
        length=length,
        thread=thread,
        thread_known=axle.thread is not None,
        thread_length=_given(axle.thread_length_mm, min(behind + THREAD_BEHIND_WALL_MM, length.mm)),
        barrel=_given(axle.barrel_mm, max(grip - BARREL_SHORT_OF_GRIP_MM, grip / 2)),
        mouth=_given(axle.barrel_mouth_mm, MOUTH_MM),
        barrel_thread=_given(axle.barrel_thread_mm, BARREL_THREAD_OF_GRIP * grip),
        screw=_given(axle.screw_mm, SCREW_OF_GRIP * grip),
        nut=nut,
        head_across_mm=across,
        head_height_mm=height,
        keyed_profile=axle.keyed_profile,
        offset_mm=axle.offset_mm,
        brake_thread=axle.brake_thread,
        socket_mm=_socket(axle.drive),
    )


def _given(mm: float | None, usual: float) -> Length:
    return Length(usual, known=False) if mm is None else Length(mm)


def _usual_thread(axle: Axle) -> Thread:
    return _USUAL_THREADS.get(axle.shaft_mm or _USUAL_SHAFT_MM, _USUAL_THIN_THREAD)


def _head(axle: Axle, thread: Thread, frame: FrameMeasures) -> tuple[float, float]:
    """How far across a head is, and how high."""
    if axle.fastening is Fastening.BOLT_AND_NUT:
        flats = WIDTHS_ACROSS_FLATS_MM[round(thread.major_mm)] if thread.major_mm <= 8 else 16.0
        return flats * CORNERS_OF_FLATS, NUT_HEIGHT_OF_THREAD * thread.major_mm
    across = HEAD_ACROSS_OF_SHAFT * (axle.shaft_mm or _USUAL_SHAFT_MM)
    sunk = axle.fastening is Fastening.THREADED_WALL
    height = min(HEAD_HEIGHT_MM, HEAD_SHARE_OF_WALL * frame.head_wall.mm) if sunk else HEAD_HEIGHT_MM
    return across, height


def _socket(drive: str | None) -> float | None:
    """How wide the socket for the key is; None where there is none, or it is not known."""
    kind, _, size = (drive or "").rpartition("_")
    if kind not in _KEYED_SOCKETS:
        return None
    return float(size) if kind == "hexagon" else _HEXALOBULAR_ACROSS_MM.get(int(size), 4.5)
