"""Verdicts; their limits of 5, 80 and 95 % are common practice, no source."""

import math
from statistics import NormalDist

import pytest

from service.engine.codes import Check, Holes, Outcome, Position, Verdict
from service.engine.judgement import fit_probability, verdict_of
from service.engine.probability import measured_bore, nominal_bore
from service.engine.ranking import near_misses
from service.engine.reasons import Reason
from service.engine.windows import WidthWindow


@pytest.fixture
def said():
    """A reason of which only the check and the outcome matter."""

    def build(check, outcome):
        return Reason(check, outcome, "code", "source")

    return build


# --- the axle of 36 mm in a wall of 6, which serves 35.0 to 37.9 ---------------------------------


def test_a_frame_well_within_the_window_fits(threaded_axle, frame, judged):
    judgement = judged(threaded_axle(length_mm=36.0, thread="M8x1.25"), frame(36.40, far_wall_mm=6.0))
    assert judgement.fit_probability >= 0.999
    assert judgement.verdict is Verdict.FITS


def test_a_frame_on_the_window_s_limit_is_to_be_checked_first(threaded_axle, frame, judged):
    judgement = judged(threaded_axle(length_mm=36.0, thread="M8x1.25"), frame(37.90, far_wall_mm=6.0))
    assert judgement.fit_probability == pytest.approx(0.50, abs=1e-6)
    assert judgement.verdict is Verdict.CHECK_FIRST


def test_a_frame_half_a_mm_beyond_the_window_is_a_near_miss_by_half_a_mm(threaded_axle, frame, judged):
    of_frame = frame(38.40, far_wall_mm=6.0)
    judgement = judged(threaded_axle(length_mm=36.0, thread="M8x1.25"), of_frame)
    assert judgement.verdict is Verdict.NO_FIT
    [miss] = near_misses([judgement], width=of_frame.widths.outside)
    assert miss.wrong.check is Check.WIDTH
    assert miss.missing_mm == pytest.approx(0.5)  # 38.4 − 37.9


@pytest.mark.parametrize(
    ("outside", "verdict"),
    [
        (36.95, Verdict.FITS),
        (36.96, Verdict.FITS_WITH_CAUTION),  # less than 0.8 of the flush engagement: 40.75 − W < 3.8
        (37.799, Verdict.FITS_WITH_CAUTION),
        (37.800, Verdict.CHECK_FIRST),  # 80 % at 37.9 − 0.842·0.11902 = 37.7998
        (38.095, Verdict.CHECK_FIRST),
        (38.096, Verdict.NO_FIT),  # 5 % at 37.9 + 1.645·0.11902 = 38.0958
        (35.50, Verdict.FITS),
        (35.45, Verdict.FITS_WITH_CAUTION),  # 0.55 mm proud
        (34.804, Verdict.NO_FIT),  # 5 % at 35.0 − 1.645·0.11902 = 34.8042
    ],
)
def test_the_verdict_follows_the_width_through_the_window(threaded_axle, frame, judged, outside, verdict):
    assert judged(threaded_axle(), frame(outside)).verdict is verdict


# --- probability ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("half_width", "tolerance", "combined"),
    [
        (0.05, 0.05, math.sqrt(2 * 0.05**2 / 3)),
        (0.05, 0.20, 0.119024),  # √((0.05² + 0.2²)/3)
        (0.50, 0.20, 0.310913),  # √((0.5² + 0.2²)/3): a ruler
        (0.05, 0.50, 0.290115),  # √((0.05² + 0.5²)/3)
    ],
)
def test_the_axle_s_own_tolerance_adds_to_the_measurement(
    threaded_axle, frame, half_width, tolerance, combined
):
    axle = threaded_axle(length_tolerance_mm=tolerance)
    window = WidthWindow(lower_mm=0.0, upper_mm=36.5, ideal_mm=36.0)
    # The width of 36.4 lies 0.1 below the limit.
    p = fit_probability(axle, frame(36.4, half_width_mm=half_width), window)
    assert p == pytest.approx(NormalDist().cdf(0.1 / combined), abs=1e-5)


def test_a_tolerance_that_a_part_does_not_give_is_a_fifth_of_a_mm(threaded_axle):
    # Common practice, no source.
    assert threaded_axle().length_tolerance_mm == 0.2


