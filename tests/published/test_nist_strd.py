"""Mean and standard deviation of readings against NIST's Statistical Reference Datasets (univariate).

Certified values are given to 15 digits. The data are transcribed; a test shows in exact fractions that
they have the certified values, so that no digit of theirs is wrong. PiDigits is left out: its certified
mean is not that of the first 5000 digits of π (4.5348, not 4.5358): its data cannot be made by its rule.
"""

import math
from decimal import Decimal, localcontext
from fractions import Fraction
from functools import partial

import pytest

from service.engine.measurement import quantity_from_readings


def values_of(text):
    """The values of a data set, as they are printed."""
    return text.split()


MAVRO = values_of(
    """
    2.00180 2.00170 2.00180 2.00190 2.00180 2.00170 2.00150 2.00140 2.00150 2.00150 2.00170 2.00180
    2.00180 2.00190 2.00190 2.00210 2.00200 2.00160 2.00140 2.00130 2.00130 2.00150 2.00150 2.00160
    2.00150 2.00140 2.00130 2.00140 2.00150 2.00140 2.00150 2.00160 2.00150 2.00160 2.00190 2.00200
    2.00200 2.00210 2.00220 2.00230 2.00240 2.00250 2.00270 2.00260 2.00260 2.00260 2.00270 2.00260
    2.00250 2.00240
    """
)
MICHELSO = values_of(
    """
    299.85 299.74 299.90 300.07 299.93 299.85 299.95 299.98 299.98 299.88 300.00 299.98 299.93 299.65
    299.76 299.81 300.00 300.00 299.96 299.96 299.96 299.94 299.96 299.94 299.88 299.80 299.85 299.88
    299.90 299.84 299.83 299.79 299.81 299.88 299.88 299.83 299.80 299.79 299.76 299.80 299.88 299.88
    299.88 299.86 299.72 299.72 299.62 299.86 299.97 299.95 299.88 299.91 299.85 299.87 299.84 299.84
    299.85 299.84 299.84 299.84 299.89 299.81 299.81 299.82 299.80 299.77 299.76 299.74 299.75 299.76
    299.91 299.92 299.89 299.86 299.88 299.72 299.84 299.85 299.85 299.78 299.89 299.84 299.78 299.81
    299.76 299.81 299.79 299.81 299.82 299.85 299.87 299.87 299.81 299.74 299.81 299.94 299.95 299.80
    299.81 299.87
    """
)
LEW = values_of(
    """
    -213 -564 -35 -15 141 115 -420 -360 203 -338 -431 194 -220 -513 154 -125 -559 92 -21 -579 -52 99
    -543 -175 162 -457 -346 204 -300 -474 164 -107 -572 -8 83 -541 -224 180 -420 -374 201 -236 -531 83
    27 -564 -112 131 -507 -254 199 -311 -495 143 -46 -579 -90 136 -472 -338 202 -287 -477 169 -124 -568
    17 48 -568 -135 162 -430 -422 172 -74 -577 -13 92 -534 -243 194 -355 -465 156 -81 -578 -64 139 -449
    -384 193 -198 -538 110 -44 -577 -6 66 -552 -164 161 -460 -344 205 -281 -504 134 -28 -576 -118 156
    -437 -381 200 -220 -540 83 11 -568 -160 172 -414 -408 188 -125 -572 -32 139 -492 -321 205 -262 -504
    142 -83 -574 0 48 -571 -106 137 -501 -266 190 -391 -406 194 -186 -553 83 -13 -577 -49 103 -515 -280
    201 300 -506 131 -45 -578 -80 138 -462 -361 201 -211 -554 32 74 -533 -235 187 -372 -442 182 -147
    -566 25 68 -535 -244 194 -351 -463 174 -125 -570 15 72 -550 -190 172 -424 -385 198 -218 -536 96
    """
)
LOTTERY = values_of(
    """
    162 671 933 414 788 730 817 33 536 875 670 236 473 167 877 980 316 950 456 92 517 557 956 954 104
    178 794 278 147 773 437 435 502 610 582 780 689 562 964 791 28 97 848 281 858 538 660 972 671 613
    867 448 738 966 139 636 847 659 754 243 122 455 195 968 793 59 730 361 574 522 97 762 431 158 429
    414 22 629 788 999 187 215 810 782 47 34 108 986 25 644 829 630 315 567 919 331 207 412 242 607 668
    944 749 168 864 442 533 805 372 63 458 777 416 340 436 140 919 350 510 572 905 900 85 389 473 758
    444 169 625 692 140 897 672 288 312 860 724 226 884 508 976 741 476 417 831 15 318 432 241 114 799
    955 833 358 935 146 630 830 440 642 356 373 271 715 367 393 190 669 8 861 108 795 269 590 326 866 64
    523 862 840 219 382 998 4 628 305 747 247 34 747 729 645 856 974 24 568 24 694 608 480 410 729 947
    293 53 930 223 203 677 227 62 455 387 318 562 242 428 968
    """
)


