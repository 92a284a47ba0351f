"""Circles on the ground: stances, tilts, depth and radius, worked by hand and held to their laws."""

from dataclasses import replace
from itertools import pairwise
from math import asin, atan, hypot, isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.rocker import Wheel, clearances_mm, curve_of, room_between_mm, stances_of


def wheels_at(positions_mm, heights_mm, diameters_mm):
    return [
        Wheel(position_mm=x, height_mm=height, radius_mm=diameter / 2)
        for x, height, diameter in zip(positions_mm, heights_mm, diameters_mm, strict=True)
    ]


FOUR = (0.0, 80.0, 160.0, 240.0)
ROCKERED = wheels_at(FOUR, (1, 0, 0, 1), (76,) * 4)
FLAT = wheels_at(FOUR, (0, 0, 0, 0), (76,) * 4)


def touching(wheels):
    return [stance.touching for stance in stances_of(wheels)]


# --- worked by hand ------------------------------------------------------------------------------


def test_a_flat_skate_stands_on_all_its_wheels_at_once():
    (stance,) = stances_of(FLAT)
    assert (stance.touching, stance.tilt_rad) == ((0, 1, 2, 3), 0.0)


def test_a_flat_skate_has_no_depth_and_no_radius():
    curve = curve_of(FLAT)
    assert (curve.chord_mm, curve.depth_mm, curve.radius_mm) == (240.0, 0.0, None)


def test_with_front_and_rear_up_the_skate_stands_on_each_two_neighbours():
    assert touching(ROCKERED) == [(0, 1), (1, 2), (2, 3)]


def test_the_toes_are_down_on_the_front_wheels_and_up_on_the_rear_ones():
    # Equal wheels: the ground is parallel to the line of their axles, which falls or rises 1 mm in 80.
    tilts = [stance.tilt_rad for stance in stances_of(ROCKERED)]
    assert tilts == pytest.approx([-atan(1 / 80), 0, atan(1 / 80)], abs=1e-12)


def test_on_the_middle_wheels_the_outer_ones_stand_as_high_as_they_were_raised():
    assert stances_of(ROCKERED)[1].clearances_mm == pytest.approx((1, 0, 0, 1), abs=1e-12)


def test_on_the_front_wheels_the_others_stand_off_by_their_distance_from_the_line_of_axles():
    # The line through (0, 1) and (80, 0) is x + 80y = 80: (160, 0) is 80/√6401 above it, (240, 1) 240/√6401.
    expected = (0, 0, 80 / hypot(1, 80), 240 / hypot(1, 80))
    assert stances_of(ROCKERED)[0].clearances_mm == pytest.approx(expected, abs=1e-12)


def test_four_wheels_alike_from_both_ends_lie_on_one_circle():
    # The centre is k above the lower wheels and midway: 120² + (k - 1)² = 40² + k², so k = 12801/2.
    curve = curve_of(ROCKERED)
    assert (curve.chord_mm, curve.depth_mm) == pytest.approx((240, 1))
    assert curve.radius_mm == pytest.approx(hypot(40, 12801 / 2), rel=1e-12)
    assert curve.greatest_miss_mm == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("chord", "depth", "radius"),
    [
        (8, 2, 5),  # 64/16 + 1
        (10, 3, 17 / 3),  # 100/24 + 3/2
        (240, 0.5, 14400.25),  # 57600/4 + 1/4
    ],
)
def test_three_points_lie_on_the_circle_of_chord_and_depth(chord, depth, radius):
    # Euclid, Elements, book III, proposition 35: (chord/2)² = depth·(2·radius - depth).
    wheels = wheels_at((0, chord / 2, chord), (depth, 0, depth), (4,) * 3)
    assert curve_of(wheels).radius_mm == pytest.approx(radius, rel=1e-12)


