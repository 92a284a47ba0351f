"""Whether the shaft suits the bore, the bearing, the wheel and the rider."""

from __future__ import annotations

from functools import lru_cache

from service.engine.checks.case import Case, outcome_of
from service.engine.codes import Check, Outcome
from service.engine.constants import (
    ADULT_MASS_KG,
    BEARING_BORE_MM,
    COMMON_PRACTICE,
    GREATEST_CLEARANCE_MM,
    LIMIT_ROUNDING_MM,
    LIMITS_AND_FITS,
    PART_DATA,
    SLEEVE_LENGTH_MATCH_MM,
)
from service.engine.parts import Sleeve
from service.engine.reasons import Reason
from service.engine.tolerances import bearing_clearance_um

_CLASS_NOT_KNOWN = Reason(
    Check.BEARING_FIT,
    Outcome.UNKNOWN,
    "bearing_fit_needs_column",
    PART_DATA,
    facts={"column": "shaft_tolerance"},
)


def bore(case: Case) -> Reason:
    """The shaft is of the class of the frame's bore."""
    shaft, given = case.axle.shaft_mm, case.frame.bore
    if shaft is None:
        return Reason(
            Check.BORE, Outcome.UNKNOWN, "bore_needs_column", PART_DATA, facts={"column": "shaft_mm"}
        )
    if given is None:
        return Reason(Check.BORE, Outcome.UNKNOWN, "bore_not_given", COMMON_PRACTICE, shaft, unit="mm")
    nominal, outcome = given.nominal_mm, outcome_of(case.bore_probability)
    if nominal is None:
        code = "bore_of_no_class"
    else:
        code = "bore_uncertain"
        if outcome is Outcome.PASS:
            code = "bore_equal"
        elif outcome is Outcome.FAIL:
            code = "bore_differs"
    facts = {
        "bore": given.reading.value_mm if given.reading else nominal,
        "probability": case.bore_probability,
    }
    return Reason(Check.BORE, outcome, code, COMMON_PRACTICE, shaft, nominal, nominal, "mm", facts)


def goes_into_bearing(case: Case) -> Reason | None:
    """The shaft goes into the bearing by hand, and without play; a thin axle sits in its sleeve instead."""
    if case.axle.shaft_mm != BEARING_BORE_MM:
        return None
    tolerance = case.axle.shaft_tolerance
    return _CLASS_NOT_KNOWN if tolerance is None else _bearing_fit(tolerance)


@lru_cache(maxsize=256)
def _bearing_fit(tolerance: str) -> Reason:
    """The reason for a shaft of 8 mm of this class."""
    least_um, greatest_um = bearing_clearance_um(BEARING_BORE_MM, tolerance)
    greatest = greatest_um / 1e3
    tight, loose = least_um < 0, greatest > GREATEST_CLEARANCE_MM
    code = {
        (False, False): "bearing_fit_by_hand",
        (True, False): "bearing_fit_may_be_tight",
        (False, True): "bearing_fit_has_play",
        (True, True): "bearing_fit_tight_or_loose",
    }[tight, loose]
    outcome = Outcome.CAUTION if tight or loose else Outcome.PASS
    facts = {"class": tolerance, "least_um": least_um, "greatest_um": greatest_um}
    return Reason(
        Check.BEARING_FIT,
        outcome,
        code,
        LIMITS_AND_FITS,
        least_um / 1e3,
        0.0,
        GREATEST_CLEARANCE_MM,
        "mm",
        facts,
    )


def fitting_sleeves(case: Case) -> list[Sleeve]:
    """The catalogue's sleeves for this thin axle and this hub."""
    shaft, hub = case.axle.shaft_mm, case.frame.hub_width_mm
    return [
        sleeve
        for sleeve in case.catalogue.sleeves
        if sleeve.inner_mm == shaft
        and sleeve.outer_mm == BEARING_BORE_MM
        and abs(sleeve.length_mm - hub) <= SLEEVE_LENGTH_MATCH_MM + LIMIT_ROUNDING_MM
    ]


def matching_sleeve(case: Case) -> Sleeve | None:
    """The fitting sleeve that is nearest to the hub in length, then by SKU."""
    hub = case.frame.hub_width_mm
    return min(fitting_sleeves(case), key=lambda s: (round(abs(s.length_mm - hub), 3), s.sku), default=None)


def sleeve_is_to_be_had(case: Case) -> Reason | None:
    """A thin axle has its sleeve, and the catalogue has one of the hub's width."""
    shaft, hub = case.axle.shaft_mm, case.frame.hub_width_mm
    if shaft is None or shaft >= BEARING_BORE_MM:
        return None
    sleeve = matching_sleeve(case)
    if sleeve is None:
        return Reason(
            Check.SLEEVE, Outcome.CAUTION, "sleeve_not_in_catalogue", COMMON_PRACTICE, hub, unit="mm",
            facts={"inner": shaft, "outer": BEARING_BORE_MM},
        )  # fmt: skip
    return Reason(
        Check.SLEEVE, Outcome.PASS, "sleeve_needed", COMMON_PRACTICE, sleeve.length_mm, unit="mm",
        facts={"inner": shaft, "outer": BEARING_BORE_MM, "sku": sleeve.sku, "name": sleeve.name},
    )  # fmt: skip


def thin_axle_suits_rider(case: Case) -> Reason | None:
    """A shaft under 8 mm carries no adult."""
    shaft, mass = case.axle.shaft_mm, case.frame.rider_mass_kg
    if shaft is None or shaft >= BEARING_BORE_MM:
        return None
    facts = {"shaft": shaft}
    if case.frame.may_carry_an_adult:
        code = "thin_axle_under_adult" if mass is not None else "thin_axle_rider_not_given"
        outcome = Outcome.CAUTION
    else:
        code = "thin_axle_under_light_rider" if mass is not None else "thin_axle_under_child"
        outcome = Outcome.PASS
    return Reason(Check.THIN_AXLE, outcome, code, COMMON_PRACTICE, mass, None, ADULT_MASS_KG, "kg", facts)
