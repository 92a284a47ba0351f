"""Width windows; their reserves are common practice, no source, except where a source is named."""

import pytest

from service.engine.engagement import engaged_in_barrel_mm, engaged_in_wall_mm, shown_pitches
from service.engine.windows import missing_for_window, width_window

# --- threaded wall -------------------------------------------------------------------------------


def test_an_axle_of_36_mm_in_a_wall_of_6_serves_35_to_37_9(threaded_axle):
    window = width_window(threaded_axle(length_mm=36.0, thread="M8x1.25"), far_wall_mm=6.0)
    # e_0 = 6 − 1.25 = 4.75; e_min = 0.6·4.75 = 2.85; lo = 36 − 1; hi = 36 − 1.25 + 6 − 2.85 = 37.9
    assert window.lower_mm == pytest.approx(35.0)
    assert window.upper_mm == pytest.approx(37.9)
    assert window.ideal_mm == 36.0
    assert window.least_engaged_mm == pytest.approx(2.85)
    assert window.caution_engaged_mm == pytest.approx(3.8)  # 0.8·4.75
    assert window.missing is None
    assert window.makers_word is False


@pytest.mark.parametrize(
    ("thread", "far_wall", "least", "upper"),
    [
        ("M8x1", 6.0, 3.0, 38.0),  # 0.6·(6 − 1); 36 − 1 + 6 − 3
        ("M8x1.25", 8.0, 4.05, 38.7),  # 0.6·(8 − 1.25); 36 − 1.25 + 8 − 4.05
        ("M8x1.25", 4.0, 2.5, 36.25),  # two pitches are more than 0.6·(4 − 1.25) = 1.65; 36 − 1.25 + 4 − 2.5
        ("M6x1", 3.0, 2.0, 36.0),  # two pitches are more than 0.6·(3 − 1) = 1.2; 36 − 1 + 3 − 2
    ],
)
def test_the_wall_and_the_pitch_say_how_wide_a_frame_an_axle_serves(
    threaded_axle, thread, far_wall, least, upper
):
    window = width_window(threaded_axle(length_mm=36.0, thread=thread), far_wall_mm=far_wall)
    assert window.least_engaged_mm == pytest.approx(least)
    assert window.upper_mm == pytest.approx(upper)


def test_on_a_thin_wall_there_is_no_caution_beyond_the_least_engagement(threaded_axle):
    window = width_window(threaded_axle(thread="M8x1.25"), far_wall_mm=4.0)
    # 0.8·(4 − 1.25) = 2.2 is less than the two pitches that must engage.
    assert window.caution_engaged_mm == pytest.approx(2.5)


def test_a_thread_that_strips_early_must_engage_over_its_strip_length(threaded_axle):
    window = width_window(threaded_axle(length_mm=36.0), far_wall_mm=6.0, strip_length_mm=4.0)
    # 4.0 is more than two pitches, 2.5, and than 0.6·4.75 = 2.85; hi = 36 − 1.25 + 6 − 4
    assert window.least_engaged_mm == pytest.approx(4.0)
    assert window.caution_engaged_mm == pytest.approx(4.0)
    assert window.upper_mm == pytest.approx(36.75)


def test_in_a_wall_too_thin_for_two_turns_an_axle_serves_no_width(threaded_axle):
    window = width_window(threaded_axle(length_mm=36.0, thread="M8x1.25"), far_wall_mm=2.5)
    # hi = 36 − 1.25 + 2.5 − 2.5 = 34.75, below lo = 35
    assert window.upper_mm == pytest.approx(34.75)
    assert window.lower_mm == pytest.approx(35.0)


@pytest.mark.parametrize(
    ("thread_length", "lower"),
    [
        (5.0, 36.375),  # 36 − 5 + 6 − 0.625
        (6.365, 35.01),
        (6.375, 35.0),
        (6.385, 35.0),  # 34.99 would leave the axle more than 1 mm proud
        (12.0, 35.0),
        (None, 35.0),
    ],
)
def test_a_short_thread_keeps_an_axle_from_narrow_frames(threaded_axle, thread_length, lower):
    axle = threaded_axle(length_mm=36.0, thread="M8x1.25", thread_length_mm=thread_length)
    window = width_window(axle, far_wall_mm=6.0)
    assert window.lower_mm == pytest.approx(lower)
    assert window.upper_mm == pytest.approx(37.9)