def test_a_larger_wheel_in_the_middle_makes_a_rocker_of_the_difference_in_radius():
    wheels = wheels_at((0, 113, 226), (0, 0, 0), (100, 110, 100))
    curve = curve_of(wheels)
    assert (curve.depth_mm, curve.radius_mm) == pytest.approx((5, 226**2 / 40 + 2.5))  # 226²/(8·5) + 5/2
    # The ground falls from the smaller to the larger wheel by the sine of 5 in 113, not its tangent.
    tilts = [stance.tilt_rad for stance in stances_of(wheels)]
    assert tilts == pytest.approx([-asin(5 / 113), asin(5 / 113)], rel=1e-12)


def test_unequal_wheels_on_one_tangent_touch_at_once_although_their_lowest_points_are_not_in_line():
    # Radii 36, 38 and 40 grow evenly: one tangent. For the fourth to touch its radius would have to be 42.
    first, second = stances_of(wheels_at(FOUR, (0,) * 4, (72, 76, 80, 80)))
    assert (first.touching, second.touching) == ((0, 1, 2), (2, 3))
    assert first.tilt_rad == pytest.approx(-asin(2 / 80), rel=1e-12)
    assert first.clearances_mm == pytest.approx((0, 0, 0, 2), abs=1e-12)


def test_the_ground_touches_a_wheel_where_its_radius_is_square_to_the_ground():
    # sin = -5/113: along the frame by 50·5/113 to the front, under the axle by 50·√(1 - (5/113)²).
    first, _ = stances_of(wheels_at((0, 113, 226), (0, 0, 0), (100, 110, 100)))
    assert first.points_mm[0] == pytest.approx((-50 * 5 / 113, -50 * (1 - (5 / 113) ** 2) ** 0.5))


def test_wheels_that_are_raised_in_the_middle_never_touch():
    wheels = wheels_at(FOUR, (0, 1, 1, 0), (76,) * 4)
    assert touching(wheels) == [(0, 3)]
    assert (curve_of(wheels).depth_mm, curve_of(wheels).radius_mm) == (0.0, None)


@pytest.mark.parametrize(
    ("raised", "stances"), [(-1e-6, [(0, 1), (1, 2)]), (0.0, [(0, 1, 2)]), (1e-6, [(0, 2)])]
)
def test_a_wheel_touches_together_with_its_neighbours_only_on_the_line_itself(raised, stances):
    assert touching(wheels_at((0, 90, 180), (0, raised, 0), (80,) * 3)) == stances


@pytest.mark.parametrize(("pitch", "room"), [(84, 1), (83, 0), (82, -1)])
def test_the_room_between_wheels_is_what_their_radii_leave(pitch, room):
    front, rear = wheels_at((0, pitch), (0, 0), (80, 86))
    assert room_between_mm(front, rear) == pytest.approx(room)


def test_wheels_that_overlap_are_refused():
    with pytest.raises(ValueError, match="overlap"):
        stances_of(wheels_at((0, 79), (0, 0), (80, 80)))


def test_wheels_that_touch_each_other_stand():
    assert touching(wheels_at((0, 80), (0, 0), (80, 80))) == [(0, 1)]


def test_heights_that_differ_by_a_whole_wheel_are_refused():
    with pytest.raises(ValueError, match="least diameter"):
        stances_of(wheels_at((0, 300), (0, 30), (30, 100)))


# --- laws ----------------------------------------------------------------------------------------


@st.composite
def some_wheels(draw, least=2):
    """Wheels as a request may have them: 30 to 200 mm, up to 10 mm up or down, with room between them."""
    count = draw(st.integers(least, 6))
    diameters = draw(st.lists(st.floats(30, 200), min_size=count, max_size=count))
    heights = draw(st.lists(st.floats(-10, 10), min_size=count, max_size=count))
    positions = [0.0]
    for front, rear in pairwise(diameters):
        positions.append(positions[-1] + (front + rear) / 2 + draw(st.floats(0.001, 50)))
    return wheels_at(positions, heights, diameters)


def mirrored(wheels):
    end = wheels[-1].position_mm
    return [replace(wheel, position_mm=end - wheel.position_mm) for wheel in reversed(wheels)]


