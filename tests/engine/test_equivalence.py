"""Which parts can stand in for an axle: the same widths, and no check that fails."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.codes import Fastening, Verdict
from service.engine.equivalence import Use, frame_family, frames_made_for, stand_ins
from service.engine.judgement import judge
from service.engine.parts import Axle, CatalogueFacts
from service.engine.threads import parse_thread

FACTS = CatalogueFacts(usual_threads={8.0: parse_thread("M8x1.25")})
WALLS = Use(walls_mm=(5.0, 6.5))


def found_for(axle, *parts, use=WALLS):
    return {s.judgement.axle.sku: s for s in stand_ins(axle, parts, FACTS, use=use)}


@pytest.mark.parametrize(
    ("length", "stands_in"), [(35.59, False), (35.6, True), (36.4, True), (36.41, False)]
)
def test_the_windows_are_the_same_within_both_length_tolerances(threaded_axle, length, stands_in):
    # Both tolerances are 0.2 mm, and a window of a threaded wall goes with the length.
    other = threaded_axle(sku="OTHER", length_mm=length)
    assert bool(found_for(threaded_axle(length_mm=36.0), other)) is stands_in


def test_a_finer_tolerance_narrows_what_is_the_same(threaded_axle):
    fine = threaded_axle(sku="FINE", length_mm=36.4, length_tolerance_mm=0.1)
    assert found_for(threaded_axle(), fine) == {}
    assert "FINE" in found_for(threaded_axle(), replace(fine, length_mm=36.3))


@pytest.mark.parametrize(
    "changes",
    [
        {"shaft_mm": 6.0},
        {"thread": "M8x1"},
        {"offset_mm": 0.75},
        {"length_mm": 37.0},
    ],
    ids=str,
)
def test_a_part_that_fails_one_check_does_not_stand_in(threaded_axle, changes):
    assert found_for(threaded_axle(), threaded_axle(sku="OTHER", **changes)) == {}
    assert found_for(threaded_axle(sku="OTHER", **changes), threaded_axle()) == {}


def test_no_part_of_another_fastening_stands_in(threaded_axle, two_piece_axle, bolt, stated_axle):
    parts = [threaded_axle(), two_piece_axle(), bolt(), stated_axle()]
    for axle in parts:
        found = found_for(replace(axle, sku="OLD"), *parts)
        assert all(s.judgement.axle.fastening is axle.fastening for s in found.values())
        assert axle.sku in found


def test_a_thread_too_short_for_the_thickest_wall_does_not_stand_in(threaded_axle):
    # A wall of 6.5 mm: 0.6·(6.5 − 1.25) = 3.15 mm must engage, and 4 − 1.25 = 2.75 mm can.
    short = threaded_axle(sku="SHORT", thread_length_mm=4.0)
    assert found_for(threaded_axle(), short) == {}
    assert "SHORT" in found_for(threaded_axle(), short, use=Use())  # where no wall is known


@pytest.mark.parametrize(
    "changes",
    # Barrel 30, mouth 1, thread 11, screw 14 serve 32 to 41 mm; these 33 to 41 and 32 to 42 mm.
    [{"barrel_thread_mm": 10.0}, {"screw_mm": 15.0, "barrel_thread_mm": 12.0}],
    ids=["the lower", "the upper"],
)
def test_either_limit_of_the_window_has_to_be_the_same(two_piece_axle, changes):
    other = two_piece_axle(sku="OTHER", **changes)
    assert found_for(two_piece_axle(), other) == {}
    assert found_for(other, two_piece_axle()) == {}


def test_the_windows_have_to_be_the_same_on_the_thinnest_and_on_the_thickest_wall(threaded_axle):
    # The shank begins 6 mm from the tip: in a wall of 6.5 mm it needs 36 − 6 + 6.5 − 0.625 = 35.875 mm,
    # in one of 5 mm less than the 35 mm that any axle of 36 mm needs.
    short = threaded_axle(sku="SHORT", thread_length_mm=6.0)
    assert "SHORT" in found_for(threaded_axle(), short, use=Use(walls_mm=(5.0,)))
    assert found_for(threaded_axle(), short) == {}


def test_the_verdict_is_that_on_the_wall_where_the_part_does_worst(threaded_axle):
    # As above with 6.1 mm: 35.775 mm, so near 36 mm that the tolerance of 0.4 mm makes it a caution:
    # u = √(0.05² + 0.4²)/√3 = 0.233, Φ(0.225/0.233) = 0.83.
    axle = threaded_axle(length_tolerance_mm=0.4, shaft_tolerance="f7")
    short = replace(axle, sku="SHORT", thread_length_mm=6.1)
    for walls, verdict in [((5.0,), Verdict.FITS), ((5.0, 6.5), Verdict.FITS_WITH_CAUTION)]:
        found = found_for(axle, short, use=Use(walls_mm=walls))
        assert found["SHORT"].judgement.verdict is verdict


def test_an_axle_that_carries_the_brake_needs_the_same_thread_at_its_end(threaded_axle):
    brake = threaded_axle(sku="BRAKE", brake_thread="M6x1")
    assert set(found_for(brake, threaded_axle(), threaded_axle(sku="M5", brake_thread="M5x0.8"))) == set()
    assert found_for(threaded_axle(), brake)["BRAKE"].judgement.verdict is Verdict.FITS_WITH_CAUTION


def test_only_an_axle_of_the_same_profile_stands_in_for_a_keyed_one(two_piece_axle):
    parts = [two_piece_axle(sku=profile, keyed_profile=profile) for profile in ("larch", "rowan", "none")]
    for profile in ("larch", "rowan", "none"):
        old = two_piece_axle(sku="OLD", keyed_profile=profile)
        assert set(found_for(old, *parts)) == {profile}


@pytest.mark.parametrize(("profile", "family"), [("larch", "larch"), ("none", None), (None, None)], ids=str)
def test_a_keyed_axle_goes_into_one_frame_family_only(two_piece_axle, profile, family):
    assert frame_family(two_piece_axle(keyed_profile=profile)) == family


def test_a_profile_of_an_axle_with_one_head_means_no_family(threaded_axle):
    assert frame_family(threaded_axle(keyed_profile="larch")) is None


def test_a_part_of_unknown_thread_is_to_be_checked_first(threaded_axle):
    unknown = threaded_axle(sku="UNKNOWN", thread=None)
    assert found_for(threaded_axle(), unknown)["UNKNOWN"].judgement.verdict is Verdict.CHECK_FIRST


def test_a_part_that_would_bend_under_the_rider_does_not_stand_in(threaded_axle):
    soft = threaded_axle(sku="SOFT", material="aluminium_6061_t6")
    heavy = replace(WALLS, rider_mass_kg=250)
    assert "SOFT" in found_for(threaded_axle(), soft)
    assert found_for(threaded_axle(), soft, use=heavy) == {}


def test_an_axle_of_unknown_material_is_compared_by_its_lengths(two_piece_axle):
    # Of the weakest steel the screw of M6 would need a greater length than its two pitches.
    assert "STRONG" in found_for(two_piece_axle(material=None), two_piece_axle(sku="STRONG"))


def test_for_an_axle_of_unknown_length_nothing_stands_in(threaded_axle):
    assert found_for(threaded_axle(length_mm=None), threaded_axle(sku="OTHER")) == {}


def test_the_better_drive_and_the_lower_price_go_first(threaded_axle):
    parts = [
        threaded_axle(sku="SLOT", drive="slot", price_per_axle=1.0),
        threaded_axle(sku="DEAR", drive="hexagon_4", price_per_axle=3.0),
        threaded_axle(sku="CHEAP", drive="hexagon_4", price_per_axle=2.0),
        threaded_axle(sku="LONGER", drive="hexalobular_25", length_mm=36.2),
    ]
    found = stand_ins(threaded_axle(), parts, FACTS, use=WALLS)
    assert [s.judgement.axle.sku for s in found] == ["CHEAP", "DEAR", "SLOT", "LONGER"]


# --- laws --------------------------------------------------------------------------------------------

threads = st.sampled_from([parse_thread(t) for t in ("M8x1.25", "M8x1", "M7x1")])
axles = st.builds(
    Axle,
    sku=st.just("A"),
    fastening=st.just(Fastening.THREADED_WALL),
    shaft_mm=st.just(8.0),
    length_mm=st.floats(30, 45),
    length_tolerance_mm=st.floats(0.05, 0.3),
    thread=threads,
    thread_length_mm=st.floats(8, 14),
    offset_mm=st.sampled_from([0.0, 0.75, 1.0]),
    material=st.sampled_from(["steel_8_8", "steel_12_9"]),
)


@given(axle=axles)
def test_an_axle_that_fits_its_own_frames_can_be_replaced_by_its_twin(axle):
    frames = frames_made_for(axle, WALLS)
    fits = all(judge(axle, frame, FACTS).verdict is not Verdict.NO_FIT for frame in frames)
    found = found_for(axle, replace(axle, sku="TWIN"))
    assert ("TWIN" in found) is fits
    assert all(s.apart_mm == 0 for s in found.values())


@given(one=axles, shift=st.floats(-0.6, 0.6))
def test_two_axles_of_the_same_make_stand_in_for_each_other_or_neither_does(one, shift):
    other = replace(one, sku="B", length_mm=one.length_mm + shift)
    assert ("B" in found_for(one, other)) == ("A" in found_for(other, one))


@given(one=axles, other=axles.map(lambda axle: replace(axle, sku="B")))
def test_how_far_the_windows_lie_apart_is_within_the_tolerances_of_both(one, other):
    for s in found_for(one, other).values():
        assert 0 <= s.apart_mm <= one.length_tolerance_mm + other.length_tolerance_mm + 1e-9