def test_the_bore_s_probability_multiplies_the_width_s(threaded_axle, frame, read, judged):
    # A bore read half way between two classes is of either with one half; the width is as good as certain.
    of_frame = frame(36.4, bore=measured_bore(read(6.15)), thread="M6x1")
    judgement = judged(threaded_axle(shaft_mm=6.0, thread="M6x1"), of_frame)
    assert judgement.fit_probability == pytest.approx(0.5, abs=1e-6)
    assert judgement.verdict is Verdict.CHECK_FIRST


# --- from reasons to a verdict -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("probability", "verdict"),
    [
        (1.000, Verdict.FITS),
        (0.951, Verdict.FITS),
        (0.950, Verdict.FITS),
        (0.949, Verdict.FITS_WITH_CAUTION),
        (0.801, Verdict.FITS_WITH_CAUTION),
        (0.800, Verdict.FITS_WITH_CAUTION),
        (0.799, Verdict.CHECK_FIRST),
        (0.051, Verdict.CHECK_FIRST),
        (0.050, Verdict.CHECK_FIRST),
        (0.049, Verdict.NO_FIT),
        (0.000, Verdict.NO_FIT),
    ],
)
def test_where_all_checks_pass_the_probability_is_the_verdict(said, probability, verdict):
    assert verdict_of(probability, [said(Check.WIDTH, Outcome.PASS)]) is verdict


@pytest.mark.parametrize("check", [Check.FASTENING, Check.WIDTH, Check.THREAD, Check.HOLES, Check.BRAKE])
def test_one_failure_is_enough_whatever_else_passes(said, check):
    reasons = [said(Check.BORE, Outcome.PASS), said(check, Outcome.FAIL), said(Check.HEADS, Outcome.UNKNOWN)]
    assert verdict_of(1.0, reasons) is Verdict.NO_FIT


@pytest.mark.parametrize("check", [Check.THREAD, Check.HEADS, Check.HOLES, Check.BORE, Check.FASTENING])
def test_what_must_be_known_and_is_not_is_to_be_checked_first(said, check):
    reasons = [said(Check.SLEEVE, Outcome.CAUTION), said(check, Outcome.UNKNOWN)]
    assert verdict_of(1.0, reasons) is Verdict.CHECK_FIRST


def test_an_engagement_that_is_not_known_does_not_hold_a_verdict_back(said):
    assert verdict_of(1.0, [said(Check.ENGAGEMENT, Outcome.UNKNOWN)]) is Verdict.FITS


def test_a_caution_leaves_a_fit_with_caution(said):
    reasons = [said(Check.BORE, Outcome.PASS), said(Check.SLEEVE, Outcome.CAUTION)]
    assert verdict_of(1.0, reasons) is Verdict.FITS_WITH_CAUTION


# --- from a frame to a verdict -------------------------------------------------------------------


@pytest.mark.parametrize(
    "not_given",
    [{"fastening": None}, {"bore": None}],
    ids=["fastening", "bore"],
)
def test_a_frame_of_unknown_fastening_or_bore_is_to_be_checked_first(threaded_axle, frame, judged, not_given):
    assert judged(threaded_axle(), frame(36.4, **not_given)).verdict is Verdict.CHECK_FIRST


@pytest.mark.parametrize(
    ("of_axle", "verdict"), [("M8x1.25", Verdict.FITS_WITH_CAUTION), ("M8x1", Verdict.CHECK_FIRST)]
)
def test_on_a_frame_of_unknown_thread_the_usual_thread_is_a_caution(
    threaded_axle, frame, judged, of_axle, verdict
):
    assert judged(threaded_axle(thread=of_axle), frame(36.4, thread=None)).verdict is verdict


def test_a_two_piece_axle_in_its_plain_frame_fits(two_piece_axle, plain_frame, judged):
    assert judged(two_piece_axle(), plain_frame(36.4)).verdict is Verdict.FITS


def test_a_bolt_and_nut_in_its_frame_fits(bolt, plain_frame, judged):
    judgement = judged(bolt(), plain_frame(41.0, fastening=bolt().fastening))
    assert judgement.verdict is Verdict.FITS


