import math

import pytest

from service.engine.measurement import Quantity, quantity_from_readings, reconcile_widths

# NIST StRD, univariate summary statistics, data set Mavro: 50 values.
MAVRO = [
    2.00180, 2.00170, 2.00180, 2.00190, 2.00180, 2.00170, 2.00150, 2.00140, 2.00150, 2.00150,
    2.00170, 2.00180, 2.00180, 2.00190, 2.00190, 2.00210, 2.00200, 2.00160, 2.00140, 2.00130,
    2.00130, 2.00150, 2.00150, 2.00160, 2.00150, 2.00140, 2.00130, 2.00140, 2.00150, 2.00140,
    2.00150, 2.00160, 2.00150, 2.00160, 2.00190, 2.00200, 2.00200, 2.00210, 2.00220, 2.00230,
    2.00240, 2.00250, 2.00270, 2.00260, 2.00260, 2.00260, 2.00270, 2.00260, 2.00250, 2.00240,
]  # fmt: skip

# JCGM 100:2008, 4.4.3, table 1 (the values from memory; their mean and s reproduce every printed digit).
TEMPERATURES = [
    96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
    100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
]  # fmt: skip


@pytest.fixture(scope="module")
def quantity():
    def build(value_mm, standard_uncertainty_mm=0.5):
        return Quantity(value_mm=value_mm, standard_uncertainty_mm=standard_uncertainty_mm)

    return build


@pytest.mark.parametrize(
    ("half_width", "expected"),
    [
        (4.0, 2.309401),  # JCGM 100:2008, 4.4.5, which prints 2.3
        (0.40, 0.230940),  # JCGM 100:2008, 4.3.7, which prints 0.23
        (0.05, 0.028868),  # a calliper (common practice, no source): 0.05/√3
    ],
)
def test_one_reading_is_as_uncertain_as_its_instrument_is_rectangular(half_width, expected):
    reading = quantity_from_readings([36.4], half_width_mm=half_width)
    assert reading.value_mm == 36.4
    assert reading.standard_uncertainty_mm == pytest.approx(expected, abs=1e-6)


def test_twenty_readings_have_the_mean_and_the_spread_that_the_guide_prints():
    mean = quantity_from_readings(TEMPERATURES, half_width_mm=0.0)
    # JCGM 100:2008, 4.4.3: the mean 100.145, its standard uncertainty 0.33 (1.4888445/√20).
    assert mean.value_mm == pytest.approx(100.145, abs=1e-9)
    assert mean.standard_uncertainty_mm == pytest.approx(0.3329157, abs=1e-7)


def test_fifty_readings_with_a_tiny_spread_have_the_certified_mean_and_deviation():
    mean = quantity_from_readings(MAVRO, half_width_mm=0.0)
    # NIST StRD Mavro, certified values.
    assert mean.value_mm == pytest.approx(2.00185600000000, rel=1e-14)
    assert mean.standard_uncertainty_mm * math.sqrt(50) == pytest.approx(0.000429123454003053, rel=1e-12)


def test_spread_and_instrument_add_in_squares():
    mean = quantity_from_readings([36.4, 36.6], half_width_mm=0.3)
    # s = 0.2/√2, so s²/2 = 0.01; a²/3 = 0.09/3 = 0.03 (JCGM 100:2008, 5.1.2).
    assert mean.value_mm == pytest.approx(36.5)
    assert mean.standard_uncertainty_mm == pytest.approx(0.2)


def test_equal_readings_leave_the_instrument_s_uncertainty():
    mean = quantity_from_readings([36.4, 36.4, 36.4], half_width_mm=0.05)
    assert mean.standard_uncertainty_mm == pytest.approx(0.028868, abs=1e-6)  # 0.05/√3


def test_a_quantity_needs_a_reading():
    with pytest.raises(ValueError, match="at least one reading"):
        quantity_from_readings([], half_width_mm=0.05)


@pytest.mark.parametrize("uncertainty", [0.0, -0.1, math.inf, math.nan])
def test_an_uncertainty_is_never_nothing_nor_endless(uncertainty):
    with pytest.raises(ValueError, match="standard uncertainty"):
        Quantity(value_mm=36.4, standard_uncertainty_mm=uncertainty)


@pytest.mark.parametrize("value", [math.inf, -math.inf, math.nan])
def test_a_measured_length_is_finite(value):
    with pytest.raises(ValueError, match="finite"):
        Quantity(value_mm=value, standard_uncertainty_mm=0.1)


def test_four_widths_read_alike_share_their_gap_alike(read):
    widths = reconcile_widths(outside=read(36.5), inside=read(24.4), head_wall=read(6.0), far_wall=read(6.0))
    # r = 36.5 − (24.4 + 6 + 6) = 0.1, of which each of four takes a quarter.
    assert widths.gap_mm == pytest.approx(0.1)
    assert widths.outside.value_mm == pytest.approx(36.475)
    assert widths.inside.value_mm == pytest.approx(24.425)
    assert widths.head_wall.value_mm == pytest.approx(6.025)
    assert widths.far_wall.value_mm == pytest.approx(6.025)


