"""What is wrong, and where: each thing as a zone of the section, by the check that it fails or may fail."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from service.engine.codes import ROUND_HEADED, Check, Fastening, Outcome
from service.engine.constants import (
    BARREL_CLEARANCE_MM,
    GREATEST_BOLT_END_MM,
    LEAD_PITCHES,
    LEAST_SHOWN_PITCHES,
    PROUD_CAUTION_MM,
    SHANK_REACH_PITCHES,
)
from service.fitting.drawing.axle_shapes import engaged_span, shown_mm
from service.fitting.drawing.measures import DrawingAnswer, Remark
from service.fitting.drawing.sizes import BRAKE_THREAD_DEPTH_MM, HUB_RADIUS_MM, WALL_BELOW_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A part of the section where something is wrong: from where to where, by which word, how much [mm]."""

    check: Check
    word: str
    left: float
    right: float
    top: float
    bottom: float
    mm: float | None = None

    @property
    def middle(self) -> tuple[float, float]:
        """Where a mark points to."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2


def zones_of(answer: DrawingAnswer) -> tuple[Zone, ...]:
    """The zones of all checks that did not pass; a check may have several, or none."""
    said = {remark.check for remark in answer.remarks if not _only_not_known(remark)}
    by_fastening = {
        Fastening.THREADED_WALL: _threaded,
        Fastening.TWO_PIECE: _two_piece,
        Fastening.BOLT_AND_NUT: _bolt,
    }[answer.axle.fastening]
    found = list(by_fastening(answer)) if said & {Check.WIDTH, Check.ENGAGEMENT} else []
    for check, zones in _OTHERS.items():
        if check in said:
            found += zones(answer)
    return tuple(found)


def _only_not_known(remark: Remark) -> bool:
    """An engagement that is not known is not wrong anywhere."""
    return remark.check is Check.ENGAGEMENT and remark.outcome is Outcome.UNKNOWN


def _along(answer: DrawingAnswer, word: str, span: tuple[float, float], mm: float | None = None) -> Zone:
    """A zone of the axle's whole thickness."""
    half = max(answer.axle.shaft.mm, answer.axle.thread.major_mm) / 2
    left, right = sorted(span)
    return Zone(check=Check.WIDTH, word=word, left=left, right=right, top=-half, bottom=half, mm=mm)


def _threaded(answer: DrawingAnswer) -> Iterator[Zone]:
    frame, axle = answer.frame, answer.axle
    width, length = frame.outside.mm, axle.length.mm
    if length - width > PROUD_CAUTION_MM:
        yield _along(answer, "zone_proud", (width, length), length - width)
    shank = length - axle.thread_length.mm - frame.tapped_from_mm
    if axle.thread_length.known and shank > SHANK_REACH_PITCHES * axle.thread.pitch_mm:
        yield _along(answer, "zone_shank", (frame.tapped_from_mm, frame.tapped_from_mm + shank), shank)
    tip = max(length - LEAD_PITCHES * axle.thread.pitch_mm, frame.tapped_from_mm)
    if width > length:
        yield _along(answer, "zone_short", (tip, width), width - length)


def _two_piece(answer: DrawingAnswer) -> Iterator[Zone]:
    axle = answer.axle
    near, far = answer.frame.seats_mm
    mouth_end, tip = near + axle.barrel.mm, far - axle.screw.mm
    thread_from, thread_to = mouth_end - axle.mouth.mm - axle.barrel_thread.mm, mouth_end - axle.mouth.mm
    lengths = (axle.barrel, axle.screw, axle.mouth, axle.barrel_thread)
    if axle.barrel.known and mouth_end > far - BARREL_CLEARANCE_MM:
        yield _along(answer, "zone_clash", (far, mouth_end), mouth_end - far)
    if not all(length.known for length in lengths):
        return
    if tip < thread_from:
        yield _along(answer, "zone_bottom", (tip, thread_from), thread_from - tip)
    if tip > thread_to:
        yield _along(answer, "zone_short", (thread_to, tip), tip - thread_to)
    elif answer.band is not None and answer.band.width_mm > answer.band.upper_mm:
        yield _along(answer, "zone_short", (tip, thread_to), thread_to - tip)


def _bolt(answer: DrawingAnswer) -> Iterator[Zone]:
    frame, axle = answer.frame, answer.axle
    width, length = frame.outside.mm, axle.length.mm
    shown, nut_end = shown_mm(frame, axle), width + axle.nut.mm
    if not shown.known:
        return
    if shown.mm > GREATEST_BOLT_END_MM:
        yield _along(answer, "zone_end", (nut_end, length), shown.mm)
    if shown.mm < LEAST_SHOWN_PITCHES * axle.thread.pitch_mm:
        yield _along(answer, "zone_nut", (min(length, nut_end), nut_end + axle.thread.pitch_mm))
    shank = length - axle.thread_length.mm - width
    if axle.thread_length.known and shank > 0:
        yield _along(answer, "zone_shank", (width, width + shank), shank)


