"""The order of the answers: common practice, no source."""

import pytest

from service.engine.codes import Check, Outcome, Position, Verdict
from service.engine.judgement import Judgement
from service.engine.measurement import Quantity
from service.engine.probability import nominal_bore
from service.engine.ranking import Preferences, drive_family, near_misses, ranked
from service.engine.reasons import Reason
from service.engine.windows import WidthWindow

WIDTH = Quantity(value_mm=36.0, standard_uncertainty_mm=0.03)
ALIKE = {"drive": "hexagon_4", "price_per_axle": 2.0, "colour": "black", "stock": 5}


@pytest.fixture
def fit(threaded_axle):
    """A judgement that is like every other but for what is given."""

    def build(sku, *, verdict=Verdict.FITS, probability=0.99, ideal_mm=36.0, **axle):
        window = WidthWindow(lower_mm=35.0, upper_mm=37.9, ideal_mm=ideal_mm)
        return Judgement(threaded_axle(sku=sku, **(ALIKE | axle)), verdict, probability, window, ())

    return build


@pytest.fixture
def order():
    """The order of the answers, by SKU, whichever way round they are given."""

    def build(*judgements, **preferences):
        forwards, backwards = (
            [j.axle.sku for j in ranked(given, width=WIDTH, preferences=Preferences(**preferences))]
            for given in (judgements, judgements[::-1])
        )
        assert forwards == backwards
        return forwards

    return build


# Each better axle below has the later SKU, so that nothing but what is tested can put it first.


def test_a_better_verdict_comes_first_however_probable_the_other_is(fit, order):
    fits = fit("Z", verdict=Verdict.FITS, probability=0.96)
    with_caution = fit("Y", verdict=Verdict.FITS_WITH_CAUTION, probability=0.97)
    to_check = fit("X", verdict=Verdict.CHECK_FIRST, probability=1.0)
    assert order(to_check, with_caution, fits) == ["Z", "Y", "X"]


def test_what_does_not_fit_is_not_in_the_list(fit, order):
    assert order(fit("A", verdict=Verdict.NO_FIT), fit("B")) == ["B"]


@pytest.mark.parametrize(("higher", "lower"), [(0.99, 0.98), (0.996, 0.994), (0.86, 0.84)])
def test_the_more_probable_of_two_comes_first(fit, order, higher, lower):
    assert order(fit("A", probability=lower), fit("B", probability=higher, drive="slot")) == ["B", "A"]


@pytest.mark.parametrize(("higher", "lower"), [(0.994, 0.986), (0.9999, 0.9951)])
def test_probabilities_are_compared_to_a_hundredth(fit, order, higher, lower):
    assert order(fit("A", probability=lower), fit("B", probability=higher)) == ["A", "B"]


@pytest.mark.parametrize(
    ("preference", "met", "missed"),
    [
        ({"drive": "hexalobular_25"}, {"drive": "hexalobular_25"}, {"drive": "hexalobular_30"}),
        ({"drive": "slot"}, {"drive": "slot"}, {"drive": "hexagon_4"}),
        ({"drive": "slot"}, {"drive": "slot"}, {"drive": None}),
        ({"colour": "silver"}, {"colour": "silver"}, {"colour": "black"}),
        ({"colour": "silver"}, {"colour": "silver"}, {"colour": None}),
        ({"in_stock": True}, {"stock": 1}, {"stock": 0}),
        ({"in_stock": True}, {"stock": 1}, {"stock": None}),
    ],
    ids=str,
)
def test_an_axle_that_meets_a_preference_comes_before_one_that_misses_it(fit, order, preference, met, missed):
    better, other = fit("B", ideal_mm=36.5, **met), fit("A", **missed)
    assert order(better, other, **preference) == ["B", "A"]


def test_the_fewer_preferences_are_missed_the_better(fit, order):
    misses_two = fit("A", colour="black", stock=0)
    misses_one = fit("B", colour="silver", stock=0)
    misses_none = fit("C", colour="silver", stock=1)
    assert order(misses_two, misses_one, misses_none, colour="silver", in_stock=True) == ["C", "B", "A"]


def test_a_preference_never_outweighs_a_more_probable_fit(fit, order):
    wanted, surer = fit("A", colour="silver", probability=0.96), fit("B", colour="black", probability=0.99)
    assert order(wanted, surer, colour="silver") == ["B", "A"]


def test_without_a_preference_stock_colour_and_drive_are_not_missed(fit, order):
    assert order(fit("B", stock=5, colour="black"), fit("A", stock=0, colour="silver")) == ["A", "B"]


@pytest.mark.parametrize("ideal", [35.5, 36.5])
def test_the_frame_nearer_an_axle_s_ideal_width_comes_first(fit, order, ideal):
    assert order(fit("A", ideal_mm=ideal, drive="hexalobular_25"), fit("B", ideal_mm=36.3)) == ["B", "A"]


def test_distances_from_the_ideal_width_are_compared_to_a_tenth_of_a_mm(fit, order):
    assert order(fit("A", ideal_mm=36.24), fit("B", ideal_mm=36.16)) == ["A", "B"]
    assert order(fit("A", ideal_mm=36.26), fit("B", ideal_mm=36.24)) == ["B", "A"]


