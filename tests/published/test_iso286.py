"""Limits of shafts against the tables of ISO 286, at the edge of two bands and on both sides of it."""

from functools import partial
from math import cbrt, sqrt

import pytest

from service.engine.tolerances import shaft_deviations_um

# Class: (lower, upper) deviation over 3 to 6 mm, then over 6 to 10 mm [µm].
LIMITS = {
    "c9": ((-100, -70), (-116, -80)),
    "d8": ((-48, -30), (-62, -40)),
    "d9": ((-60, -30), (-76, -40)),
    "e7": ((-32, -20), (-40, -25)),
    "e8": ((-38, -20), (-47, -25)),
    "e9": ((-50, -20), (-61, -25)),
    "f6": ((-18, -10), (-22, -13)),
    "f7": ((-22, -10), (-28, -13)),
    "f8": ((-28, -10), (-35, -13)),
    "g5": ((-9, -4), (-11, -5)),
    "g6": ((-12, -4), (-14, -5)),
    "h5": ((-5, 0), (-6, 0)),
    "h6": ((-8, 0), (-9, 0)),
    "h7": ((-12, 0), (-15, 0)),
    "h8": ((-18, 0), (-22, 0)),
    "h9": ((-30, 0), (-36, 0)),
    "js5": ((-2.5, 2.5), (-3, 3)),
    "js6": ((-4, 4), (-4.5, 4.5)),
    "js7": ((-6, 6), (-7.5, 7.5)),
    "k5": ((1, 6), (1, 7)),
    "k6": ((1, 9), (1, 10)),
    "m5": ((4, 9), (6, 12)),
    "m6": ((4, 12), (6, 15)),
    "n6": ((8, 16), (10, 19)),
    "p6": ((12, 20), (15, 24)),
    "r6": ((15, 23), (19, 28)),
    "s6": ((19, 27), (23, 32)),
}
# The wider grades of h, from tables of bright bars: the width is the standard tolerance itself.
WIDE = {"h10": ((-48, 0), (-58, 0)), "h11": ((-75, 0), (-90, 0)), "h12": ((-120, 0), (-150, 0))}
# ISO 7379 shoulders, f9.
SHOULDERS = {"f9": ((-40, -10), (-49, -13))}

SIZES = {6.0: 0, 6.3: 1, 8.0: 1}
"""6 mm is on the edge and of the lower band, 6.3 and 8 mm are of the upper one."""
TABLES = (
    (
        LIMITS, "ISO 286-2:2010 (JIS B 0401-2:1998), shafts, sizes over 3 to 6 and over 6 to 10 mm",
        "seen in a public copy of the national edition; all but r6 reproduced by pressfit 0.1.0",
    ),
    (
        WIDE, "ISO 286-1:2010, table 1, IT10 to IT12",
        "seen in a public table of bright bars; up to h11 reproduced by pressfit 0.1.0",
    ),
    (
        SHOULDERS, "ISO 7379:1983 (edition from memory), shoulder of class f9",
        "seen in two public data sheets: 5.990/5.960 at 6 mm, 7.987/7.951 at 8 mm",
    ),
)  # fmt: skip
PUBLISHED = [
    (f"{size:g} {name}", partial(shaft_deviations_um, size, name), bands[band], 0.0, source, confirmed)
    for limits, source, confirmed in TABLES
    for name, bands in limits.items()
    for size, band in SIZES.items()
]


def test_a_shaft_has_the_limits_that_the_standard_prints(published):
    assert published.ours() == pytest.approx(published.value, abs=published.tolerance)


@pytest.mark.parametrize("name", ["h6", "g6", "js6", "m6", "h11"])
def test_a_shaft_of_6_mm_is_of_the_lower_band_and_one_of_6_3_mm_of_the_upper(name):
    # The ranges of ISO 286-1:2010, table 1, are "over, up to and including".
    assert shaft_deviations_um(6.0, name) == shaft_deviations_um(5.0, name)
    assert shaft_deviations_um(6.3, name) == shaft_deviations_um(8.0, name)
    assert shaft_deviations_um(6.0, name) != shaft_deviations_um(6.3, name)


@pytest.mark.parametrize(
    ("grade", "units", "low", "high", "printed"),
    [
        # IT = units·i with i = 0.45·∛D + 0.001·D, D the geometric mean of the band (ISO 286-1:1988, 3.2).
        (7, 16, 6.0, 10.0, 15),  # 14.37
        (10, 64, 6.0, 10.0, 58),  # 57.48
        (12, 160, 6.0, 10.0, 150),  # 143.7
        (6, 10, 3.0, 6.0, 8),  # 7.33
        (11, 100, 3.0, 6.0, 75),  # 73.27
        (12, 160, 3.0, 6.0, 120),  # 117.2
    ],
)
def test_tolerances_are_those_of_the_table_where_the_formula_rounds_to_others(
    grade, units, low, high, printed
):
    size = sqrt(low * high)
    by_formula = units * (0.45 * cbrt(size) + 0.001 * size)
    assert round(by_formula) != printed
    lower, upper = shaft_deviations_um(high, f"h{grade}")
    assert upper - lower == printed