def test_four_widths_that_explain_each_other_are_each_surer_than_their_reading(read):
    widths = reconcile_widths(outside=read(36.4), inside=read(24.4), head_wall=read(6.0), far_wall=read(6.0))
    # (0.05/√3)·√(1 − 1/4) = 0.025
    for width in (widths.outside, widths.inside, widths.head_wall, widths.far_wall):
        assert width.standard_uncertainty_mm == pytest.approx(0.025)


def test_the_less_sure_width_takes_the_greater_share_of_the_gap(quantity):
    widths = reconcile_widths(
        outside=quantity(36.5, 0.2),
        inside=quantity(24.0, 0.2),
        head_wall=quantity(6.0, 0.1),
        far_wall=quantity(6.0, 0.1),
    )
    # r = 0.5; S = 0.04 + 0.04 + 0.01 + 0.01 = 0.10, so the shares are 0.4, 0.4, 0.1 and 0.1.
    assert widths.outside.value_mm == pytest.approx(36.5 - 0.20)
    assert widths.inside.value_mm == pytest.approx(24.0 + 0.20)
    assert widths.head_wall.value_mm == pytest.approx(6.0 + 0.05)
    assert widths.far_wall.value_mm == pytest.approx(6.0 + 0.05)
    assert widths.outside.standard_uncertainty_mm == pytest.approx(0.2 * math.sqrt(0.6))
    assert widths.far_wall.standard_uncertainty_mm == pytest.approx(0.1 * math.sqrt(0.9))


def test_an_outside_width_less_than_the_sum_is_a_gap_below_nothing(read):
    widths = reconcile_widths(outside=read(36.3), inside=read(24.4), head_wall=read(6.0), far_wall=read(6.0))
    assert widths.gap_mm == pytest.approx(-0.1)
    assert widths.outside.value_mm == pytest.approx(36.325)


@pytest.mark.parametrize(
    ("outside", "agree"),
    [
        (40.5, True),  # within the uncertainty of one reading
        (42.9, True),
        (43.0, True),
        (43.1, False),
        (37.1, True),
        (37.0, True),
        (36.9, False),
    ],
)
def test_readings_disagree_beyond_three_uncertainties_of_the_gap(quantity, outside, agree):
    # 20 + 10 + 10 = 40; with u = 0.5 each, S = 4·0.25 = 1 and the limit 3·√S = 3.
    # Three standard uncertainties: common practice, no source.
    widths = reconcile_widths(
        outside=quantity(outside), inside=quantity(20.0), head_wall=quantity(10.0), far_wall=quantity(10.0)
    )
    assert widths.gap_limit_mm == pytest.approx(3.0)
    assert widths.readings_agree is agree


@pytest.mark.parametrize("missing", ["outside", "inside", "head_wall", "far_wall"])
def test_the_fourth_width_follows_from_three_with_all_their_uncertainties(read, missing):
    full = {"outside": 36.5, "inside": 24.0, "head_wall": 7.0, "far_wall": 5.5}
    given = {name: read(mm) for name, mm in full.items() if name != missing}
    follows = getattr(reconcile_widths(**given), missing)
    assert follows.value_mm == pytest.approx(full[missing])
    # √(3·0.05²/3) = 0.05
    assert follows.standard_uncertainty_mm == pytest.approx(0.05)


@pytest.mark.parametrize("missing", ["outside", "inside", "head_wall", "far_wall"])
def test_three_widths_stand_as_they_were_read_and_cannot_disagree(read, missing):
    full = {"outside": 36.5, "inside": 24.0, "head_wall": 7.0, "far_wall": 5.5}
    given = {name: read(mm) for name, mm in full.items() if name != missing}
    widths = reconcile_widths(**given)
    assert {name: getattr(widths, name) for name in given} == given
    assert widths.readings_agree is None


def test_an_outside_width_and_one_wall_say_nothing_of_the_rest(read):
    widths = reconcile_widths(outside=read(36.4), far_wall=read(6.0))
    assert widths.outside == read(36.4)
    assert widths.far_wall == read(6.0)
    assert widths.inside is None
    assert widths.head_wall is None


@pytest.mark.parametrize("given", [(), ("inside",), ("inside", "far_wall"), ("head_wall", "far_wall")])
def test_an_outside_width_neither_given_nor_following_is_asked_for(read, given):
    with pytest.raises(ValueError, match="give the outside width"):
        reconcile_widths(**{name: read(6.0) for name in given})


@pytest.mark.parametrize("outside", [11.5, 12.0])
def test_walls_as_wide_as_the_frame_leave_no_room_inside(read, outside):
    with pytest.raises(ValueError, match="greater than"):
        reconcile_widths(outside=read(outside), head_wall=read(6.0), far_wall=read(6.0))


def test_walls_a_little_less_than_the_frame_leave_a_little_room_inside(read):
    widths = reconcile_widths(outside=read(12.5), head_wall=read(6.0), far_wall=read(6.0))
    assert widths.inside.value_mm == pytest.approx(0.5)