def test_the_drive_that_survives_use_better_comes_first(fit, order):
    drives = ["hexalobular_25", "hexagon_4", "external_hexagon_13", "cross_h3", "slot", None]
    axles = [fit(f"{9 - place}", drive=drive, price_per_axle=place) for place, drive in enumerate(drives)]
    assert order(*axles) == ["9", "8", "7", "6", "5", "4"]


def test_a_drive_s_size_does_not_move_it(fit, order):
    assert order(fit("B", drive="hexagon_4"), fit("A", drive="hexagon_5")) == ["A", "B"]
    assert drive_family("external_hexagon_13") == "external_hexagon"
    assert drive_family("slot") == "slot"


def test_the_cheaper_axle_comes_first_and_one_without_price_last(fit, order):
    axles = [fit("A", price_per_axle=None), fit("B", price_per_axle=2.5), fit("C", price_per_axle=1.5)]
    assert order(*axles) == ["C", "B", "A"]


def test_axles_alike_in_all_else_stand_in_the_order_of_their_skus(fit, order):
    assert order(fit("C"), fit("A"), fit("B")) == ["A", "B", "C"]


# --- near misses ---------------------------------------------------------------------------------


@pytest.fixture
def missed(threaded_axle):
    """An axle that serves up to a width, judged not to fit for the reasons of these checks."""

    def build(sku, *checks, upper_mm=37.9, **axle):
        window = WidthWindow(lower_mm=upper_mm - 2.0, upper_mm=upper_mm, ideal_mm=upper_mm - 1.0)
        reasons = tuple(Reason(check, Outcome.FAIL, "code", "source") for check in checks)
        part = threaded_axle(sku=sku, **(ALIKE | axle))
        return Judgement(part, Verdict.NO_FIT, 0.0, window, reasons)

    return build


@pytest.fixture
def missed_order():
    def build(*judgements):
        forwards, backwards = (
            [miss.judgement.axle.sku for miss in near_misses(given, width=WIDTH)]
            for given in (judgements, judgements[::-1])
        )
        assert forwards == backwards
        return forwards

    return build


def test_widths_missed_by_little_come_first_then_other_things_then_widths_missed_by_much(
    missed, missed_order
):
    # At 36.0 mm they are missed by 0.5, 1.5, 2.0, 2.25 and 4; up to 2 mm is little.
    assert missed_order(
        missed("A", Check.WIDTH, upper_mm=32.0),
        missed("B", Check.WIDTH, upper_mm=33.75),
        missed("C", Check.BRAKE),
        missed("D", Check.WIDTH, upper_mm=34.0),
        missed("E", Check.WIDTH, upper_mm=34.5),
        missed("F", Check.WIDTH, upper_mm=35.5),
    ) == ["F", "E", "D", "C", "B", "A"]


def test_of_axles_that_miss_a_width_alike_the_better_drive_the_lower_price_and_the_sku_decide(
    missed, missed_order
):
    assert missed_order(
        missed("A", Check.WIDTH, upper_mm=35.0, drive="slot", price_per_axle=1.0),
        missed("C", Check.WIDTH, upper_mm=35.0),
        missed("B", Check.WIDTH, upper_mm=35.0),
        missed("D", Check.WIDTH, upper_mm=35.0, price_per_axle=1.0),
        missed("E", Check.WIDTH, upper_mm=35.0, drive="hexalobular_25", price_per_axle=9.0),
    ) == ["E", "D", "B", "C", "A"]


def test_an_axle_with_two_things_wrong_is_no_near_miss(missed, missed_order):
    assert missed_order(missed("A", Check.THREAD, Check.BORE), missed("B", Check.THREAD)) == ["B"]


def test_an_axle_that_fits_is_no_near_miss(fit, missed_order):
    assert missed_order(fit("A"), fit("B", verdict=Verdict.CHECK_FIRST)) == []


@pytest.mark.parametrize(("outside", "missing"), [(38.40, 0.5), (39.90, 2.0), (34.50, 0.5), (33.00, 2.0)])
def test_a_near_miss_tells_what_the_width_lacks(threaded_axle, frame, judged, outside, missing):
    # The axle of 36 mm, M8x1.25, in a wall of 6 serves 35.0 to 37.9.
    of_frame = frame(outside, far_wall_mm=6.0)
    [miss] = near_misses([judged(threaded_axle(), of_frame)], width=of_frame.widths.outside)
    assert miss.missing_mm == pytest.approx(missing)


@pytest.mark.parametrize(
    ("wrong", "check"),
    [
        ({"thread": "M8x1"}, Check.THREAD),
        ({"bore": nominal_bore(6.3)}, Check.BORE),
        ({"position": Position.BRAKE}, Check.BRAKE),
    ],
    ids=["thread", "bore", "brake"],
)
def test_where_the_width_is_right_no_mm_are_missing(threaded_axle, frame, judged, wrong, check):
    of_frame = frame(36.4, **wrong)
    [miss] = near_misses([judged(threaded_axle(), of_frame)], width=of_frame.widths.outside)
    assert miss.wrong.check is check
    assert miss.missing_mm is None


def test_where_no_width_would_do_no_mm_are_missing(threaded_axle, frame, judged):
    # A wall of 2.5 leaves 2.5 − 1.25 mm to engage, less than two turns of 1.25: the axle serves no width.
    of_frame = frame(34.875, far_wall_mm=2.5)
    [miss] = near_misses([judged(threaded_axle(), of_frame)], width=of_frame.widths.outside)
    assert miss.wrong.code == "width_has_no_window"
    assert miss.missing_mm is None