@pytest.mark.parametrize(("thread_length", "serves"), [(4.0, False), (4.09, False), (4.1, True), (4.2, True)])
def test_an_axle_with_less_thread_than_must_engage_serves_no_width(threaded_axle, thread_length, serves):
    # All of the thread but its first pitch can engage, T − 1.25; 0.6·(6 − 1.25) = 2.85 must.
    window = width_window(threaded_axle(thread_length_mm=thread_length), far_wall_mm=6.0)
    assert (window.upper_mm > window.lower_mm) is serves


def test_the_ideal_width_of_a_short_thread_is_one_that_the_axle_serves(threaded_axle):
    # lo = 36 − 5 + 6 − 0.5·1.25 = 36.375, beyond the axle's own length.
    window = width_window(threaded_axle(thread_length_mm=5.0), far_wall_mm=6.0)
    assert window.ideal_mm == pytest.approx(36.375)


@pytest.mark.parametrize("thread_length", [5.0, None])
def test_without_the_wall_an_axle_serves_from_1_mm_proud_to_half_a_mm_sunk(threaded_axle, thread_length):
    window = width_window(threaded_axle(length_mm=36.0, thread_length_mm=thread_length))
    assert window.lower_mm == pytest.approx(35.0)
    assert window.upper_mm == pytest.approx(36.5)
    assert window.ideal_mm == 36.0
    assert window.least_engaged_mm is None
    assert window.missing == "far_wall_mm"


def test_without_the_part_s_thread_its_window_names_the_missing_column(threaded_axle):
    window = width_window(threaded_axle(length_mm=36.0, thread=None), far_wall_mm=6.0)
    assert window.upper_mm == pytest.approx(36.5)
    assert window.missing == "thread"


@pytest.mark.parametrize(
    ("outside", "engaged"),
    [
        (34.0, 6.0),  # proud by more than the first turn: the whole wall carries
        (34.75, 6.0),  # the tip's first turn just beyond the wall
        (35.0, 5.75),
        (36.0, 4.75),  # flush: the wall less the first turn
        (37.9, 2.85),
        (40.75, 0.0),
        (45.0, 0.0),
    ],
)
def test_a_thread_engages_less_the_further_its_tip_sinks_into_the_wall(threaded_axle, outside, engaged):
    # Past flush: (36 − 1.25) − (W − 6) = 40.75 − W
    axle = threaded_axle(length_mm=36.0, thread="M8x1.25")
    assert engaged_in_wall_mm(axle, outside_width_mm=outside, far_wall_mm=6.0) == pytest.approx(engaged)


@pytest.mark.parametrize(
    ("outside", "engaged"),
    [
        (34.0, 3.50),  # 34 − (36 − 5.5): what stands proud of the wall carries nothing either
        (36.0, 4.25),  # (36 − 1.25) − (36 − 5.5)
        (36.5, 4.25),
        (37.0, 3.75),  # (36 − 1.25) − (37 − 6)
    ],
)
def test_an_unthreaded_shank_carries_nothing_in_the_wall(threaded_axle, outside, engaged):
    axle = threaded_axle(length_mm=36.0, thread="M8x1.25", thread_length_mm=5.5)
    assert engaged_in_wall_mm(axle, outside_width_mm=outside, far_wall_mm=6.0) == pytest.approx(engaged)


# --- two piece -----------------------------------------------------------------------------------


def test_a_barrel_of_30_with_a_screw_of_14_grips_32_to_41(two_piece_axle):
    window = width_window(
        two_piece_axle(
            barrel_mm=30.0, barrel_mouth_mm=1.0, barrel_thread_mm=11.0, screw_mm=14.0, thread="M6x1"
        )
    )
    # lo = 30 + 14 − 1 − 11, where the screw bottoms; hi = 30 + 14 − 1 − 2, where two turns engage
    assert window.lower_mm == pytest.approx(32.0)
    assert window.upper_mm == pytest.approx(41.0)
    assert window.least_engaged_mm == pytest.approx(2.0)
    # A standard nut's height, 0.8·6 (ISO 4032:2012), engages up to 30 + 14 − 1 − 4.8 = 38.2.
    assert window.caution_engaged_mm == pytest.approx(4.8)
    assert window.ideal_mm == pytest.approx((32.0 + 38.2) / 2)
    assert window.makers_word is False


