"""Whether the shaft's diameter suits the bore, the wheel and the rider."""

from __future__ import annotations

from service.engine.checks.case import Case, outcome_of
from service.engine.codes import Check, Outcome
from service.engine.constants import (
    ADULT_MASS_KG,
    BEARING_BORE_MM,
    COMMON_PRACTICE,
    PART_DATA,
    SLEEVE_LENGTH_MATCH_MM,
)
from service.engine.parts import Sleeve
from service.engine.reasons import Reason


def bore(case: Case) -> Reason:
    """The shaft is of the class of the frame's bore."""
    shaft, given = case.axle.shaft_mm, case.frame.bore
    if shaft is None:
        return Reason(
            Check.BORE, Outcome.UNKNOWN, "bore_needs_column", PART_DATA, facts={"column": "shaft_mm"}
        )
    if given is None:
        return Reason(Check.BORE, Outcome.UNKNOWN, "bore_not_given", COMMON_PRACTICE, shaft, unit="mm")
    nominal = given.nominal_mm
    if nominal is None:
        code, outcome = "bore_of_no_class", Outcome.FAIL
    else:
        outcome = outcome_of(case.bore_probability)
        code = {Outcome.PASS: "bore_equal", Outcome.FAIL: "bore_differs"}.get(outcome, "bore_uncertain")
    facts = {
        "bore": given.reading.value_mm if given.reading else nominal,
        "probability": case.bore_probability,
    }
    return Reason(Check.BORE, outcome, code, COMMON_PRACTICE, shaft, nominal, nominal, "mm", facts)


def matching_sleeve(case: Case) -> Sleeve | None:
    """The catalogue's sleeve for this thin axle and this hub: the nearest in length, then by SKU."""
    shaft, hub = case.axle.shaft_mm, case.frame.hub_width_mm
    fitting = [
        sleeve
        for sleeve in case.catalogue.sleeves
        if sleeve.inner_mm == shaft
        and sleeve.outer_mm == BEARING_BORE_MM
        and abs(sleeve.length_mm - hub) <= SLEEVE_LENGTH_MATCH_MM
    ]
    return min(fitting, key=lambda s: (round(abs(s.length_mm - hub), 3), s.sku), default=None)


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
