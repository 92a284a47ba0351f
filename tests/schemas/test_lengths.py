"""A length may be written in inches: exactly 25.4 mm each, rounded once, and the same request as in mm."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from schemas.browse import AxleListRequest
from schemas.lookup import LookupRequest
from schemas.parts import AxleRecord
from service.fitting.lookup import look_up

# NBS Circular 572, addendum of 1960: since 1 July 1959 a yard is 0.9144 m exactly; it has 36 inches.
MM_PER_INCH = Fraction(9144, 10000) * 1000 / 36
LENGTHS = [name for name in LookupRequest.model_fields if name.endswith("_mm")]
WIDTH = {"outside_width_mm": 36.4}


def width(written):
    """The outside width [mm] that a request is understood to have."""
    (understood,) = LookupRequest(outside_width_mm=written).outside_width_mm
    return understood


@given(st.integers(1, 7_800_000).map(lambda millionths: Decimal(millionths).scaleb(-6)))
def test_inches_are_converted_exactly_and_rounded_once(inches):
    # A float made of an exact fraction is the nearest one there is (Python's true division of integers).
    assert width(f"{inches:f}in") == float(Fraction(inches) * MM_PER_INCH)


@given(st.integers(0, 6), st.integers(1, 128), st.integers(0, 127))
def test_a_fraction_of_an_inch_is_converted_exactly(whole, denominator, numerator):
    part = Fraction(numerator % denominator, denominator)
    written = f"{whole} {numerator % denominator}/{denominator}in"
    if whole + part > 0:
        assert width(written) == float((whole + part) * MM_PER_INCH)


@given(st.decimals("0.001", "200", places=3))
def test_a_length_in_mm_is_the_same_with_and_without_its_unit(mm):
    assert width(f"{mm}mm") == width(f"{mm} mm") == width(str(mm)) == width(float(mm)) == float(mm)


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        ("1in", "25.4"),
        ("1 in", "25.4"),
        (" 1in ", "25.4"),
        ("+1in", "25.4"),
        ("1.417in", "35.9918"),  # 1.417 × 25.4
        ("1.0in", "25.4"),
        ("3/8in", "9.525"),
        ("1 3/8in", "34.925"),
        ("11/8 in", "34.925"),
        ("36.4mm", "36.4"),
    ],
)
def test_both_ways_to_write_a_length_are_one_request(written, mm):
    one, other = (LookupRequest(outside_width_mm=form) for form in (written, Decimal(mm)))
    assert one == other
    assert one.model_dump_json() == other.model_dump_json()


@pytest.mark.parametrize(
    "written",
    [
        "in", "1.in", ".5in", "1in1", "1 inch", "1IN", "1″", '1"', "1cm", "1m", "1e0in", "1 1 in", "1  in",
        "--1in", "1/0in", "1/2", "1/2mm", "1 3/2in", "1 2 1/2in", "1.5/2in", "1,5in", "NaNin", "١in", "",
        "0/8in", "8in", "201mm",
    ],
)  # fmt: skip
def test_what_is_no_length_within_the_bounds_is_refused(written):
    with pytest.raises(ValidationError):
        LookupRequest(outside_width_mm=written)


@pytest.mark.parametrize("field", LENGTHS)
def test_every_length_of_a_lookup_takes_inches(field):
    together = {"holes": "oval"} if field == "hole_offset_mm" else {}
    in_inches = LookupRequest(**(WIDTH | together | {field: "0.25in"}))
    in_mm = LookupRequest(**(WIDTH | together | {field: 6.35}))
    assert in_inches == in_mm
    assert getattr(in_inches, field) in {6.35, (6.35,)}


def test_readings_may_be_in_different_units():
    assert LookupRequest(outside_width_mm=["1in", 25.5, "25.6"]).outside_width_mm == (25.4, 25.5, 25.6)


def test_axles_may_be_asked_for_by_a_width_in_inches():
    assert AxleListRequest(outside_width_mm="1.5in", shaft_mm="8mm") == AxleListRequest(
        outside_width_mm=38.1, shaft_mm=8
    )


def test_a_class_of_bore_is_that_class_with_its_unit_too(snapshot):
    one, other = (look_up(LookupRequest(**WIDTH, bore_mm=bore), snapshot) for bore in ("8mm", 8))
    assert one == other


@pytest.mark.parametrize(("instrument", "half_width"), [("calliper", 0.05), ("ruler", 0.5), ("tape", 1.0)])
def test_a_reading_in_inches_has_the_uncertainty_of_its_instrument(snapshot, instrument, half_width):
    answer = look_up(LookupRequest(outside_width_mm="1 3/8in", instrument=instrument), snapshot)
    # A rectangular error of half width a has u = a/√3 (JCGM 100:2008, 4.3.7).
    assert answer.frame.outside_width_mm.value == 34.925
    assert answer.frame.outside_width_mm.standard_uncertainty == round(half_width / 3**0.5, 3)


def test_the_catalogue_itself_is_in_mm_alone():
    with pytest.raises(ValidationError):
        AxleRecord(sku="A", name="A", fastening="threaded_wall", length_mm="1.417in")
