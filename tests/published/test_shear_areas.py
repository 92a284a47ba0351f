"""Thread shear areas and what strips them, against the published table of engaged lengths."""

import math
from functools import partial

import pytest

from service.engine.strength import strip_force_n_per_mm, strip_length_mm, strip_torque_nm
from service.engine.threads import parse_thread, shear_areas_mm2_per_mm

# Areas over an engaged length of one diameter: internal, external [mm²].
OVER_ONE_DIAMETER = {
    "M5": (49.994, 35.366),
    "M6": (73.145, 51.875),
    "M8": (134.63, 97.290),
    "M10": (214.77, 155.80),
}
TABLE = (
    "Introduction to the Design and Behavior of Bolted Joints, 4th ed., thread shear areas, Le = 1·d, 6g/6H"
)
SEEN = "seen in a public copy of the table; reproduced by screw-thread-lib 0.0.6, formulas (2a) and (4a)"
ROUNDED = 1e-3
"""Relative; the table was computed from limits that were rounded to 3 digits, and agrees to 0.06 %."""


def areas_over(designation, engaged_mm):
    internal, external = shear_areas_mm2_per_mm(parse_thread(designation))
    return internal * engaged_mm, external * engaged_mm


def strip_force(designation, *, external_mpa, internal_mpa):
    return strip_force_n_per_mm(
        parse_thread(designation), external_shear_mpa=external_mpa, internal_shear_mpa=internal_mpa
    )


PUBLISHED = [
    *(
        row
        for thread, (internal, external) in OVER_ONE_DIAMETER.items()
        for row in (
            (
                f"{thread} internal shear area over one diameter",
                lambda t=thread: areas_over(t, float(t[1:]))[0], internal, internal * ROUNDED, TABLE, SEEN,
            ),
            (
                f"{thread} external shear area over one diameter",
                lambda t=thread: areas_over(t, float(t[1:]))[1], external, external * ROUNDED, TABLE, SEEN,
            ),
        )
    ),
    (
        "M8x1.25 shear areas per mm", partial(areas_over, "M8", 1.0), (16.83, 12.16), 0.012,
        "FED-STD-H28/2B:1991, II.B.1, formulas (2a) and (4a), with ISO 965-2 limits",
        "recomputed by hand below; reproduced by screw-thread-lib 0.0.6",
    ),
    # The wall of 6061-T6 has 207 MPa (30 ksi), that of 7075-T6 331 MPa (48 ksi); the steel does not strip.
    (
        "M8x1.25 strips a 6061-T6 wall at, per mm",
        partial(strip_force, "M8", external_mpa=732.0, internal_mpa=207.0),
        134.63 / 8 * 207.0, 3.5, f"{TABLE}; shear strength: Aluminum Standards and Data 2000, typical 30 ksi",
        "recomputed from the published area: 16.829 mm²/mm · 207 MPa = 3484 N/mm",
    ),
    (
        "M6x1 strips a 6061-T6 wall at, per mm",
        partial(strip_force, "M6", external_mpa=732.0, internal_mpa=207.0),
        73.145 / 6 * 207.0, 2.5, f"{TABLE}; shear strength: Aluminum Standards and Data 2000, typical 30 ksi",
        "recomputed from the published area: 12.191 mm²/mm · 207 MPa = 2523 N/mm",
    ),
    (
        "M8x1.25 strips a 7075-T6 wall at, per mm",
        partial(strip_force, "M8", external_mpa=732.0, internal_mpa=331.0),
        134.63 / 8 * 331.0, 5.6, f"{TABLE}; shear strength: Aluminum Standards and Data 2000, typical 48 ksi",
        "recomputed from the published area: 16.829 mm²/mm · 331 MPa = 5570 N/mm",
    ),
]  # fmt: skip


def test_a_thread_shears_over_the_area_that_the_table_prints(published):
    assert published.ours() == pytest.approx(published.value, abs=published.tolerance)


def test_the_shear_areas_of_m8_follow_from_its_printed_limits_by_the_printed_formulas():
    # FED-STD-H28/2B:1991, II.B.1; limits of ISO 965-2: d min 7.760, d2 min 7.042, D2 max 7.348, D1 max 6.912.
    # Internal (2a): π/1.25·7.760·(0.625 + (7.760 − 7.348)/√3) = 19.5030·0.862868 = 16.8285
    # External (4a): π/1.25·6.912·(0.625 + (7.042 − 6.912)/√3) = 17.3717·0.700056 = 12.1611
    internal, external = shear_areas_mm2_per_mm(parse_thread("M8x1.25"))
    assert internal == pytest.approx(math.pi / 1.25 * 7.760 * (0.625 + 0.412 / math.sqrt(3)), rel=ROUNDED)
    assert internal == pytest.approx(16.8285, rel=ROUNDED)
    assert external == pytest.approx(math.pi / 1.25 * 6.912 * (0.625 + 0.130 / math.sqrt(3)), rel=ROUNDED)
    assert external == pytest.approx(12.1611, rel=ROUNDED)


def test_the_strip_length_of_m8_in_6061_follows_from_the_published_area():
    # F = 4 N·m/(0.2·8 mm) = 2500 N; 2·F = 5000 N; 134.63/8·207 = 3483.6 N/mm; 5000/3483.6 = 1.4353 mm.
    length = strip_length_mm(parse_thread("M8"), "steel_8_8", "aluminium_6061_t6")
    assert length == pytest.approx(1.4353, rel=ROUNDED)


def test_the_strip_torque_of_m8_over_one_diameter_of_6061_follows_from_the_published_area():
    # 134.63 mm²·207 MPa = 27868 N; T = 0.2·27868 N·8 mm = 44.59 N·m.
    torque = strip_torque_nm(parse_thread("M8"), "steel_12_9", "aluminium_6061_t6", 8.0)
    assert torque == pytest.approx(44.59, rel=ROUNDED)