NUM_ACC_1 = ["10000001", "10000003", "10000002"]
NUM_ACC_2 = ["1.2", *["1.1", "1.3"] * 500]
NUM_ACC_3 = ["1000000.2", *["1000000.1", "1000000.3"] * 500]
NUM_ACC_4 = ["10000000.2", *["10000000.1", "10000000.3"] * 500]


def mean_of(data):
    return quantity_from_readings([float(x) for x in data], half_width_mm=0.0).value_mm


def deviation_of(data):
    """The sample standard deviation, from the uncertainty of the mean by the readings' path."""
    mean = quantity_from_readings([float(x) for x in data], half_width_mm=0.0)
    return mean.standard_uncertainty_mm * math.sqrt(len(data))


TRANSCRIBED = "data and values seen in several public test suites; recomputed in exact fractions"
BY_RULE = (
    "data by the published rule; values seen in several public test suites; recomputed in exact fractions"
)
# Name: data, certified mean, certified standard deviation, relative tolerance of the latter, confirmation.
# NumAcc3 and 4 are read as the nearest binary fractions: at 10⁶ they are off by up to 5.8e-11, at 10⁷ by
# up to 9.3e-10, of a deviation of 0.1. No arithmetic on them can come nearer.
SETS = {
    "Mavro": (MAVRO, 2.00185600000000, 0.000429123454003053, 1e-12, TRANSCRIBED),
    "Michelso": (MICHELSO, 299.852400000000, 0.0790105478190518, 1e-12, TRANSCRIBED),
    "Lew": (LEW, -177.435000000000, 277.332168044316, 1e-12, TRANSCRIBED),
    "Lottery": (LOTTERY, 518.958715596330, 291.699727470969, 1e-12, TRANSCRIBED),
    "NumAcc1": (NUM_ACC_1, 10000002.0, 1.0, 1e-12, BY_RULE),
    "NumAcc2": (NUM_ACC_2, 1.2, 0.1, 1e-12, BY_RULE),
    "NumAcc3": (NUM_ACC_3, 1000000.2, 0.1, 6e-10, BY_RULE),
    "NumAcc4": (NUM_ACC_4, 10000000.2, 0.1, 1e-8, BY_RULE),
}
SOURCE = "NIST StRD, univariate summary statistics, 1999, data set {}"
PUBLISHED = [
    row
    for name, (data, mean, deviation, relative, confirmed) in SETS.items()
    for row in (
        (f"mean of {name}", partial(mean_of, data), mean, abs(mean) * 1e-12, SOURCE.format(name), confirmed),
        (
            f"standard deviation of {name}", partial(deviation_of, data), deviation, deviation * relative,
            SOURCE.format(name), confirmed,
        ),
    )
]  # fmt: skip


def test_readings_have_the_certified_mean_and_deviation(published):
    assert published.ours() == pytest.approx(published.value, abs=published.tolerance)


def in_fractions(data):
    """Mean and standard deviation without any rounding but that of the last root."""
    values = [Fraction(x) for x in data]
    mean = sum(values) / len(values)
    variance = sum((x - mean) ** 2 for x in values) / (len(values) - 1)
    with localcontext(prec=40):
        return float(mean), float((Decimal(variance.numerator) / Decimal(variance.denominator)).sqrt())


@pytest.mark.parametrize("name", SETS)
def test_the_data_as_transcribed_have_the_certified_values_in_exact_fractions(name):
    data, mean, deviation, *_ = SETS[name]
    assert in_fractions(data) == (pytest.approx(mean, rel=1e-14), pytest.approx(deviation, rel=1e-14))


@pytest.mark.parametrize("name", ["NumAcc1", "NumAcc2", "NumAcc3", "NumAcc4"])
def test_a_tiny_spread_of_large_readings_is_not_lost_to_cancellation(name):
    # The same binary fractions that our arithmetic gets, taken as exact: it adds no error of its own.
    data = SETS[name][0]
    mean, deviation = in_fractions([float(x) for x in data])
    assert mean_of(data) == mean
    assert deviation_of(data) == pytest.approx(deviation, rel=1e-14)


def test_five_large_readings_a_tenth_apart_have_a_deviation_of_a_tenth():
    # NumAcc3's rule over five values: deviations 0, −0.1, 0.1, −0.1, 0.1; √(4·0.01/4) = 0.1.
    # Read as binary fractions they are off by up to 5.8e-11, that is 6e-10 of 0.1.
    assert deviation_of(NUM_ACC_3[:5]) == pytest.approx(0.1, rel=6e-10)
    # The same over integers is exact: 10⁷ + 2, ± 1 twice: √(4/4) = 1.
    assert deviation_of(["10000002", *["10000001", "10000003"] * 2]) == pytest.approx(1.0, rel=1e-14)