def _bore(answer: DrawingAnswer) -> Iterator[Zone]:
    """Where shaft and hole differ, in both walls: too thick, or too thin."""
    frame = answer.frame
    shaft, bore = answer.axle.shaft.mm, frame.bore.mm
    word = "zone_thick" if shaft > bore else "zone_thin"
    inner, outer = sorted((shaft / 2, bore / 2))
    if outer <= inner:
        return
    width = frame.outside.mm
    for left, right in ((0.0, frame.head_wall.mm), (frame.tapped_from_mm, width)):
        for top, bottom in ((-outer, -inner), (inner, outer)):
            yield Zone(
                check=Check.BORE,
                word=word,
                left=left,
                right=right,
                top=top,
                bottom=bottom,
                mm=abs(shaft - bore),
            )


def _hub(answer: DrawingAnswer) -> Iterator[Zone]:
    """Where the wheel's hub and the walls would be in one place; or the room that is too much."""
    frame = answer.frame
    left, right = frame.hub_from_mm, frame.hub_from_mm + frame.hub_mm
    lacking = frame.hub_mm - frame.inside.mm
    word = "zone_hub" if lacking > 0 else "zone_room"
    for span in ((left, frame.head_wall.mm), (frame.tapped_from_mm, right)):
        start, end = sorted(span)
        yield Zone(
            check=Check.HUB_ROOM, word=word, left=start, right=end,
            top=-HUB_RADIUS_MM, bottom=WALL_BELOW_MM, mm=abs(lacking),
        )  # fmt: skip


def _holes(answer: DrawingAnswer) -> Iterator[Zone]:
    """The room of oval holes beside a straight axle; or the seat that round holes do not let turn."""
    frame, axle = answer.frame, answer.axle
    half, offset = frame.bore.mm / 2, frame.hole_offset_mm or axle.offset_mm
    if not offset:
        return
    word = "zone_oval" if frame.hole_offset_mm else "zone_round"
    for top, bottom in ((-half - offset, -half), (half, half + offset)):
        yield Zone(
            check=Check.HOLES,
            word=word,
            left=0.0,
            right=frame.head_wall.mm,
            top=top,
            bottom=bottom,
            mm=offset,
        )


def _heads(answer: DrawingAnswer) -> Iterator[Zone]:
    """The undriven head, whose shape is not that of its recess."""
    axle, (_, far) = answer.axle, answer.frame.seats_mm
    half = axle.head_across_mm / 2
    keyed = axle.keyed_profile not in {None, ROUND_HEADED}
    yield Zone(
        check=Check.HEADS, word="zone_keyed" if keyed else "zone_round_head",
        left=far, right=far + axle.head_height_mm, top=-half, bottom=half,
    )  # fmt: skip


def _brake(answer: DrawingAnswer) -> Iterator[Zone]:
    """The end where the brake's thread is, or should be."""
    end = answer.axle.length.mm
    yield Zone(
        check=Check.BRAKE, word="zone_brake",
        left=end - BRAKE_THREAD_DEPTH_MM, right=end, top=-2.5, bottom=2.5,
    )  # fmt: skip


def _thread(answer: DrawingAnswer) -> Iterator[Zone]:
    """The crests of axle and wall, which do not go into each other."""
    tapped = answer.frame.tapped or answer.axle.thread
    half = max(tapped.major_mm, answer.axle.thread.major_mm) / 2
    span = engaged_span(answer) or (answer.frame.tapped_from_mm, answer.frame.outside.mm)
    for top, bottom in ((-half, -half + 1.0), (half - 1.0, half)):
        yield Zone(
            check=Check.THREAD, word="zone_thread", left=span[0], right=span[1], top=top, bottom=bottom
        )


def _fastening(answer: DrawingAnswer) -> Iterator[Zone]:
    """The far wall's hole, which is tapped and should be plain, or the other way round."""
    frame = answer.frame
    half = frame.bore.mm / 2
    yield Zone(
        check=Check.FASTENING, word="check_fastening",
        left=frame.tapped_from_mm, right=frame.outside.mm, top=-half - 1.0, bottom=half + 1.0,
    )  # fmt: skip


_OTHERS: Mapping[Check, Callable[[DrawingAnswer], Iterator[Zone]]] = {
    Check.FASTENING: _fastening,
    Check.BORE: _bore,
    Check.THREAD: _thread,
    Check.HOLES: _holes,
    Check.HEADS: _heads,
    Check.BRAKE: _brake,
    Check.HUB_ROOM: _hub,
}
