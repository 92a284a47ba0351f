"""Shaft, bore, wheel and rider; facts of the trade: common practice, no source."""

import pytest

from service.engine.codes import Check, Outcome
from service.engine.parts import CatalogueFacts, Sleeve
from service.engine.probability import measured_bore, nominal_bore

# --- bore ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("shaft", [6.0, 6.3, 8.0])
@pytest.mark.parametrize("bore", [6.0, 6.3, 8.0])
def test_a_shaft_goes_only_into_a_bore_of_its_own_class(threaded_axle, frame, reason, shaft, bore):
    found = reason(Check.BORE, threaded_axle(shaft_mm=shaft), frame(36.4, bore=nominal_bore(bore)))
    assert found.outcome is (Outcome.PASS if shaft == bore else Outcome.FAIL)


@pytest.mark.parametrize(
    ("reading", "of_thin_shaft", "of_thick_shaft"),
    [
        (6.000, Outcome.PASS, Outcome.FAIL),
        (6.117, Outcome.PASS, Outcome.FAIL),
        (6.118, Outcome.CAUTION, Outcome.UNKNOWN),
        (6.134, Outcome.CAUTION, Outcome.UNKNOWN),
        (6.135, Outcome.UNKNOWN, Outcome.UNKNOWN),
        (6.150, Outcome.UNKNOWN, Outcome.UNKNOWN),  # half way: either with one half
    ],
)
def test_a_bore_read_between_6_and_6_3_is_as_sure_as_its_class(
    threaded_axle, frame, read, reason, *, reading, of_thin_shaft, of_thick_shaft
):
    # u_b² = 0.05²/3 + 0.05² = 0.01/3; the odds of 6 against 6.3 are exp((0.09 − 0.6·(y − 6))/(2·u_b²)).
    # They are 19 to 1 (95 %) at y = 6.1173, and 4 to 1 (80 %) at y = 6.1346.
    of_frame = frame(36.4, bore=measured_bore(read(reading)))
    assert reason(Check.BORE, threaded_axle(shaft_mm=6.0), of_frame).outcome is of_thin_shaft
    assert reason(Check.BORE, threaded_axle(shaft_mm=6.3), of_frame).outcome is of_thick_shaft


@pytest.mark.parametrize("shaft", [6.0, 6.3, 8.0])
def test_a_bore_of_no_class_takes_no_shaft_and_says_so(threaded_axle, frame, read, reason, shaft):
    found = reason(Check.BORE, threaded_axle(shaft_mm=shaft), frame(36.4, bore=measured_bore(read(7.2))))
    assert found.outcome is Outcome.FAIL
    assert found.code == "bore_of_no_class"
    assert found.facts["bore"] == 7.2


def test_a_bore_that_was_not_given_is_unknown(threaded_axle, frame, reason):
    assert reason(Check.BORE, threaded_axle(), frame(36.4, bore=None)).outcome is Outcome.UNKNOWN


def test_a_part_without_its_shaft_is_unknown_and_names_the_column(threaded_axle, frame, reason):
    found = reason(Check.BORE, threaded_axle(shaft_mm=None), frame(36.4, bore=nominal_bore(8.0)))
    assert found.outcome is Outcome.UNKNOWN
    assert found.facts["column"] == "shaft_mm"


# --- sleeve --------------------------------------------------------------------------------------


@pytest.fixture
def sleeve():
    def build(sku, **changes):
        return Sleeve(
            sku=sku, name="Sleeve", **({"inner_mm": 6.0, "outer_mm": 8.0, "length_mm": 24.0} | changes)
        )

    return build


@pytest.fixture
def sleeve_reason(threaded_axle, frame, reason):
    def build(*sleeves, shaft_mm=6.0, hub_width_mm=24.0):
        axle, of_frame = threaded_axle(shaft_mm=shaft_mm), frame(36.4, hub_width_mm=hub_width_mm)
        return reason(
            Check.SLEEVE, axle, of_frame, catalogue=CatalogueFacts(usual_threads={}, sleeves=sleeves)
        )

    return build


def test_a_thin_axle_needs_the_sleeve_that_the_catalogue_has(sleeve, sleeve_reason):
    found = sleeve_reason(sleeve("SLEEVE"))
    assert found.outcome is Outcome.PASS
    assert found.facts["sku"] == "SLEEVE"


@pytest.mark.parametrize(
    "other", [{"inner_mm": 6.3}, {"outer_mm": 7.0}, {"length_mm": 24.4}, {"length_mm": 23.6}], ids=str
)
def test_a_sleeve_of_another_bore_bearing_or_hub_does_not_do(sleeve, sleeve_reason, other):
    assert sleeve_reason(sleeve("SLEEVE", **other)).outcome is Outcome.CAUTION


@pytest.mark.parametrize("length", [23.7, 23.75, 24.25, 24.3])
def test_a_sleeve_up_to_0_3_mm_off_the_hub_still_carries_both_bearings(sleeve, sleeve_reason, length):
    assert sleeve_reason(sleeve("SLEEVE", length_mm=length)).outcome is Outcome.PASS


def test_a_sleeve_is_as_long_as_the_hub_it_goes_through(sleeve, sleeve_reason):
    sleeves = (sleeve("LONG", length_mm=24.0), sleeve("SHORT", length_mm=22.0))
    assert sleeve_reason(*sleeves, hub_width_mm=24.0).facts["sku"] == "LONG"
    assert sleeve_reason(*sleeves, hub_width_mm=22.0).facts["sku"] == "SHORT"


def test_of_several_sleeves_the_nearest_in_length_is_named_and_then_the_first_by_sku(sleeve, sleeve_reason):
    off, second, first = sleeve("A", length_mm=24.2), sleeve("C"), sleeve("B")
    assert sleeve_reason(off, second, first).facts["sku"] == "B"


def test_a_sleeve_that_no_catalogue_part_is_leaves_a_caution(sleeve_reason):
    assert sleeve_reason().outcome is Outcome.CAUTION


@pytest.mark.parametrize("shaft", [8.0, None])
def test_an_axle_as_thick_as_the_bearing_s_bore_needs_no_sleeve(sleeve, sleeve_reason, shaft):
    # Bearing 608: bore 8 mm (ISO 15).
    assert sleeve_reason(sleeve("SLEEVE", inner_mm=8.0), shaft_mm=shaft) is None


# --- thin axle -----------------------------------------------------------------------------------


@pytest.mark.parametrize("shaft", [6.0, 6.3])
@pytest.mark.parametrize(
    ("mass", "child", "outcome"),
    [
        (59.9, False, Outcome.PASS),
        (60.0, False, Outcome.CAUTION),
        (60.1, False, Outcome.CAUTION),
        (90.0, True, Outcome.CAUTION),  # an adult's mass on a child's skate is an adult's mass
        (35.0, True, Outcome.PASS),
        (None, False, Outcome.CAUTION),
        (None, True, Outcome.PASS),
    ],
)
def test_a_thin_axle_is_a_caution_under_an_adult(
    threaded_axle, frame, reason, shaft, *, mass, child, outcome
):
    of_frame = frame(36.4, rider_mass_kg=mass, child=child)
    assert reason(Check.THIN_AXLE, threaded_axle(shaft_mm=shaft), of_frame).outcome is outcome


def test_an_8_mm_axle_is_not_thin(threaded_axle, frame, reason):
    assert reason(Check.THIN_AXLE, threaded_axle(shaft_mm=8.0), frame(36.4, rider_mass_kg=100.0)) is None
