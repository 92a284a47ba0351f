"""Matters of the frame alone, said once: do the readings agree, is there room for the wheel, which bore."""

from __future__ import annotations

from service.engine.codes import Check, Outcome
from service.engine.constants import (
    CAUTION_BELOW,
    COMMON_PRACTICE,
    HUB_ROOM_GREATEST_MM,
    HUB_ROOM_LEAST_MM,
    LIMIT_ROUNDING_MM,
    UNCERTAINTY,
)
from service.engine.frame import Frame
from service.engine.reasons import Reason


def frame_notes(frame: Frame) -> tuple[Reason, ...]:
    """The reasons that concern the frame, whatever the axle."""
    notes = (readings_agree(frame), hub_room(frame), bore_class(frame))
    return tuple(note for note in notes if note is not None)


def readings_agree(frame: Frame) -> Reason | None:
    """The four widths agree within their uncertainties; None where not all four were measured."""
    agree, gap, limit = frame.widths.readings_agree, frame.widths.gap_mm, frame.widths.gap_limit_mm
    if agree is None or gap is None or limit is None:
        return None
    outcome, code = (Outcome.PASS, "readings_agree") if agree else (Outcome.CAUTION, "readings_disagree")
    return Reason(Check.READINGS_AGREE, outcome, code, UNCERTAINTY, gap, -limit, limit, "mm")


def hub_room(frame: Frame) -> Reason | None:
    """The wheel with its bearings goes between the walls without much room to spare."""
    inside = frame.widths.inside
    if inside is None:
        return None
    room = inside.value_mm - frame.hub_width_mm
    outcome, code = Outcome.PASS, "hub_has_room"
    if room < HUB_ROOM_LEAST_MM - LIMIT_ROUNDING_MM:
        outcome, code = Outcome.FAIL, "hub_too_wide"
    elif room > HUB_ROOM_GREATEST_MM + LIMIT_ROUNDING_MM:
        outcome, code = Outcome.CAUTION, "hub_has_too_much_room"
    facts = {"inside": inside.value_mm, "hub": frame.hub_width_mm}
    return Reason(
        Check.HUB_ROOM,
        outcome,
        code,
        COMMON_PRACTICE,
        room,
        HUB_ROOM_LEAST_MM,
        HUB_ROOM_GREATEST_MM,
        "mm",
        facts,
    )


def bore_class(frame: Frame) -> Reason | None:
    """The class of a bore that was measured; None where it was not given, or given as a class."""
    if frame.bore is None or frame.bore.reading is None:
        return None
    value, nominal = frame.bore.reading.value_mm, frame.bore.nominal_mm
    if nominal is None:
        return Reason(
            Check.BORE_CLASS,
            Outcome.FAIL,
            "bore_of_no_class",
            COMMON_PRACTICE,
            value,
            unit="mm",
            facts={"bore": value},
        )
    chance = frame.bore.probability_of(nominal)
    facts_found = {"class": nominal, "probability": chance}
    sure = chance >= CAUTION_BELOW
    return Reason(
        Check.BORE_CLASS, Outcome.PASS if sure else Outcome.CAUTION,
        "bore_class_found" if sure else "bore_class_uncertain",
        COMMON_PRACTICE, value, nominal, nominal, "mm", facts_found,
    )  # fmt: skip
