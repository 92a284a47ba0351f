"""Whether the width lies in the window, and whether the thread then holds."""

import pytest

from service.engine.codes import Check, Outcome

# The axle of 36 mm, M8x1.25, in a wall of 6 mm serves 35.0 to 37.9 mm. Read with a calliper, and with a
# length tolerance of 0.2, its width has u = √(0.05²/3 + 0.2²/3) = 0.11902.


@pytest.mark.parametrize(
    ("outside", "outcome"),
    [
        (36.400, Outcome.PASS),
        (37.704, Outcome.PASS),
        (37.705, Outcome.CAUTION),  # 95 % (z = 1.645, JCGM 106:2012, table 1) at 37.9 − 1.645·u = 37.7042
        (37.799, Outcome.CAUTION),
        (37.800, Outcome.UNKNOWN),  # 80 % (z = 0.842) at 37.9 − 0.842·u = 37.7998
        (37.900, Outcome.UNKNOWN),  # the limit itself: one half
        (38.095, Outcome.UNKNOWN),
        (38.096, Outcome.FAIL),  # 5 % (z = −1.645) at 37.9 + 1.645·u = 38.0958
        (34.905, Outcome.UNKNOWN),
        (34.804, Outcome.FAIL),  # 5 % at 35.0 − 1.645·u = 34.8042
    ],
)
def test_a_width_is_as_sure_as_its_place_in_the_window(threaded_axle, frame, reason, outside, outcome):
    assert reason(Check.WIDTH, threaded_axle(), frame(outside)).outcome is outcome


def test_the_width_s_reason_tells_the_width_and_the_window(threaded_axle, frame, reason):
    found = reason(Check.WIDTH, threaded_axle(), frame(36.4))
    assert found.value == 36.4
    assert (found.minimum, found.maximum) == pytest.approx((35.0, 37.9))
    assert found.unit == "mm"


@pytest.mark.parametrize(
    ("outside", "code"),
    [
        (36.4, "width_in_window"),
        (37.8, "width_near_limit"),
        (38.4, "width_too_great"),
        (34.4, "width_too_small"),
    ],
)
def test_the_width_s_reason_says_on_which_side_the_width_lies(threaded_axle, frame, reason, outside, code):
    assert reason(Check.WIDTH, threaded_axle(), frame(outside)).code == code


def test_a_measurement_too_coarse_for_a_narrow_window_does_not_fit_and_says_so(threaded_axle, frame, reason):
    # In a wall of 3 mm the window is 35 to 36 − 1.25 + 3 − 2.5 = 35.25; a half width of 5 mm gives u = 2.89,
    # and at most 0.25/(2.89·√(2π)) = 3.5 % of the readings fall into it.
    found = reason(Check.WIDTH, threaded_axle(), frame(35.1, far_wall_mm=3.0, half_width_mm=5.0))
    assert found.outcome is Outcome.FAIL
    assert found.code == "width_too_uncertain"


def test_an_axle_that_serves_no_width_on_these_walls_says_so(threaded_axle, frame, reason):
    # In a wall of 2.5 mm the window would be 35 to 36 − 1.25 + 2.5 − 2.5 = 34.75.
    found = reason(Check.WIDTH, threaded_axle(), frame(34.9, far_wall_mm=2.5))
    assert found.outcome is Outcome.FAIL
    assert found.code == "width_has_no_window"


@pytest.mark.parametrize(
    ("length", "outside", "outcome"),
    [
        (36.0, 35.55, Outcome.PASS),
        (36.0, 35.50, Outcome.PASS),
        (36.1, 35.60, Outcome.PASS),  # half a mm too, in decimals that binary fractions miss
        (36.0, 35.45, Outcome.CAUTION),
    ],
)
def test_more_than_half_a_mm_proud_of_the_wall_is_a_caution(
    threaded_axle, frame, reason, length, outside, outcome
):
    # Half a mm: common practice, no source.
    assert reason(Check.WIDTH, threaded_axle(length_mm=length), frame(outside)).outcome is outcome


def test_how_far_an_axle_stands_proud_is_told(threaded_axle, frame, reason):
    assert reason(Check.WIDTH, threaded_axle(), frame(35.4)).facts["proud"] == pytest.approx(0.6)


def test_only_a_threaded_wall_axle_stands_proud(two_piece_axle, bolt, plain_frame, reason):
    # Far below the ideal widths of 35.1 and 41, far within the windows 32 to 41 and 38.5 to 42.25.
    assert reason(Check.WIDTH, two_piece_axle(length_mm=44.0), plain_frame(33.0)).outcome is Outcome.PASS
    assert reason(Check.WIDTH, bolt(), plain_frame(39.0)).outcome is Outcome.PASS


