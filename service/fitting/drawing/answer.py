"""The answer that a drawing shows: one axle judged on one frame, whether it fits or not."""

from __future__ import annotations

from collections.abc import Iterator

from schemas.codes import Language
from schemas.drawings import FitDrawingRequest
from schemas.problems import FaultOfField, shown
from service.catalogue.records import engine_axle
from service.catalogue.snapshot import Snapshot
from service.engine.codes import Check, Fastening, Outcome
from service.engine.frame import Frame
from service.engine.frame_notes import frame_notes
from service.engine.judgement import Judgement, judge
from service.engine.parts import Axle
from service.engine.reasons import Reason
from service.errors import InvalidRequestError
from service.fitting.drawing.measures import (
    AxleMeasures,
    BandMeasures,
    DrawingAnswer,
    FrameMeasures,
    Length,
    Remark,
)
from service.fitting.drawing.sizes import BRAKE_THREAD_DEPTH_MM
from service.fitting.drawing.taken import axle_measures, frame_measures
from service.fitting.equivalents import no_window_note
from service.fitting.translate import frame_of
from service.fitting.wording import reason_text

_WORST_FIRST = (Outcome.FAIL, Outcome.UNKNOWN, Outcome.CAUTION)


def drawing_answer(
    request: FitDrawingRequest, snapshot: Snapshot, *, language: Language = Language.ENGLISH
) -> DrawingAnswer:
    """What is to be drawn of one axle of the catalogue in the frame as measured.

    Raises
    ------
    InvalidRequestError
        If the request describes no frame that can be, or the catalogue has no such axle.
    """
    record = snapshot.axles.get(request.sku)
    if record is None:
        fault = FaultOfField(
            path=("sku",), found=shown(request.sku), allowed="the SKU of an axle of the catalogue"
        )
        raise InvalidRequestError("There is no such axle in the catalogue.", [fault])
    frame, axle = frame_of(request), engine_axle(record)
    judgement = judge(axle, frame, snapshot.facts)
    of_frame = frame_measures(frame, axle)
    of_axle = axle_measures(axle, of_frame)
    reasons = (*(judgement.reasons if judgement else ()), *frame_notes(frame))
    return DrawingAnswer(
        sku=record.sku,
        name=record.name,
        revision=snapshot.revision,
        verdict=judgement.verdict.value if judgement else None,
        probability=judgement.fit_probability if judgement else None,
        frame=of_frame,
        axle=of_axle,
        band=_band(judgement, frame),
        engaged=_engaged(reasons),
        sleeve=_sleeve(reasons),
        remarks=_remarks(reasons, language),
        assumed=tuple(_assumed(of_frame, of_axle, axle)),
        no_window=None if judgement else no_window_note(axle, language=language),
    )


def _band(judgement: Judgement | None, frame: Frame) -> BandMeasures | None:
    if judgement is None:
        return None
    window, width = judgement.window, frame.widths.outside
    return BandMeasures(
        lower_mm=window.lower_mm,
        upper_mm=window.upper_mm,
        ideal_mm=window.ideal_mm,
        width_mm=width.value_mm,
        uncertainty_mm=width.standard_uncertainty_mm,
    )


def _engaged(reasons: tuple[Reason, ...]) -> Length | None:
    """Over how many mm the thread engages, where the answer says it in mm."""
    for reason in reasons:
        if reason.check is Check.ENGAGEMENT and reason.unit == "mm" and reason.value is not None:
            return Length(reason.value)
    return None


def _sleeve(reasons: tuple[Reason, ...]) -> Length | None:
    """The length of the sleeve that is needed, known if the catalogue has it."""
    for reason in reasons:
        if reason.check is Check.SLEEVE and reason.value is not None:
            return Length(reason.value, known=reason.outcome is Outcome.PASS)
    return None


def _remarks(reasons: tuple[Reason, ...], language: Language) -> tuple[Remark, ...]:
    """All reasons that are no pass, the worst first."""
    return tuple(
        Remark(
            check=reason.check,
            outcome=reason.outcome,
            code=reason.code,
            text=reason_text(reason, language=language),
        )
        for outcome in _WORST_FIRST
        for reason in reasons
        if reason.outcome is outcome
    )


def _assumed(frame: FrameMeasures, axle: AxleMeasures, record: Axle) -> Iterator[tuple[str, float]]:
    """What is not known and was drawn as it is mostly."""
    found = {
        "head_wall_mm": frame.head_wall,
        "far_wall_mm": frame.far_wall,
        "inside_width_mm": frame.inside,
        "bore_mm": frame.bore,
        "shaft_mm": axle.shaft,
    }
    found |= {name: getattr(axle, _FIELDS[name]) for name in _BY_FASTENING[record.fastening]}
    yield from ((name, length.mm) for name, length in found.items() if not length.known)
    yield "head_across", axle.head_across_mm
    if axle.brake_thread is not None:
        yield "brake_depth", BRAKE_THREAD_DEPTH_MM


_FIELDS = {
    "length_mm": "length",
    "thread_length_mm": "thread_length",
    "barrel_mm": "barrel",
    "barrel_mouth_mm": "mouth",
    "barrel_thread_mm": "barrel_thread",
    "screw_mm": "screw",
    "nut_height_mm": "nut",
}
_BY_FASTENING = {
    Fastening.THREADED_WALL: ("length_mm", "thread_length_mm"),
    Fastening.TWO_PIECE: ("barrel_mm", "barrel_mouth_mm", "barrel_thread_mm", "screw_mm"),
    Fastening.BOLT_AND_NUT: ("length_mm", "thread_length_mm", "nut_height_mm"),
}
