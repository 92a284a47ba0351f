"""The lookup itself: what is counted, what is listed, and what a preference may change."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.lookup import LookupRequest
from service.errors import InvalidRequestError
from service.fitting.lookup import look_up

FRAME = {"fastening": "threaded_wall", "outside_width_mm": 36.4, "far_wall_mm": 6, "bore_mm": 8}
VERDICTS = ["fits", "fits_with_caution", "check_first", "no_fit"]


@pytest.fixture
def answer(snapshot):
    """The answer to a lookup of the frame, with what the test changes."""
    return lambda **fields: look_up(LookupRequest(**(FRAME | {"limit": 100} | fields)), snapshot)


def test_every_axle_that_has_a_width_window_is_considered(answer, snapshot):
    counts = answer().counts
    assert counts.considered == counts.fits + counts.fits_with_caution + counts.check_first + counts.no_fit
    unmeasured = {"TW8-UNMEASURED", "TP8-33-NOMOUTH", "BN8-48-NONUT"}  # nothing to compute a window from
    assert unmeasured <= set(snapshot.axles)
    assert counts.considered == len(snapshot.axles) - len(unmeasured)


def test_the_axles_listed_are_those_counted_as_anything_but_no_fit(answer):
    found = answer(outside_width_mm=36.4, thread="M8x1.25")
    counts = found.counts
    listed = [fit.verdict for fit in found.fits]
    assert {verdict: listed.count(verdict) for verdict in VERDICTS} == {
        "fits": counts.fits,
        "fits_with_caution": counts.fits_with_caution,
        "check_first": counts.check_first,
        "no_fit": 0,
    }


def test_an_axle_that_is_listed_has_no_failing_reason(answer):
    fits = answer().fits
    assert fits
    assert [fit for fit in fits if any(reason.outcome == "fail" for reason in fit.reasons)] == []


def test_better_verdicts_come_first_and_ranks_count_from_1(answer):
    fits = answer().fits
    verdicts = [VERDICTS.index(fit.verdict) for fit in fits]
    assert verdicts == sorted(verdicts)
    assert [fit.rank for fit in fits] == list(range(1, len(fits) + 1))


def test_a_near_miss_does_not_fit_and_is_not_listed(answer):
    found = answer(near_misses=20)
    listed = {fit.axle.sku for fit in found.fits}
    assert len(found.near_misses) == 20
    assert all(any(reason.outcome == "fail" for reason in miss.reasons) for miss in found.near_misses)
    assert listed & {miss.axle.sku for miss in found.near_misses} == set()


@pytest.mark.parametrize("most", [0, 1, 20])
def test_as_many_near_misses_are_shown_as_asked_for(answer, most):
    assert len(answer(near_misses=most).near_misses) == most


@pytest.mark.parametrize(
    "preference",
    [{"prefer_colour": "silver"}, {"prefer_drive": "hexagon_4"}, {"in_stock": True}],
    ids=str,
)
def test_a_preference_changes_the_order_and_no_verdict(answer, preference):
    plain = {fit.axle.sku: fit.verdict for fit in answer(thread="M8x1.25").fits}
    preferred = {fit.axle.sku: fit.verdict for fit in answer(thread="M8x1.25", **preference).fits}
    assert preferred == plain
    assert list(preferred) != list(plain)


def test_of_axles_that_fit_as_well_those_in_stock_come_first(answer):
    fits = answer(thread="M8x1.25", in_stock=True).fits
    equal = [fit for fit in fits if (fit.verdict, round(fit.fit_probability, 2)) == ("fits", 1.0)]
    lacking = [not fit.axle.stock for fit in equal]
    assert {True, False} <= set(lacking)
    assert lacking == sorted(lacking)


def test_several_readings_count_with_their_mean_and_their_spread(answer):
    # Mean 36.4; s = 0.1, u = √(0.1²/3 + 0.05²/3) = 0.0645.
    width = answer(outside_width_mm=[36.3, 36.4, 36.5]).frame.outside_width_mm
    assert (width.value, width.standard_uncertainty) == (36.4, 0.065)


# A rectangular error of half width a has u = a/√3 (JCGM 100:2008, 4.3.7).
@pytest.mark.parametrize(
    ("instrument", "half_width"), [("calliper", 0.05), ("declared", 0.2), ("ruler", 0.5), ("tape", 1.0)]
)
def test_the_uncertainty_is_that_of_the_instrument(answer, instrument, half_width):
    width = answer(instrument=instrument).frame.outside_width_mm
    assert width.standard_uncertainty == round(half_width / 3**0.5, 3)


def test_an_outside_width_that_was_not_measured_follows_from_the_others(answer):
    width = answer(
        outside_width_mm=None, inside_width_mm=24.4, head_wall_mm=6, far_wall_mm=6
    ).frame.outside_width_mm
    assert width.value == 24.4 + 6 + 6
    assert width.standard_uncertainty == round((3 * 0.05**2 / 3) ** 0.5, 3)  # three calliper readings


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"thread": "M8x0.8"}, "thread"),
        ({"position": "brake", "brake_thread": "M40"}, "brake_thread"),
        ({"inside_width_mm": 31, "head_wall_mm": None}, "outside_width_mm"),  # leaves no head wall
    ],
)
def test_a_frame_that_cannot_be_is_refused_by_field(answer, fields, field):
    with pytest.raises(InvalidRequestError) as caught:
        answer(**fields)
    assert [fault.path for fault in caught.value.faults] == [(field,)]


@pytest.mark.parametrize(
    ("fields", "code", "wanted"),
    [
        ({}, "maker_and_workshop_first", True),
        ({}, "child_skate_checked_by_adult", False),
        ({"child": True}, "child_skate_checked_by_adult", True),
        ({"bore_mm": 6, "outside_width_mm": 34, "far_wall_mm": 4.8}, "thin_axles_not_for_adults", True),
        (
            {"bore_mm": 6, "outside_width_mm": 34, "far_wall_mm": 4.8, "rider_mass_kg": 59.9},
            "thin_axles_not_for_adults",
            False,
        ),
        ({}, "thin_axles_not_for_adults", False),
        ({}, "thread_locking_as_maker_says", True),
        ({"fastening": "bolt_and_nut", "outside_width_mm": 37}, "thread_locking_as_maker_says", False),
    ],
)
def test_a_caution_is_given_where_it_is_called_for(answer, fields, code, wanted):
    found = answer(**fields)
    assert found.fits
    assert (code in {caution.code for caution in found.cautions}) is wanted


def test_a_thin_axle_names_the_sleeve_that_it_needs(answer):
    (first, *_) = answer(bore_mm=6, outside_width_mm=34, far_wall_mm=4.8, thread="M6x1").fits
    assert first.axle.shaft_mm == 6
    assert [needed.sku for needed in first.also_needed] == ["SL-6-24"]  # for the usual hub of 24 mm


@settings(max_examples=50)
@given(
    width=st.floats(20, 60),
    fastening=st.sampled_from(["threaded_wall", "two_piece", "bolt_and_nut", None]),
    bore=st.sampled_from([None, 6, 6.3, 8, 8.03]),
    wall=st.none() | st.floats(2, 9),
)
def test_whatever_the_frame_probabilities_and_counts_hold_together(snapshot, width, fastening, bore, wall):
    request = LookupRequest(
        outside_width_mm=width, fastening=fastening, bore_mm=bore, far_wall_mm=wall, limit=100
    )
    found = look_up(request, snapshot)
    counts = found.counts
    possible = counts.fits + counts.fits_with_caution + counts.check_first
    assert len(found.fits) == min(possible, 100)
    assert (found.next_cursor is not None) is (possible > 100)
    assert all(0.05 <= fit.fit_probability <= 1 for fit in found.fits)
    assert look_up(request, snapshot) == found