def test_a_two_piece_axle_s_window_widens_by_the_frame_s_recesses(two_piece_axle, plain_frame, judged):
    # 32 to 41 between the heads, and so 34.5 to 43.5 over walls that sink them by 2.5 together.
    window = judged(two_piece_axle(), plain_frame(38.0, recess_mm=2.5)).window
    assert (window.lower_mm, window.upper_mm) == pytest.approx((34.5, 43.5))


def test_a_part_without_a_window_is_never_judged(threaded_axle, frame, judged):
    assert judged(threaded_axle(length_mm=None), frame(36.4)) is None


# --- near misses: one thing wrong ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("wrong", "check"),
    [
        ({"thread": "M8x1"}, Check.THREAD),
        ({"bore": nominal_bore(6.0)}, Check.BORE),
        ({"holes": Holes.OVAL}, Check.HOLES),
        ({"position": Position.BRAKE}, Check.BRAKE),
    ],
    ids=["thread", "bore", "holes", "brake"],
)
def test_one_thing_wrong_is_told_as_that_one_thing(threaded_axle, frame, judged, wrong, check):
    judgement = judged(threaded_axle(), frame(36.4, **wrong))
    assert [reason.check for reason in judgement.things_wrong] == [check]


def test_a_frame_too_wide_and_a_thread_that_engages_too_little_are_one_thing(threaded_axle, frame, judged):
    judgement = judged(threaded_axle(), frame(38.4))
    failing = {reason.check for reason in judgement.reasons if reason.outcome is Outcome.FAIL}
    assert failing == {Check.WIDTH, Check.ENGAGEMENT}
    assert [reason.check for reason in judgement.things_wrong] == [Check.WIDTH]


def test_a_wrong_thread_on_a_frame_too_wide_are_two_things(threaded_axle, frame, judged):
    judgement = judged(threaded_axle(), frame(38.4, thread="M8x1"))
    assert {reason.check for reason in judgement.things_wrong} == {Check.WIDTH, Check.THREAD}


def test_of_an_axle_that_fits_nothing_is_wrong(threaded_axle, frame, judged):
    assert judged(threaded_axle(), frame(36.4)).things_wrong == ()


def test_a_width_and_a_bore_each_too_unsure_together_do_not_fit_though_neither_fails(
    threaded_axle, frame, read, judged
):
    # M6x1 in a wall of 6: hi = 36 − 1 + 6 − 0.6·5 = 38.0; 38.1 is 0.84·u beyond it, 20 %. A bore read 6.12 is
    # of class 6.3 with 1 in 1 + exp((0.09 − 0.6·0.12)/(2·0.01/3)) = 1 + exp(2.7), 6.3 %. Together 1.3 %.
    of_frame = frame(38.1, thread="M6x1", bore=measured_bore(read(6.12)))
    judgement = judged(threaded_axle(shaft_mm=6.3, thread="M6x1"), of_frame)
    assert judgement.fit_probability == pytest.approx(0.2004 / (1 + math.exp(2.7)), rel=1e-3)
    assert Outcome.FAIL not in {reason.outcome for reason in judgement.reasons}
    assert judgement.verdict is Verdict.NO_FIT
    assert [reason.check for reason in judgement.things_wrong] == [Check.BORE]  # 6.3 % against 20 %


def test_a_keyed_axle_on_another_profile_s_frame_is_a_near_miss(two_piece_axle, plain_frame, judged):
    judgement = judged(two_piece_axle(keyed_profile="star"), plain_frame(36.4, keyed_profile="wedge"))
    assert judgement.verdict is Verdict.NO_FIT
    assert [reason.check for reason in judgement.things_wrong] == [Check.HEADS]


def test_an_axle_with_too_little_thread_to_engage_fits_nothing_though_its_length_is_right(
    threaded_axle, frame, judged
):
    # T − c = 4 − 1.25 = 2.75 mm can engage at the most; e_min = 0.6·(6 − 1.25) = 2.85 mm must.
    axle = threaded_axle(thread_length_mm=4.0, length_tolerance_mm=0.05)
    assert judged(axle, frame(37.6)).verdict is Verdict.NO_FIT