@given(some_wheels())
def test_the_first_and_the_last_wheel_touch_and_the_stances_follow_each_other(wheels):
    stances = stances_of(wheels)
    assert (stances[0].touching[0], stances[-1].touching[-1]) == (0, len(wheels) - 1)
    for before, after in pairwise(stances):
        assert before.touching[-1] == after.touching[0]
        assert before.tilt_rad < after.tilt_rad


@given(some_wheels())
def test_no_wheel_is_under_the_ground_of_any_stance(wheels):
    for stance in stances_of(wheels):
        assert min(stance.clearances_mm) == 0
        for n in range(len(wheels)):
            assert (stance.clearances_mm[n] <= 1e-9) == (n in stance.touching)


@given(some_wheels())
def test_the_mirrored_skate_has_the_mirrored_stances_and_the_same_curve(wheels):
    last = len(wheels) - 1
    mirror = [
        (tuple(last - n for n in reversed(stance.touching)), -stance.tilt_rad)
        for stance in reversed(stances_of(wheels))
    ]
    found = [(stance.touching, stance.tilt_rad) for stance in stances_of(mirrored(wheels))]
    assert [n for n, _ in found] == [n for n, _ in mirror]
    assert [tilt for _, tilt in found] == pytest.approx([tilt for _, tilt in mirror], abs=1e-9)
    assert alike(curve_of(mirrored(wheels)), curve_of(wheels))


@given(some_wheels(), st.floats(-5, 5), st.floats(-100, 100))
def test_raising_or_moving_all_wheels_alike_changes_nothing(wheels, up, along):
    moved = [replace(w, height_mm=w.height_mm + up, position_mm=w.position_mm + along) for w in wheels]
    assert [s.tilt_rad for s in stances_of(moved)] == pytest.approx(
        [s.tilt_rad for s in stances_of(wheels)], abs=1e-9
    )
    assert alike(curve_of(moved), curve_of(wheels))


@given(some_wheels(), st.floats(0.5, 3))
def test_a_skate_so_many_times_as_large_has_the_same_tilts_and_all_lengths_so_many_times(wheels, times):
    scaled = [
        Wheel(position_mm=w.position_mm * times, height_mm=w.height_mm * times, radius_mm=w.radius_mm * times)
        for w in wheels
    ]
    assert [s.tilt_rad for s in stances_of(scaled)] == pytest.approx(
        [s.tilt_rad for s in stances_of(wheels)], abs=1e-9
    )
    assert alike(curve_of(scaled), curve_of(wheels), times=times)


def alike(curve, other, times=1.0):
    """Whether a curve is so many times the other; the radius of a curve under a micrometre is anything."""
    lengths = zip(
        (curve.chord_mm, curve.depth_mm), (other.chord_mm * times, other.depth_mm * times), strict=True
    )
    same = all(isclose(one, two, rel_tol=1e-9, abs_tol=1e-7) for one, two in lengths)
    if min(curve.depth_mm, other.depth_mm) < 0.001:
        return same
    return same and isclose(curve.radius_mm, other.radius_mm * times, rel_tol=1e-4)


@given(some_wheels(least=3), st.data())
def test_a_wheel_that_never_touches_may_as_well_be_left_out(wheels, data):
    hanging = [n for n in range(len(wheels)) if all(n not in s.touching for s in stances_of(wheels))]
    if hanging:
        gone = data.draw(st.sampled_from(hanging))
        rest = [wheel for n, wheel in enumerate(wheels) if n != gone]
        assert [s.tilt_rad for s in stances_of(rest)] == [s.tilt_rad for s in stances_of(wheels)]
        assert curve_of(rest) == curve_of(wheels)


@given(some_wheels(), st.floats(-1, 1))
def test_clearances_are_measured_from_a_ground_that_bears_the_lowest_wheel(wheels, tilt):
    assert min(clearances_mm(wheels, tilt)) == 0


@given(some_wheels(least=3))
def test_a_curve_has_a_radius_where_it_has_depth(wheels):
    curve = curve_of(wheels)
    assert (curve.radius_mm is None) == (curve.depth_mm == 0)
    if curve.radius_mm is not None:
        assert curve.radius_mm >= curve.chord_mm / 2
        assert curve.greatest_miss_mm >= 0