@pytest.mark.parametrize(
    ("depth", "lower"),
    [
        (12.7, 30.3),  # the screw bottoms: 30 + 14 − 1 − 12.7
        (12.8, 30.2),
        (12.9, 30.2),  # the barrel's end would meet the other head: 30 + 0.2
        (20.0, 30.2),
    ],
)
def test_a_barrel_clamps_neither_over_its_own_end_nor_over_a_screw_that_bottoms(two_piece_axle, depth, lower):
    assert width_window(two_piece_axle(barrel_thread_mm=depth)).lower_mm == pytest.approx(lower)


def test_recessed_heads_serve_a_frame_wider_by_the_recesses(two_piece_axle):
    window = width_window(two_piece_axle(), recess_mm=1.5)
    assert window.lower_mm == pytest.approx(32.0 + 1.5)
    assert window.upper_mm == pytest.approx(41.0 + 1.5)
    assert window.ideal_mm == pytest.approx(35.1 + 1.5)


def test_a_screw_that_strips_early_must_engage_over_its_strip_length(two_piece_axle):
    window = width_window(two_piece_axle(), strip_length_mm=5.5)
    # hi = 43 − 5.5; 5.5 is more than a standard nut's height, so there is no caution before it.
    assert window.upper_mm == pytest.approx(37.5)
    assert window.least_engaged_mm == pytest.approx(5.5)
    assert window.caution_engaged_mm == pytest.approx(5.5)
    assert window.ideal_mm == pytest.approx((32.0 + 37.5) / 2)


@pytest.mark.parametrize(
    ("grip_min", "grip_max", "lower", "upper", "ideal"),
    [
        (33.0, 40.0, 33.0, 40.0, 35.6),  # (33 + 38.2)/2
        (33.0, None, 33.0, 41.0, 35.6),
        (None, 36.0, 32.0, 36.0, 34.0),  # (32 + 36)/2
        (31.0, 42.0, 32.0, 41.0, 35.1),  # a range wider than the lengths allow
        (39.0, 40.0, 39.0, 40.0, 39.5),  # no part is free of caution: the middle of the whole
    ],
)
def test_a_maker_s_range_narrows_the_computed_one_and_never_widens_it(
    two_piece_axle, grip_min, grip_max, lower, upper, ideal
):
    window = width_window(two_piece_axle(grip_min_mm=grip_min, grip_max_mm=grip_max))
    assert window.lower_mm == pytest.approx(lower)
    assert window.upper_mm == pytest.approx(upper)
    assert window.ideal_mm == pytest.approx(ideal)


def test_a_maker_s_range_is_between_the_heads_and_so_within_the_recesses(two_piece_axle):
    window = width_window(two_piece_axle(grip_min_mm=33.0, grip_max_mm=37.0), recess_mm=2.0)
    assert window.lower_mm == pytest.approx(35.0)
    assert window.upper_mm == pytest.approx(39.0)
    assert window.ideal_mm == pytest.approx(37.0)


def test_a_barrel_with_less_thread_than_a_nut_is_high_is_best_in_the_middle_of_its_range(two_piece_axle):
    window = width_window(two_piece_axle(barrel_thread_mm=4.0))
    # lo = 43 − 4 = 39, hi = 43 − 2 = 41: everywhere less than 4.8 engages.
    assert window.ideal_mm == pytest.approx(40.0)


def test_a_barrel_with_less_than_two_turns_serves_no_width(two_piece_axle):
    window = width_window(two_piece_axle(barrel_thread_mm=1.5))
    assert window.lower_mm == pytest.approx(41.5)
    assert window.upper_mm == pytest.approx(41.0)


@pytest.mark.parametrize(
    ("grip", "engaged"),
    [(31.0, 11.0), (32.0, 11.0), (33.0, 10.0), (38.2, 4.8), (41.0, 2.0), (43.0, 0.0), (44.0, 0.0)],
)
def test_a_screw_engages_less_the_further_the_heads_stand_apart(two_piece_axle, grip, engaged):
    # 30 + 14 − 1 − G, no more than the barrel's thread of 11
    assert engaged_in_barrel_mm(two_piece_axle(), grip_mm=grip) == pytest.approx(engaged)


