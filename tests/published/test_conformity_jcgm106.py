"""Probabilities of conformity against the table and the examples of JCGM 106:2012."""

import math
from functools import partial

import pytest
from scipy.integrate import quad
from scipy.stats import gamma, norm

from service.engine.probability import conformance_probability, normal_cdf


def conforms(value, uncertainty, *, lower=-math.inf, upper=math.inf):
    return conformance_probability(value, uncertainty, lower_mm=lower, upper_mm=upper)


def accepted(true_value, *, uncertainty, lower, upper):
    """The chance that something of this true value is measured within the acceptance limits."""
    return conforms(true_value, uncertainty, lower=lower, upper=upper)


def consumers_risk(prior, *, outside, uncertainty, lower, upper):
    """The chance that something is outside of its tolerance and yet accepted: JCGM 106:2012, 9.5."""
    chance = partial(accepted, uncertainty=uncertainty, lower=lower, upper=upper)
    return sum(quad(lambda x: prior.pdf(x) * chance(x), *limits, epsabs=1e-12)[0] for limits in outside)


def producers_risk(prior, *, inside, uncertainty, lower, upper):
    """The chance that something is within its tolerance and yet rejected: JCGM 106:2012, 9.5."""
    chance = partial(accepted, uncertainty=uncertainty, lower=lower, upper=upper)
    return quad(lambda x: prior.pdf(x) * (1.0 - chance(x)), *inside, epsabs=1e-12)[0]


RESISTORS = norm(1500.0, 0.12)
RESISTOR_TOLERANCE = {"outside": [(1498.8, 1499.8), (1500.2, 1501.2)], "uncertainty": 0.04}
RUN_OUT = gamma(4.0, scale=0.25)
RUN_OUT_TOLERANCE = {"outside": [(2.0, 12.0)], "uncertainty": 0.25, "lower": -math.inf}

TABLE_1 = "JCGM 106:2012, 7.3, table 1"
QUANTILE = (
    "printed digits from memory; recomputed by the normal quantile; reproduced by scipy 1.17.1 norm.ppf"
)
EXAMPLE = "inputs from memory; recomputed by Φ; reproduced by suncal 1.7.1 risk.specific_risk, out of tree"
RESISTOR = "inputs and acceptance limits seen in a public example; reproduced by suncal 1.7.1, out of tree"
BEARING = "seen in a public notebook of an uncertainty calculator; reproduced by suncal 1.7.1, out of tree"

PUBLISHED = [
    # z is printed to 0.01, so that Φ(z) agrees with its probability to 0.005·φ(z).
    *(
        (f"conformity at z = {z}", partial(normal_cdf, z), p, 0.005 * norm.pdf(z), TABLE_1, QUANTILE)
        for z, p in [(0.84, 0.80), (1.28, 0.90), (1.64, 0.95), (2.33, 0.99), (3.09, 0.999)]
    ),
    (
        "burst strength 509(8) kPa, at least 490", partial(conforms, 509.0, 8.0, lower=490.0), 0.99, 0.005,
        "JCGM 106:2012, 7.3.1, example (clause from memory)", EXAMPLE,
    ),
    (
        "breakdown voltage −5.47(0.05) V, at most −5.40",
        partial(conforms, -5.47, 0.05, upper=-5.40), 0.92, 0.005,
        "JCGM 106:2012, 7.3.2, example (clause from memory)", EXAMPLE,
    ),
    (
        "oil of viscosity 13.6(1.8), 12.5 to 16.3",
        partial(conforms, 13.6, 1.8, lower=12.5, upper=16.3), 0.66, 0.005,
        "JCGM 106:2012, 7.4, example (clause from memory)", EXAMPLE,
    ),
    (
        "a measurement two uncertainties within the limit",
        partial(conforms, 8.0, 1.0, upper=10.0), 0.977, 0.0005,
        "JCGM 106:2012, 8.3.2, guard band w = U (clause from memory)", "recomputed: Φ(2) = 0.977250",
    ),
    (
        "a measurement on the limit itself", partial(conforms, 10.0, 1.0, upper=10.0), 0.5, 1e-12,
        "JCGM 106:2012, 8.2, simple acceptance (clause from memory)", "recomputed: Φ(0) = 1/2",
    ),
    (
        "resistors that conform: 1500(0.12), 1499.8 to 1500.2 Ω",
        partial(conforms, 1500.0, 0.12, lower=1499.8, upper=1500.2), 0.904, 0.0005,
        "JCGM 106:2012, 9.5, resistors (sub-clause from memory)", RESISTOR,
    ),
    (
        "consumer's risk of resistors accepted without a guard band",
        partial(consumers_risk, RESISTORS, **RESISTOR_TOLERANCE, lower=1499.8, upper=1500.2), 0.02, 0.005,
        "JCGM 106:2012, 9.5, resistors (sub-clause from memory)", RESISTOR,
    ),
    (
        "consumer's risk of resistors accepted from 1499.82 to 1500.18",
        partial(consumers_risk, RESISTORS, **RESISTOR_TOLERANCE, lower=1499.82, upper=1500.18), 0.01, 0.005,
        "JCGM 106:2012, 9.5, resistors (sub-clause from memory)", RESISTOR,
    ),
    (
        "producer's risk of resistors accepted without a guard band",
        partial(
            producers_risk, RESISTORS, inside=(1499.8, 1500.2), uncertainty=0.04, lower=1499.8, upper=1500.2
        ), 0.04, 0.005,
        "JCGM 106:2012, 9.5, resistors (sub-clause from memory)", RESISTOR,
    ),
    (
        "producer's risk of resistors accepted from 1499.82 to 1500.18",
        partial(
            producers_risk, RESISTORS, inside=(1499.8, 1500.2), uncertainty=0.04, lower=1499.82, upper=1500.18
        ), 0.07, 0.005,
        "JCGM 106:2012, 9.5, resistors (sub-clause from memory)", RESISTOR,
    ),
    (
        "consumer's risk of bearings accepted up to 2 µm of run-out",
        partial(consumers_risk, RUN_OUT, **RUN_OUT_TOLERANCE, upper=2.0), 0.008, 0.0005,
        "JCGM 106:2012, 9.5.4, bearings", BEARING,
    ),
    (
        "consumer's risk of bearings accepted up to 1.67 µm of run-out",
        partial(consumers_risk, RUN_OUT, **RUN_OUT_TOLERANCE, upper=1.67), 0.001, 0.00005,
        "JCGM 106:2012, 9.5.4, bearings", BEARING,
    ),
]  # fmt: skip


def test_a_measurement_conforms_with_the_probability_that_the_guide_prints(published):
    assert published.ours() == pytest.approx(published.value, abs=published.tolerance)


@pytest.mark.parametrize("limits", [{"lower": 490.0}, {"upper": 528.0}])
def test_a_limit_on_one_side_is_a_window_without_the_other_limit(limits):
    # 509 ± 19 kPa with u = 8 kPa: Φ(19/8) = Φ(2.375) = 0.991226, on either side (JCGM 106:2012, 7.3.1).
    assert conforms(509.0, 8.0, **limits) == pytest.approx(0.991226, abs=5e-7)
