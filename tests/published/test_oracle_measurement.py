"""Reference libraries as independent judges of measurement and probability.

scipy 1.17, statsmodels 0.15, uncertainties 3.2 and GTC 1.5: none of them shares code with ours.
"""

import math
import operator
from functools import reduce

import GTC
import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats
from uncertainties import ufloat

from service.engine.measurement import Quantity, quantity_from_readings, reconcile_widths
from service.engine.probability import conformance_probability, measured_bore, normal_cdf
from service.engine.questions import entropy_bits

UNCERTAINTIES = st.floats(0.005, 1.0)
WIDTHS = ("outside", "inside", "head_wall", "far_wall")


@st.composite
def four_widths(draw):
    """Four widths that nearly satisfy outside = inside + walls."""
    inside, head_wall, far_wall = (
        draw(st.floats(15.0, 40.0)),
        draw(st.floats(2.0, 9.0)),
        draw(st.floats(2.0, 9.0)),
    )
    values = (inside + head_wall + far_wall + draw(st.floats(-1.0, 1.0)), inside, head_wall, far_wall)
    return [Quantity(value_mm=v, standard_uncertainty_mm=draw(UNCERTAINTIES)) for v in values]


@pytest.mark.parametrize("z", [*np.linspace(-8.0, 8.0, 33), -37.0, -20.0, -12.5, 9.0, 37.0])
def test_the_normal_distribution_is_scipy_s_in_the_far_tails_too(z):
    assert normal_cdf(float(z)) == pytest.approx(stats.norm.cdf(z), rel=1e-12, abs=0.0)


@given(
    value=st.floats(30.0, 45.0), u=UNCERTAINTIES, lower=st.floats(30.0, 45.0), width=st.floats(0.001, 10.0)
)
def test_a_conformance_probability_is_scipy_s_above_and_below_the_window(value, u, lower, width):
    found = conformance_probability(value, u, lower_mm=lower, upper_mm=lower + width)
    below, above = (lower - value) / u, (lower + width - value) / u
    # From the nearer tail, since the difference of two numbers near 1 has lost its digits.
    of_scipy = (
        stats.norm.sf(below) - stats.norm.sf(above)
        if below > 0
        else stats.norm.cdf(above) - stats.norm.cdf(below)
    )
    assert found == pytest.approx(of_scipy, rel=1e-9, abs=1e-300)


@given(st.lists(st.floats(1.0, 60.0), min_size=2, max_size=20), UNCERTAINTIES)
def test_repeated_readings_have_the_mean_and_the_standard_error_of_scipy(readings, half_width):
    quantity = quantity_from_readings(readings, half_width_mm=half_width)
    assert quantity.value_mm == pytest.approx(np.mean(readings))
    expected = math.hypot(stats.sem(readings), stats.uniform(-half_width, 2 * half_width).std())
    assert quantity.standard_uncertainty_mm == pytest.approx(expected)


@settings(max_examples=40)
@given(four_widths())
def test_four_widths_are_adjusted_as_weighted_least_squares_adjusts_them(widths):
    # Three unknowns (inside and the walls), four observations, weights 1/u².
    design = np.array([[1, 1, 1], [1, 0, 0], [0, 1, 0], [0, 0, 1]], dtype=float)
    u = np.array([q.standard_uncertainty_mm for q in widths])
    fit = sm.WLS([q.value_mm for q in widths], design, weights=1 / u**2).fit()
    adjusted = reconcile_widths(**dict(zip(WIDTHS, widths, strict=True)))
    for row, name in zip(design, WIDTHS, strict=True):
        quantity = getattr(adjusted, name)
        assert quantity.value_mm == pytest.approx(row @ fit.params, abs=1e-9)
        variance = row @ fit.normalized_cov_params @ row
        assert quantity.standard_uncertainty_mm == pytest.approx(math.sqrt(variance), rel=1e-6)


@settings(max_examples=15)
@given(four_widths())
def test_no_other_adjustment_of_four_widths_moves_them_less(widths):
    # The constrained minimum of Σ((x̃ − x)/u)², found by search.
    x = np.array([q.value_mm for q in widths])
    u = np.array([q.standard_uncertainty_mm for q in widths])
    search = optimize.minimize(
        lambda z: float(np.sum(z**2)),
        np.zeros(4),
        jac=lambda z: 2 * z,
        constraints={"type": "eq", "fun": lambda z: (x + u * z) @ np.array([1.0, -1.0, -1.0, -1.0])},
        options={"ftol": 1e-14},
    )
    adjusted = reconcile_widths(**dict(zip(WIDTHS, widths, strict=True)))
    moved = [(getattr(adjusted, n).value_mm - v) / s for n, v, s in zip(WIDTHS, x, u, strict=True)]
    assert moved == pytest.approx(search.x, abs=1e-5)


@settings(max_examples=40)
@given(four_widths(), st.sampled_from(WIDTHS))
def test_a_fourth_width_has_the_value_and_uncertainty_of_both_uncertainty_libraries(widths, missing):
    given_widths = dict(zip(WIDTHS, widths, strict=True))
    del given_widths[missing]
    follows = getattr(reconcile_widths(**given_widths), missing)
    for made_by in (ufloat, GTC.ureal):
        of = {n: made_by(q.value_mm, q.standard_uncertainty_mm) for n, q in given_widths.items()}
        if missing == "outside":
            expected = reduce(operator.add, of.values())
        else:
            expected = reduce(operator.sub, [q for n, q in of.items() if n != "outside"], of["outside"])
        value, u = (expected.n, expected.s) if made_by is ufloat else (expected.x, expected.u)
        assert follows.value_mm == pytest.approx(value)
        assert follows.standard_uncertainty_mm == pytest.approx(u)


@given(st.floats(5.7, 8.4), st.floats(0.01, 0.5))
def test_a_measured_bore_is_of_each_class_as_scipy_s_densities_say(value, u):
    bore = measured_bore(Quantity(value_mm=value, standard_uncertainty_mm=u))
    spread = math.hypot(u, 0.05)
    logarithms = np.array([stats.norm.logpdf(value, k, spread) for k in (6.0, 6.3, 8.0)])
    expected = np.exp(logarithms - logarithms.max())
    expected /= expected.sum()
    for k, probability in zip((6.0, 6.3, 8.0), expected, strict=True):
        if bore.nominal_mm is not None:
            assert bore.probability_of(k) == pytest.approx(probability, rel=1e-9, abs=1e-300)
    within_reach = min(abs(value - k) for k in (6.0, 6.3, 8.0)) <= 3.0 * spread + 0.15
    assert (bore.nominal_mm is not None) == within_reach


@given(st.lists(st.floats(0.01, 100.0), min_size=1, max_size=12))
def test_an_entropy_is_scipy_s(weights):
    assert entropy_bits(weights) == pytest.approx(stats.entropy(weights, base=2), abs=1e-12)
