"""Strengths of materials, and the loads that screws are tested with, against standards and handbooks."""

from functools import partial

import pytest

from service.engine.constants import GRAVITY
from service.engine.strength import material_of
from service.engine.threads import parse_thread, stress_area_mm2

KSI = 6.894757293
"""One thousand pounds per square inch [MPa], NIST SP 811:2008, B.8."""


def strengths(code):
    material = material_of(code)
    return material.tensile_mpa, material.yield_mpa


def shear_strength(code):
    return material_of(code).shear_mpa


def ultimate_load(designation, code):
    """Stress area times tensile strength [N]."""
    return stress_area_mm2(parse_thread(designation)) * material_of(code).tensile_mpa


def proof_load(designation, proof_mpa):
    """Stress area times the stress under proof load [N]."""
    return stress_area_mm2(parse_thread(designation)) * proof_mpa


# Class: thread: least ultimate tensile load as printed [N].
ULTIMATE_LOADS = {
    "steel_4_6": {
        "M3": "2010", "M4": "3510", "M5": "5680", "M6": "8040", "M7": "11600", "M8": "14600",
        "M10": "23200", "M12": "33700",
    },
    "steel_8_8": {
        "M3": "4020", "M4": "7020", "M5": "11350", "M6": "16100", "M7": "23100", "M8": "29200",
        "M10": "46400", "M12": "67400",
    },
    "steel_10_9": {
        "M3": "5230", "M4": "9130", "M5": "14800", "M6": "20900", "M7": "30100", "M8": "38100",
        "M10": "60300", "M12": "87700",
    },
    "steel_12_9": {
        "M3": "6140", "M4": "10700", "M5": "17300", "M6": "24500", "M7": "35300", "M8": "44600",
        "M10": "70800", "M12": "103000",
    },
}  # fmt: skip
# Stress under proof load [MPa]: thread: proof load as printed [N].
PROOF_LOADS = {
    580.0: {
        "M3": "2920",
        "M4": "5100",
        "M5": "8230",
        "M6": "11600",
        "M8": "21200",
        "M10": "33700",
        "M12": "48900",
    },
    830.0: {
        "M3": "4180",
        "M4": "7290",
        "M5": "11800",
        "M6": "16700",
        "M8": "30400",
        "M10": "48100",
        "M12": "70000",
    },
    970.0: {
        "M3": "4880",
        "M4": "8520",
        "M5": "13800",
        "M6": "19500",
        "M8": "35500",
        "M10": "56300",
        "M12": "81800",
    },
}


def unit_of_last_digit(printed):
    """A whole unit: the standard multiplies the rounded area, and rounds the load down as often as up."""
    return 10.0 ** (len(printed) - len(printed.rstrip("0")))


CLASSES = "ISO 898-1:2013, table 3, d ≤ 16 mm"
SEEN_TWICE = "seen in two public copies of the tables"
ALUMINIUM = "Aluminum Standards and Data 2000, typical mechanical properties (edition from memory)"
PUBLISHED = [
    ("class 4.6", partial(strengths, "steel_4_6"), (400.0, 240.0), 0.0, CLASSES, SEEN_TWICE),
    ("class 8.8", partial(strengths, "steel_8_8"), (800.0, 640.0), 0.0, CLASSES, SEEN_TWICE),
    ("class 10.9", partial(strengths, "steel_10_9"), (1040.0, 940.0), 0.0, CLASSES, SEEN_TWICE),
    ("class 12.9", partial(strengths, "steel_12_9"), (1220.0, 1100.0), 0.0, CLASSES, SEEN_TWICE),
    (
        "stainless A2-70", partial(strengths, "stainless_a2_70"), (700.0, 450.0), 0.0,
        "ISO 3506-1:2009, table 2", "seen in a public summary of the standard",
    ),
    (
        "shear of a steel of 800 MPa", partial(shear_strength, "steel_8_8"), 0.6 * 800.0, 1e-9,
        "ISO/TR 16224:2012, shear strength of steels 0.6·Rm (clause from memory)",
        "seen in the code of screw-thread-lib 0.0.6 and in a public worked example",
    ),
    # Handbooks of aluminium and titanium print whole ksi; half a ksi is 3.4 MPa.
    (
        "6061-T6", partial(strengths, "aluminium_6061_t6"), (45 * KSI, 40 * KSI), 0.5 * KSI,
        ALUMINIUM, "seen in three public property tables",
    ),
    (
        "shear of 6061-T6", partial(shear_strength, "aluminium_6061_t6"), 30 * KSI, 0.5 * KSI,
        ALUMINIUM, "seen in three public property tables",
    ),
    (
        "7075-T6", partial(strengths, "aluminium_7075_t6"), (83 * KSI, 73 * KSI), 0.5 * KSI,
        ALUMINIUM, "seen in a public property table",
    ),
    (
        "shear of 7075-T6", partial(shear_strength, "aluminium_7075_t6"), 48 * KSI, 0.5 * KSI,
        ALUMINIUM, "seen in a public property table",
    ),
    (
        "Ti-6Al-4V annealed, least", partial(strengths, "titanium_6al_4v"), (130 * KSI, 120 * KSI), 0.5 * KSI,
        "SAE AMS 4928 (revision R from memory), least tensile and yield strength",
        "seen in two public summaries: 130 and 120 ksi",
    ),
    (
        "acceleration of gravity", lambda: GRAVITY, 9.80665, 0.0,
        "3rd CGPM, 1901, declaration on the unit of mass; SI Brochure, 9th ed.",
        "reproduced by scipy 1.17.1 constants.g",
    ),
    *(
        (
            f"{thread} of {code}, ultimate load", partial(ultimate_load, thread, code), float(printed),
            unit_of_last_digit(printed), "ISO 898-1:2013, table 4, coarse threads", SEEN_TWICE,
        )
        for code, loads in ULTIMATE_LOADS.items()
        for thread, printed in loads.items()
    ),
    *(
        (
            f"{thread} at {proof:g} MPa, proof load", partial(proof_load, thread, proof), float(printed),
            unit_of_last_digit(printed), "ISO 898-1:2013, table 5, coarse threads", SEEN_TWICE,
        )
        for proof, loads in PROOF_LOADS.items()
        for thread, printed in loads.items()
    ),
]  # fmt: skip


def test_a_material_and_a_screw_of_it_are_as_strong_as_printed(published):
    assert published.ours() == pytest.approx(published.value, abs=published.tolerance)


def test_a_part_of_unknown_material_is_as_weak_as_the_weakest_of_the_steels():
    weakest = min(
        (material_of(f"steel_{c}") for c in ("4_6", "8_8", "10_9", "12_9")), key=lambda m: m.yield_mpa
    )
    assert material_of(None) == weakest
