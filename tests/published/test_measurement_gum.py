"""Readings, instruments and sums of lengths against the examples of the GUM (JCGM 100:2008)."""

import math
from functools import partial

import pytest

from service.engine.measurement import Quantity, quantity_from_readings, reconcile_widths

TEMPERATURES = [
    96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
    100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
]  # fmt: skip


def mean_of(readings):
    return quantity_from_readings(readings, half_width_mm=0.0).value_mm


def uncertainty_of(readings, *, half_width):
    return quantity_from_readings(readings, half_width_mm=half_width).standard_uncertainty_mm


def spread_of(readings):
    """The sample standard deviation, from the uncertainty of the mean."""
    return uncertainty_of(readings, half_width=0.0) * math.sqrt(len(readings))


def uncertainty_of_sum(*uncertainties):
    """The uncertainty of a sum of three lengths, as an outside width that follows from the others."""
    inside, head_wall, far_wall = (Quantity(value_mm=1.0, standard_uncertainty_mm=u) for u in uncertainties)
    widths = reconcile_widths(inside=inside, head_wall=head_wall, far_wall=far_wall)
    return widths.outside.standard_uncertainty_mm


def end_gauge():
    """The four components of H.1.6, in two sums of three; the third term of the second is next to nothing."""
    return uncertainty_of_sum(uncertainty_of_sum(25.0, 9.7, 2.9), 16.6, 1e-12)


TEMPERATURE_DATA = "data from memory; recomputed: mean, s and s/√20 have every printed digit"
PUBLISHED = [
    (
        "mean of 20 temperatures", partial(mean_of, TEMPERATURES), 100.145, 0.0005,
        "JCGM 100:2008, 4.4.3 and table 1", TEMPERATURE_DATA,
    ),
    (
        "standard deviation of 20 temperatures", partial(spread_of, TEMPERATURES), 1.489, 0.0005,
        "JCGM 100:2008, 4.4.3 and table 1", TEMPERATURE_DATA,
    ),
    (
        "uncertainty of the mean of 20 temperatures",
        partial(uncertainty_of, TEMPERATURES, half_width=0.0), 0.333, 0.0005,
        "JCGM 100:2008, 4.4.3 and table 1", TEMPERATURE_DATA,
    ),
    (
        "temperature anywhere in 96 to 104", partial(uncertainty_of, [100.0], half_width=4.0), 2.3, 0.05,
        "JCGM 100:2008, 4.4.5", "from memory; recomputed: 4/√3 = 2.309",
    ),
    (
        "expansion coefficient of copper, bounds 0.40e-6",
        partial(uncertainty_of, [16.52], half_width=0.40), 0.23, 0.005,
        "JCGM 100:2008, 4.3.7, example 1", "from memory; recomputed: 0.40/√3 = 0.2309",
    ),
    (
        "a display that resolves 1", partial(uncertainty_of, [7.0], half_width=0.5), 0.29, 0.005,
        "JCGM 100:2008, F.2.2.1", "from memory; recomputed: 1/√12 = 0.2887",
    ),
    (
        "difference of two end gauges: 5.8, 3.9 and 6.7 nm",
        partial(uncertainty_of_sum, 5.8, 3.9, 6.7), 9.7, 0.05,
        "JCGM 100:2008, H.1.3.2",
        "components seen in the public example code of two uncertainty libraries; recomputed: √93.74 = 9.682",
    ),
    (
        "end gauge: 25, 9.7, 2.9 and 16.6 nm", end_gauge, 32.0, 0.5,
        "JCGM 100:2008, H.1.6 and table H.1",
        "components seen in public example data; reproduced by GTC 1.5.1 and uncertainties 3.2.3: 31.7051",
    ),
    (
        "three contributions of 0.25, 0.57 and 0.82 %",
        partial(uncertainty_of_sum, 0.25, 0.57, 0.82), 1.03, 0.005,
        "JCGM 100:2008, G.4.2, example", "from memory; recomputed: √1.0598 = 1.0295",
    ),
]  # fmt: skip


def test_a_measurement_has_the_uncertainty_that_the_guide_prints(published):
    assert published.ours() == pytest.approx(published.value, abs=published.tolerance)


def test_readings_of_36_5_and_24_4_and_6_and_6_by_calliper_reconcile_to_36_475():
    # r = 36.5 − (24.4 + 6 + 6) = 0.1. Each has u = 0.05/√3, so that S = 4·u² and each takes a quarter of r:
    # 36.5 − 0.1/4 = 36.475; ũ = u·√(1 − 1/4) = 0.05/√3·√3/2 = 0.025 (JCGM 100:2008, 4.3.7; least squares).
    read = partial(quantity_from_readings, half_width_mm=0.05)
    widths = reconcile_widths(
        outside=read([36.5]), inside=read([24.4]), head_wall=read([6.0]), far_wall=read([6.0])
    )
    assert widths.outside.value_mm == pytest.approx(36.475, abs=1e-12)
    assert widths.inside.value_mm == pytest.approx(24.425, abs=1e-12)
    assert widths.head_wall.value_mm == pytest.approx(6.025, abs=1e-12)
    assert widths.outside.standard_uncertainty_mm == pytest.approx(0.025, abs=1e-12)
