"""Which way to turn which offset axle: against every choice there is, and by hand."""

import itertools
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.seats import ways_to_seat

BOTH_OFFSETS = (-1.0, -0.75, 0.0, 0.75, 1.0)


def seats_of(ways):
    return [way.seats_mm for way in ways]


def test_front_and_rear_one_millimetre_up_takes_two_axles_or_lowers_the_middle_by_two():
    ways = ways_to_seat((1, 0, 0, 1), [BOTH_OFFSETS] * 4)
    assert seats_of(ways) == [(1, 0, 0, 1), (0, -1, -1, 0)]
    assert [(way.shift_mm, way.offset_axles, way.offsets_mm) for way in ways] == [(0, 2, (1,)), (1, 2, (1,))]


def test_the_way_with_fewer_offset_axles_comes_first_although_it_shifts_the_whole():
    ways = ways_to_seat((0, 1, 1), [(-1.0, 0.0, 1.0)] * 3)
    assert seats_of(ways) == [(-1, 0, 0), (0, 1, 1)]


def test_of_as_many_offset_axles_those_of_one_offset_come_first_although_they_shift_more():
    # 0.75 + 0.75 and 1 + 0.5 are both 1.5.
    ways = ways_to_seat((1.5, 0), [(0.75, 1.0), (-0.75, -0.5)])
    assert seats_of(ways) == [(0.75, -0.75), (1.0, -0.5)]


def test_in_oval_holes_the_ends_are_turned_up_and_the_middle_down():
    # In oval holes no axle is straight: 0.5 up against 0.5 down is 1 mm.
    (way,) = ways_to_seat((1, 0, 0, 1), [(-0.5, 0.5)] * 4)
    assert (way.seats_mm, way.shift_mm, way.offset_axles) == ((0.5, -0.5, -0.5, 0.5), 0.5, 4)


def test_a_flat_shape_needs_no_offset_axle():
    (first, *_) = ways_to_seat((0, 0, 0), [BOTH_OFFSETS] * 3)
    assert (first.seats_mm, first.offset_axles, first.is_exact) == ((0, 0, 0), 0, True)


def test_a_shape_that_is_raised_as_a_whole_is_as_flat_as_before():
    (first, *_) = ways_to_seat((2, 2, 2), [BOTH_OFFSETS] * 3)
    assert (first.seats_mm, first.shift_mm) == ((0, 0, 0), 2)


def test_a_shape_that_nothing_reaches_has_the_nearest_way_alone():
    # ±1 differ by 0 or 2: for 1 the least greatest miss is half of 1, whichever it is.
    (way,) = ways_to_seat((1, 0, 1), [(-1.0, 1.0)] * 3)
    assert (way.is_exact, way.greatest_miss_mm) == (False, 0.5)


@pytest.mark.parametrize(
    ("wanted", "exact"), [(0.09, True), (0.1, True), (0.11, False)]
)  # half of it is the miss: two offsets within 0.05 mm are the same
def test_heights_are_reached_within_the_tolerance_of_equal_offsets(wanted, exact):
    (way,) = ways_to_seat((wanted, 0), [(0.0,), (0.0,)])
    assert way.is_exact == exact


def test_an_axle_without_any_seat_leaves_no_way():
    assert ways_to_seat((1, 0), [(0.0,), ()]) == ()


def best_by_trying_all(wanted, seats):
    """The least greatest miss over every choice of seats: half the spread of the gaps, at the best shift."""
    return min(
        (max(gaps) - min(gaps)) / 2
        for choice in itertools.product(*seats)
        for gaps in [[height - seat for height, seat in zip(wanted, choice, strict=True)]]
    )


@pytest.mark.parametrize("case", range(200))
def test_no_choice_comes_nearer_and_none_that_is_exact_takes_fewer_offset_axles(case):
    drawn = random.Random(case)  # noqa: S311 (draws examples, guards nothing)
    count = drawn.randint(2, 4)
    offsets = drawn.sample([0.5, 0.75, 1.0, 1.5, 2.0], 2)
    usual = [0.0, *offsets, *(-offset for offset in offsets)]
    seats = [drawn.sample(usual, drawn.randint(1, len(usual))) for _ in range(count)]
    wanted = [drawn.choice([0, 0.5, 0.75, 1, 1.25, drawn.uniform(-3, 3)]) for _ in range(count)]
    ways = ways_to_seat(wanted, seats)
    least = best_by_trying_all(wanted, seats)
    if least <= 0.05:
        exact = [
            choice
            for choice in itertools.product(*seats)
            if best_by_trying_all(wanted, [[seat] for seat in choice]) <= 0.05 + 1e-9
        ]
        assert all(way.is_exact for way in ways)
        assert ways[0].offset_axles == min(sum(seat != 0 for seat in choice) for choice in exact)
    else:
        assert [way.greatest_miss_mm for way in ways] == pytest.approx([least], abs=1e-9)


HEIGHTS = st.lists(st.floats(-3, 3), min_size=2, max_size=5)


@given(HEIGHTS, st.floats(-2, 2))
def test_raising_the_whole_shape_wanted_changes_only_the_shift(heights, up):
    seats = [BOTH_OFFSETS] * len(heights)
    before, after = ways_to_seat(heights, seats), ways_to_seat([h + up for h in heights], seats)
    assert after[0].greatest_miss_mm == pytest.approx(before[0].greatest_miss_mm, abs=1e-9)
    assert after[0].offset_axles == before[0].offset_axles or not before[0].is_exact


@given(HEIGHTS)
def test_the_shape_upside_down_is_reached_as_nearly(heights):
    seats = [BOTH_OFFSETS] * len(heights)
    over, under = ways_to_seat(heights, seats), ways_to_seat([-height for height in heights], seats)
    assert under[0].greatest_miss_mm == pytest.approx(over[0].greatest_miss_mm, abs=1e-9)


@given(HEIGHTS)
def test_seats_and_shift_are_the_heights_but_for_the_miss(heights):
    for way in ways_to_seat(heights, [BOTH_OFFSETS] * len(heights)):
        gaps = [h - seat - way.shift_mm for h, seat in zip(heights, way.seats_mm, strict=True)]
        assert max(map(abs, gaps)) == pytest.approx(way.greatest_miss_mm, abs=1e-9)
