"""Translation between the wire and the engine: a request becomes a frame, a judgement an answer."""

from __future__ import annotations

from collections.abc import Sequence

from schemas.answers import (
    AlsoNeededAnswer,
    FitAnswer,
    FrameAnswer,
    NearMissAnswer,
    QuantityAnswer,
    ReasonAnswer,
    ToolAnswer,
    WidthWindowAnswer,
)
from schemas.codes import Language
from schemas.lookup import LookupOptions, MeasuredFrame
from schemas.parts import AxleRecord
from schemas.problems import FaultOfField, shown
from service.engine.codes import Check, Fastening, Holes, Outcome, Position
from service.engine.constants import BORE_CLASSES_MM, INSTRUMENT_HALF_WIDTH_MM
from service.engine.frame import Frame
from service.engine.frame_notes import frame_notes
from service.engine.judgement import Judgement
from service.engine.measurement import FrameWidths, Quantity, quantity_from_readings, reconcile_widths
from service.engine.probability import Bore, measured_bore, nominal_bore
from service.engine.ranking import NearMiss, Preferences
from service.engine.reasons import Reason
from service.engine.threads import Thread, parse_thread
from service.errors import InvalidRequestError
from service.fitting.wording import reason_text, would_fit_text


def frame_of(request: MeasuredFrame) -> Frame:
    """The frame that a request describes.

    Raises
    ------
    InvalidRequestError
        If a thread does not exist, or no outside width greater than 0 follows from the widths.
    """
    return Frame(
        widths=_widths_of(request),
        fastening=Fastening(request.fastening) if request.fastening else None,
        bore=_bore_of(request),
        wall_material=request.wall_material,
        thread=thread_of("thread", request.thread),
        recess_mm=request.recess_mm or 0.0,
        holes=Holes(request.holes) if request.holes else None,
        hole_offset_mm=request.hole_offset_mm,
        keyed_profile=request.keyed_profile,
        keys_needed=request.keys_needed,
        position=Position(request.position),
        brake_thread=thread_of("brake_thread", request.brake_thread),
        rider_mass_kg=request.rider_mass_kg,
        child=request.child,
        hub_width_mm=request.hub_width_mm,
    )


def preferences_of(request: LookupOptions) -> Preferences:
    """What the customer would rather have."""
    return Preferences(drive=request.prefer_drive, colour=request.prefer_colour, in_stock=request.in_stock)


def _widths_of(request: MeasuredFrame) -> FrameWidths:
    half_width = INSTRUMENT_HALF_WIDTH_MM[request.instrument]

    def read(readings: Sequence[float] | None) -> Quantity | None:
        return quantity_from_readings(readings, half_width_mm=half_width) if readings else None

    try:
        return reconcile_widths(
            outside=read(request.outside_width_mm),
            inside=read(request.inside_width_mm),
            head_wall=read(request.head_wall_mm),
            far_wall=read(request.far_wall_mm),
        )
    except ValueError as error:
        raise _invalid("outside_width_mm", request.outside_width_mm, str(error)) from None


def _bore_of(request: MeasuredFrame) -> Bore | None:
    return None if request.bore_mm is None else bore_from(request.bore_mm, instrument=request.instrument)


def bore_from(readings: Sequence[float], *, instrument: str) -> Bore:
    """The bore or shaft of these readings; one reading that is a nominal class is that class."""
    if len(readings) == 1 and readings[0] in BORE_CLASSES_MM:
        return nominal_bore(readings[0])
    half_width = INSTRUMENT_HALF_WIDTH_MM[instrument]
    return measured_bore(quantity_from_readings(readings, half_width_mm=half_width))


def thread_of(field: str, designation: str | None) -> Thread | None:
    """The thread that a field names; a thread that does not exist is a fault of that field."""
    if designation is None:
        return None
    try:
        return parse_thread(designation)
    except ValueError as error:
        raise _invalid(field, designation, str(error)) from None


def _invalid(field: str, found: object, allowed: str) -> InvalidRequestError:
    fault = FaultOfField(path=(field,), found=shown(found), allowed=allowed)
    return InvalidRequestError(f"{field}: {allowed}.", [fault])


def frame_answer(frame: Frame, *, language: Language = Language.ENGLISH) -> FrameAnswer:
    """The frame as it was understood."""
    width = frame.widths.outside
    return FrameAnswer(
        outside_width_mm=QuantityAnswer(
            value=rounded(width.value_mm), standard_uncertainty=rounded(width.standard_uncertainty_mm)
        ),
        notes=reason_answers(frame_notes(frame), language=language),
    )


def fit_answer(
    judgement: Judgement, *, rank: int, record: AxleRecord, language: Language = Language.ENGLISH
) -> FitAnswer:
    """One axle that fits."""
    window = judgement.window
    return FitAnswer(
        rank=rank,
        verdict=judgement.verdict.value,
        fit_probability=rounded(judgement.fit_probability),
        width_window_mm=WidthWindowAnswer(min=rounded(window.lower_mm), max=rounded(window.upper_mm)),
        ideal_width_mm=rounded(window.ideal_mm),
        axle=record,
        reasons=reason_answers(judgement.reasons, language=language),
        also_needed=[sleeve_answer(reason, language) for reason in judgement.reasons if names_sleeve(reason)],
        tool=ToolAnswer(drive=record.drive, keys=record.driven_heads),
    )


def near_miss_answer(
    miss: NearMiss, *, record: AxleRecord, language: Language = Language.ENGLISH
) -> NearMissAnswer:
    """One axle with a single thing wrong."""
    return NearMissAnswer(
        axle=record,
        reasons=reason_answers(miss.judgement.reasons, language=language),
        would_fit_if=would_fit_text(miss.wrong, language=language),
    )


def reason_answers(reasons: Sequence[Reason], *, language: Language = Language.ENGLISH) -> list[ReasonAnswer]:
    """The reasons, each with its sentence."""
    return [
        ReasonAnswer(
            check=reason.check.value,
            outcome=reason.outcome.value,
            code=reason.code,
            text=reason_text(reason, language=language),
            value=_rounded_or_none(reason.value),
            minimum=_rounded_or_none(reason.minimum),
            maximum=_rounded_or_none(reason.maximum),
            unit=reason.unit,
            source=reason.source,
        )
        for reason in reasons
    ]


def names_sleeve(reason: Reason) -> bool:
    """Whether the reason names a sleeve that the axle needs."""
    return reason.check is Check.SLEEVE and reason.outcome is Outcome.PASS


def sleeve_answer(reason: Reason, language: Language) -> AlsoNeededAnswer:
    """The sleeve that a reason names."""
    return AlsoNeededAnswer(
        sku=str(reason.facts["sku"]),
        name=str(reason.facts["name"]),
        text=reason_text(reason, language=language),
    )


def rounded(value: float) -> float:
    """Whole micrometres, or a tenth of a percent: no more digits than the model can answer for."""
    return round(value, 3) + 0.0


def _rounded_or_none(value: float | None) -> float | None:
    return None if value is None else rounded(value)
