"""Whether the frame's width lies in the axle's window, and whether the thread then holds."""

from __future__ import annotations

from service.engine.checks.case import Case, outcome_of
from service.engine.codes import Check, Fastening, Outcome
from service.engine.constants import (
    ASSEMBLY_TORQUE_NM,
    COMMON_PRACTICE,
    CONFORMANCE,
    LIMIT_ROUNDING_MM,
    PART_DATA,
    PROUD_CAUTION_MM,
    SHEAR_AREAS,
)
from service.engine.engagement import engaged_in_barrel_mm, engaged_in_wall_mm, shown_pitches
from service.engine.reasons import Reason
from service.engine.strength import strip_torque_nm


def width_in_window(case: Case) -> Reason:
    """The measured width lies in the axle's window, with the probability of the fit."""
    width = case.frame.widths.outside
    value, window = width.value_mm, case.window
    outcome = outcome_of(case.width_probability)
    source = PART_DATA if window.makers_word else CONFORMANCE
    facts: dict[str, object] = {
        "uncertainty": width.standard_uncertainty_mm,
        "probability": case.width_probability,
    }
    if window.upper_mm <= window.lower_mm:
        code = "width_has_no_window"
    elif outcome is Outcome.FAIL:
        code = "width_too_great" if value > window.upper_mm else "width_too_small"
        if window.lower_mm <= value <= window.upper_mm:
            code = "width_too_uncertain"
    elif outcome is not Outcome.PASS:
        code = "width_near_limit"
    elif _stands_proud(case):
        code, outcome, source = "width_leaves_axle_proud", Outcome.CAUTION, COMMON_PRACTICE
        facts["proud"] = (case.axle.length_mm or 0.0) - value
    else:
        code = "width_in_window"
    return Reason(Check.WIDTH, outcome, code, source, value, window.lower_mm, window.upper_mm, "mm", facts)


def _stands_proud(case: Case) -> bool:
    """Whether a threaded-wall axle would stand out of the far wall by more than is usual."""
    if case.axle.fastening is not Fastening.THREADED_WALL or case.axle.length_mm is None:
        return False
    proud = case.axle.length_mm - case.frame.widths.outside.value_mm
    return proud > PROUD_CAUTION_MM + LIMIT_ROUNDING_MM


def thread_engages_enough(case: Case) -> Reason:
    """Enough of the thread carries: in the tapped wall, in the barrel, or through the nut."""
    missing = case.window.missing
    if case.window.makers_word:
        return _unknown("engagement_rests_on_makers_word", missing)
    if missing == "far_wall_mm":
        return _unknown("engagement_needs_far_wall", missing)
    if missing is not None:
        return _unknown("engagement_needs_column", missing)
    if case.axle.fastening is Fastening.BOLT_AND_NUT:
        return _nut_is_full(case)
    return _engaged(case)


def _unknown(code: str, missing: str | None) -> Reason:
    return Reason(
        Check.ENGAGEMENT, Outcome.UNKNOWN, code, PART_DATA, None, None, None, "mm", {"column": missing}
    )


def _engaged(case: Case) -> Reason:
    """The engaged length of a threaded-wall or a two-piece axle, against the least accepted."""
    axle, frame = case.axle, case.frame
    width = frame.widths.outside.value_mm
    if axle.fastening is Fastening.TWO_PIECE:
        code, engaged = "barrel", engaged_in_barrel_mm(axle, grip_mm=width - frame.recess_mm)
    else:
        wall = frame.widths.far_wall
        assert wall is not None  # noqa: S101 (else the window names it as missing)
        engaged = engaged_in_wall_mm(axle, outside_width_mm=width, far_wall_mm=wall.value_mm)
        code = "wall"
    least, caution = case.window.least_engaged_mm, case.window.caution_engaged_mm
    assert axle.thread is not None and least is not None and caution is not None  # noqa: S101, PT018
    internal = axle.material if code == "barrel" else frame.wall_material
    facts: dict[str, object] = {
        "turns": int(engaged / axle.thread.pitch_mm + LIMIT_ROUNDING_MM),
        "usual": caution,
        "strip_torque": strip_torque_nm(axle.thread, axle.material, internal, engaged),
        "assembly_torque": ASSEMBLY_TORQUE_NM,
    }
    if axle.material is None:
        facts["remarks"] = ("material_taken_as_steel_4_6",)
    if engaged < least - LIMIT_ROUNDING_MM:
        # The window already ends where too little engages: only a width outside of it is a failure.
        outcome = Outcome.FAIL if outcome_of(case.width_probability) is Outcome.FAIL else Outcome.CAUTION
        code = f"engagement_in_{code}_too_short"
    elif engaged < caution - LIMIT_ROUNDING_MM:
        outcome, code = Outcome.CAUTION, f"engagement_in_{code}_short"
    else:
        outcome, code = Outcome.PASS, f"engagement_in_{code}"
    return Reason(Check.ENGAGEMENT, outcome, code, SHEAR_AREAS, engaged, least, None, "mm", facts)


def _nut_is_full(case: Case) -> Reason:
    """At least one pitch of the bolt shows beyond the nut."""
    pitches = shown_pitches(case.axle, outside_width_mm=case.frame.widths.outside.value_mm)
    if pitches >= 1.0 - LIMIT_ROUNDING_MM:
        outcome, code = Outcome.PASS, "engagement_in_nut"
    else:
        outcome = Outcome.FAIL if outcome_of(case.width_probability) is Outcome.FAIL else Outcome.CAUTION
        code = "engagement_in_nut_too_short"
    return Reason(Check.ENGAGEMENT, outcome, code, COMMON_PRACTICE, pitches, 1.0, None, "pitches")
