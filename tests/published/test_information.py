"""Entropies against the examples of information theory, and the normal distribution against its table."""

import math
from functools import partial

import pytest

from service.engine.probability import normal_cdf
from service.engine.questions import entropy_bits

BOOK = "Elements of Information Theory, 2nd ed., 2006, {}"
PAPER = "A Mathematical Theory of Communication, 1948, {}"
TABLE = "standard normal table, 4 digits, revision of 2007"
TAILS = "standard normal table of lower tails, 5 digits, areas to −4.09"

PUBLISHED = [
    (
        "horse race of eight", partial(entropy_bits, [32, 16, 8, 4, 1, 1, 1, 1]), 2.0, 1e-12,
        BOOK.format("example 1.1.2"),
        "weights from memory; race seen in public notes; recomputed: 1/2 + 2/4 + 3/8 + 4/16 + 4·6/64 = 2",
    ),
    (
        "32 equal outcomes", partial(entropy_bits, [1.0] * 32), 5.0, 1e-12,
        BOOK.format("example 1.1.1"), "seen in public lecture notes; recomputed: log2 32",
    ),
    (
        "four letters of 1/2, 1/4, 1/8, 1/8", partial(entropy_bits, [4, 2, 1, 1]), 1.75, 1e-12,
        PAPER.format("part I, 7"), "from memory; recomputed: 1/2 + 2/4 + 2·3/8 = 7/4",
    ),
    (
        "choice of 1/2, 1/3, 1/6", partial(entropy_bits, [3, 2, 1]),
        1.0 + 0.5 * (math.log2(3) - 2 / 3), 1e-12,
        PAPER.format("part I, 6: H(1/2, 1/3, 1/6) = H(1/2, 1/2) + 1/2·H(2/3, 1/3)"),
        "from memory; recomputed: H(2/3, 1/3) = log2 3 − 2/3",
    ),
    (
        "a fair coin", partial(entropy_bits, [0.5, 0.5]), 1.0, 1e-12,
        PAPER.format("part I, 6, figure 7"), "recomputed: log2 2; reproduced by scipy 1.17.1 stats.entropy",
    ),
    *(
        (f"Φ({z})", partial(normal_cdf, z), printed, 0.00005, TABLE, "seen in a public table")
        for z, printed in [
            (0.0, 0.5000), (0.43, 0.6664), (0.67, 0.7486), (0.84, 0.7995), (1.0, 0.8413), (1.28, 0.8997),
            (1.40, 0.9192), (1.50, 0.9332), (1.59, 0.9441), (1.62, 0.9474),
        ]
    ),
    *(
        (f"Φ({z})", partial(normal_cdf, z), printed, 0.000005, TAILS, "seen in a public table")
        for z, printed in [
            (-4.0, 0.00003), (-3.7, 0.00011), (-3.5, 0.00023), (-3.09, 0.00100), (-3.0, 0.00135),
            (-2.58, 0.00494), (-2.5, 0.00621), (-2.33, 0.00990),
        ]
    ),
]  # fmt: skip


def test_an_entropy_and_a_normal_probability_are_as_printed(published):
    assert published.ours() == pytest.approx(published.value, abs=published.tolerance)