def test_where_only_the_maker_s_range_is_known_it_is_the_window(stated_axle):
    window = width_window(stated_axle(grip_min_mm=33.0, grip_max_mm=38.0), recess_mm=2.0)
    assert window.lower_mm == pytest.approx(35.0)
    assert window.upper_mm == pytest.approx(40.0)
    assert window.ideal_mm == pytest.approx(37.5)
    assert window.makers_word is True
    assert window.least_engaged_mm is None


def test_a_maker_s_range_beside_a_barrel_of_unknown_screw_names_the_screw(two_piece_axle):
    window = width_window(two_piece_axle(screw_mm=None, grip_min_mm=33.0, grip_max_mm=38.0))
    assert window.upper_mm == pytest.approx(38.0)
    assert window.makers_word is True
    assert window.missing == "screw_mm"


# --- bolt and nut --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("thread_length", "lower"),
    [
        (None, 38.5),  # 50 − 6.5 − 5
        (20.0, 38.5),
        (11.6, 38.5),
        (11.5, 38.5),  # 50 − 11.5
        (11.4, 38.6),
        (10.0, 40.0),
    ],
)
def test_a_bolt_of_50_with_its_nut_shows_one_turn_at_most_42_25_wide(bolt, thread_length, lower):
    axle = bolt(length_mm=50.0, nut_height_mm=6.5, thread="M8x1.25", thread_length_mm=thread_length)
    window = width_window(axle)
    assert window.lower_mm == pytest.approx(lower)
    assert window.upper_mm == pytest.approx(42.25)  # 50 − 6.5 − 1.25
    assert window.ideal_mm == pytest.approx(41.0)  # 50 − 6.5 − 2.5


@pytest.mark.parametrize(("outside", "pitches"), [(41.0, 2.0), (42.25, 1.0), (43.5, 0.0), (44.75, -1.0)])
def test_a_bolt_shows_fewer_turns_the_wider_the_frame(bolt, outside, pitches):
    assert shown_pitches(bolt(), outside_width_mm=outside) == pytest.approx(pitches)


# --- what a part lacks ---------------------------------------------------------------------------


def test_a_part_without_the_lengths_for_a_window_has_none_and_names_them(
    threaded_axle, two_piece_axle, stated_axle, bolt
):
    lacking = {
        ("length_mm",): threaded_axle(length_mm=None),
        ("screw_mm",): two_piece_axle(screw_mm=None),
        ("barrel_mouth_mm", "thread"): two_piece_axle(barrel_mouth_mm=None, thread=None, grip_max_mm=38.0),
        ("barrel_mm", "barrel_mouth_mm", "barrel_thread_mm", "screw_mm", "thread"): stated_axle(
            grip_min_mm=None
        ),
        ("nut_height_mm",): bolt(nut_height_mm=None),
        ("length_mm", "thread"): bolt(length_mm=None, thread=None),
    }
    assert {columns: width_window(axle) for columns, axle in lacking.items()} == dict.fromkeys(lacking)
    assert {columns: missing_for_window(axle) for columns, axle in lacking.items()} == {c: c for c in lacking}


def test_a_part_with_a_window_lacks_nothing_for_it(threaded_axle, two_piece_axle, stated_axle, bolt):
    for axle in (threaded_axle(), threaded_axle(thread=None), two_piece_axle(), stated_axle(), bolt()):
        assert missing_for_window(axle) == ()


def test_an_engaged_length_is_not_guessed_from_a_part_that_lacks_its_inputs(
    threaded_axle, two_piece_axle, bolt
):
    with pytest.raises(ValueError, match="length and thread"):
        engaged_in_wall_mm(threaded_axle(thread=None), outside_width_mm=36.0, far_wall_mm=6.0)
    with pytest.raises(ValueError, match="barrel, mouth, thread and screw"):
        engaged_in_barrel_mm(two_piece_axle(screw_mm=None), grip_mm=35.0)
    with pytest.raises(ValueError, match="nut's height"):
        shown_pitches(bolt(nut_height_mm=None), outside_width_mm=41.0)