# --- engagement ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("outside", "engaged", "outcome"),
    [
        (36.40, 4.35, Outcome.PASS),
        (36.94, 3.81, Outcome.PASS),
        (36.95, 3.80, Outcome.PASS),  # 0.8 of the 4.75 that engage when flush
        (36.96, 3.79, Outcome.CAUTION),
        (37.89, 2.86, Outcome.CAUTION),
        (37.90, 2.85, Outcome.CAUTION),  # 0.6 of 4.75
        (38.00, 2.75, Outcome.CAUTION),  # too little, but within what the measurement leaves open
        (38.40, 2.35, Outcome.FAIL),
    ],
)
def test_too_little_thread_in_the_wall_is_a_caution_and_then_a_failure(
    threaded_axle, frame, reason, outside, engaged, outcome
):
    # 36 − 1.25 − (W − 6); the shares: common practice, no source
    found = reason(Check.ENGAGEMENT, threaded_axle(), frame(outside))
    assert found.value == pytest.approx(engaged)
    assert found.outcome is outcome


@pytest.mark.parametrize(
    ("outside", "code"),
    [
        (36.95, "engagement_in_wall"),
        (36.96, "engagement_in_wall_short"),
        (37.90, "engagement_in_wall_short"),
        (37.91, "engagement_in_wall_too_short"),
    ],
)
def test_thread_in_the_wall_below_the_least_is_told_from_thread_below_the_usual(
    threaded_axle, frame, reason, outside, code
):
    assert reason(Check.ENGAGEMENT, threaded_axle(), frame(outside)).code == code


def test_the_engagement_s_reason_tells_the_least_that_must_engage(threaded_axle, frame, reason):
    found = reason(Check.ENGAGEMENT, threaded_axle(), frame(36.0))
    assert found.minimum == pytest.approx(2.85)
    assert found.unit == "mm"


@pytest.mark.parametrize("recess", [0.0, 2.0])
@pytest.mark.parametrize(
    ("grip", "engaged", "outcome"),
    [
        (35.0, 8.0, Outcome.PASS),
        (38.1, 4.9, Outcome.PASS),
        (38.2, 4.8, Outcome.PASS),  # a standard nut's height, 0.8·6 (ISO 4032:2012)
        (38.3, 4.7, Outcome.CAUTION),
        (41.0, 2.0, Outcome.CAUTION),  # two pitches
        (41.1, 1.9, Outcome.CAUTION),  # too little, but within what the measurement leaves open
        (41.5, 1.5, Outcome.FAIL),
    ],
)
def test_too_little_screw_in_the_barrel_is_a_caution_and_then_a_failure(
    two_piece_axle, plain_frame, reason, recess, *, grip, engaged, outcome
):
    # 30 + 14 − 1 − G, where the grip G is the outside width less the recesses
    found = reason(Check.ENGAGEMENT, two_piece_axle(), plain_frame(grip + recess, recess_mm=recess))
    assert found.value == pytest.approx(engaged)
    assert found.outcome is outcome


@pytest.mark.parametrize(
    ("outside", "pitches", "outcome"),
    [
        (41.00, 2.0, Outcome.PASS),
        (42.00, 1.2, Outcome.PASS),
        (42.25, 1.0, Outcome.PASS),
        (42.35, 0.92, Outcome.CAUTION),  # too little, but within what the measurement leaves open
        (42.75, 0.6, Outcome.FAIL),
    ],
)
def test_a_bolt_that_shows_less_than_one_turn_is_a_caution_and_then_a_failure(
    bolt, plain_frame, reason, outside, pitches, outcome
):
    # (50 − 6.5 − W)/1.25; one turn must show: common practice, no source
    found = reason(Check.ENGAGEMENT, bolt(), plain_frame(outside))
    assert found.value == pytest.approx(pitches)
    assert found.outcome is outcome


def test_without_the_far_wall_the_engagement_is_unknown_and_names_it(threaded_axle, frame, reason):
    found = reason(Check.ENGAGEMENT, threaded_axle(), frame(36.0, far_wall_mm=None))
    assert found.outcome is Outcome.UNKNOWN
    assert found.facts["column"] == "far_wall_mm"


def test_a_far_wall_that_follows_from_the_other_widths_will_do(threaded_axle, frame, reason):
    walls = {"far_wall_mm": None, "inside_mm": 24.0, "head_wall_mm": 6.0}
    found = reason(Check.ENGAGEMENT, threaded_axle(), frame(36.4, **walls))
    # t_f = 36.4 − 24 − 6 = 6.4; 36 − 1.25 − (36.4 − 6.4)
    assert found.value == pytest.approx(4.75)


def test_without_the_part_s_thread_the_engagement_is_unknown_and_names_the_column(
    threaded_axle, frame, reason
):
    found = reason(Check.ENGAGEMENT, threaded_axle(thread=None), frame(36.0))
    assert found.outcome is Outcome.UNKNOWN
    assert found.facts["column"] == "thread"


def test_a_window_on_the_maker_s_word_leaves_the_engagement_unknown_and_says_so(
    stated_axle, plain_frame, reason
):
    found = reason(Check.ENGAGEMENT, stated_axle(), plain_frame(35.5))
    assert found.outcome is Outcome.UNKNOWN
    assert found.code == "engagement_rests_on_makers_word"
    assert found.facts["column"] == "barrel_mm"
