import math

import pytest
from scipy.stats import norm

from service.engine.measurement import Quantity
from service.engine.probability import conformance_probability, measured_bore, nominal_bore, normal_cdf


@pytest.mark.parametrize(
    ("probability", "z"),
    [(0.80, 0.84162), (0.90, 1.28155), (0.95, 1.64485), (0.99, 2.32635), (0.999, 3.09023)],
)
def test_the_normal_distribution_has_its_published_quantiles(probability, z):
    # JCGM 106:2012, 7.3, table 1, which prints 0.84, 1.28, 1.64, 2.33 and 3.09.
    assert normal_cdf(z) == pytest.approx(probability, abs=2e-6)
    assert normal_cdf(-z) == pytest.approx(1.0 - probability, abs=2e-6)


@pytest.mark.parametrize("z", [-35.0, -8.0, -3.0, 0.0, 3.0, 8.0])
def test_the_normal_distribution_keeps_its_digits_in_the_far_tails(z):
    assert normal_cdf(z) == pytest.approx(norm.cdf(z), rel=1e-11)  # scipy as the reference


@pytest.mark.parametrize(
    ("value", "uncertainty", "lower", "upper", "expected"),
    [
        # JCGM 106:2012, 7.3.1: burst strength, a lower limit; printed Φ(2.38) = 0.99.
        (509.0, 8.0, 490.0, math.inf, 0.991226),
        # JCGM 106:2012, 7.3.2: breakdown voltage, an upper limit; printed Φ(1.4) = 0.92.
        (-5.47, 0.05, -math.inf, -5.40, 0.919243),
        # JCGM 106:2012, 7.4: oil viscosity, two limits; printed Φ(1.5) − Φ(−0.61) = 0.66.
        (13.6, 1.8, 12.5, 16.3, 0.662630),
    ],
)
def test_conformance_is_as_probable_as_the_guide_says(value, uncertainty, lower, upper, expected):
    # The examples' inputs are from memory; each reproduces its printed result.
    p = conformance_probability(value, uncertainty, lower_mm=lower, upper_mm=upper)
    assert p == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("width", [35.0, 37.9])
def test_a_width_on_a_limit_of_a_wide_window_fits_with_one_half(width):
    assert conformance_probability(width, 0.119, lower_mm=35.0, upper_mm=37.9) == pytest.approx(0.5)


@pytest.mark.parametrize("upper", [35.0, 34.9])
def test_a_window_without_width_holds_nothing(upper):
    assert conformance_probability(35.0, 0.119, lower_mm=35.0, upper_mm=upper) == 0.0


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_window_far_off_keeps_its_digits_on_either_side(side):
    lower, upper = sorted((side * 10.0, side * 11.0))
    p = conformance_probability(0.0, 1.0, lower_mm=lower, upper_mm=upper)
    assert p == pytest.approx(norm.sf(10.0) - norm.sf(11.0), rel=1e-11)  # scipy as the reference


@pytest.mark.parametrize("class_mm", [6.0, 6.3, 8.0])
def test_a_bore_given_as_a_class_is_that_class(class_mm):
    bore = nominal_bore(class_mm)
    assert bore.nominal_mm == class_mm
    assert bore.probability_of(class_mm) == 1.0
    assert [bore.probability_of(other) for other in {6.0, 6.3, 8.0} - {class_mm}] == [0.0, 0.0]


@pytest.mark.parametrize(
    ("reading", "class_mm"), [(5.95, 6.0), (6.05, 6.0), (6.25, 6.3), (6.35, 6.3), (8.1, 8.0)]
)
def test_a_bore_measured_near_a_class_is_of_that_class(read, reading, class_mm):
    bore = measured_bore(read(reading))
    assert bore.nominal_mm == class_mm
    assert bore.probability_of(class_mm) > 0.95


def test_a_bore_half_way_between_two_classes_is_either_with_one_half(read):
    bore = measured_bore(read(6.15))
    assert bore.probability_of(6.0) == pytest.approx(0.5)
    assert bore.probability_of(6.3) == pytest.approx(0.5)


def test_a_bore_s_classes_are_weighed_by_their_distance():
    bore = measured_bore(Quantity(value_mm=6.1, standard_uncertainty_mm=0.03))
    # u_b² = 0.03² + 0.05² = 0.0034; the distances are 0.1 to 6 and 0.2 to 6.3; 8 is out of the question.
    assert bore.probability_of(6.0) == pytest.approx(
        1.0 / (1.0 + math.exp(-(0.2**2 - 0.1**2) / (2 * 0.0034)))
    )


@pytest.mark.parametrize(
    ("reading", "class_mm"),
    [(8.1, 8.0), (8.53, 8.0), (8.539, 8.0), (8.541, None), (5.461, 6.0), (5.459, None)],
)
def test_a_bore_beyond_reach_of_every_class_is_of_none(reading, class_mm):
    # With u = 0.12, u_b = √(0.12² + 0.05²) = 0.13 and the reach is 3·0.13 + 0.15 = 0.54.
    # The reach of 0.15 and the spread of 0.05: common practice, no source.
    bore = measured_bore(Quantity(value_mm=reading, standard_uncertainty_mm=0.12))
    assert bore.nominal_mm == class_mm


def test_a_bore_of_no_class_takes_no_shaft(read):
    bore = measured_bore(read(7.2))
    assert [bore.probability_of(shaft) for shaft in (6.0, 6.3, 8.0)] == [0.0, 0.0, 0.0]


def test_a_shaft_of_no_class_goes_into_no_bore(read):
    assert measured_bore(read(8.0)).probability_of(7.0) == 0.0
