"""Beams, sections and tightening torques against handbooks."""

import math
from functools import partial

import pytest

from service.engine.constants import BEARING_WIDTH_MM, DYNAMIC_FACTOR, GRAVITY
from service.engine.strength import (
    bending_moment_nmm,
    bending_reserve,
    material_of,
    preload_n,
    section_modulus_mm3,
)
from service.engine.threads import Thread, parse_thread

INCH = 25.4
POUND_FORCE = 4.4482216152605
"""NIST SP 811:2008, B.8 [N]."""
POUND_FORCE_INCH_NM = POUND_FORCE * INCH / 1e3


def twin_load_moment(load_n, lever_mm):
    """The moment under two equal loads, each this far from its support, by a rider and walls to match."""
    mass = 2.0 * load_n / (DYNAMIC_FACTOR * GRAVITY)
    room = 2.0 * (lever_mm - 6.0 / 2.0 - BEARING_WIDTH_MM / 2.0)
    return bending_moment_nmm(rider_mass_kg=mass, mean_wall_mm=6.0, hub_room_mm=room)


def stress(moment_nmm, *diameters_mm):
    """The stress that takes the whole of a yield strength of 1000 MPa divided by its reserve."""
    modulus = section_modulus_mm3(*diameters_mm)
    return 1000.0 / bending_reserve(moment_nmm, modulus_mm3=modulus, yield_mpa=1000.0)


def inch_modulus(outer_in, inner_in):
    """Section modulus [in³]."""
    return section_modulus_mm3(outer_in * INCH, inner_in * INCH) / INCH**3


def inch_clamp_load(diameter_in, torque_lbf_in):
    """Clamp load [lbf]; the pitch plays no part."""
    thread = Thread(major_mm=diameter_in * INCH, pitch_mm=1.0)
    return preload_n(thread, torque_nm=torque_lbf_in * POUND_FORCE_INCH_NM) / POUND_FORCE


def metric_clamp_load(designation, torque_lbf_in):
    """Clamp load [N] at a torque that is printed in inch units."""
    return preload_n(parse_thread(designation), torque_nm=torque_lbf_in * POUND_FORCE_INCH_NM)


# Outer and inner diameter [in]: section modulus as printed [in³].
PIPES = {
    (0.540, 0.364): "0.01227",
    (0.675, 0.493): "0.02160",
    (0.840, 0.622): "0.04070",
    (1.315, 1.049): "0.1328",
    (1.660, 1.380): "0.2346",
    (1.900, 1.610): "0.3262",
    (2.375, 2.067): "0.5607",
    (2.875, 2.469): "1.064",
    (3.500, 3.068): "1.724",
}
# Diameter [in], tensile stress area [in²]: torque for 69 ksi with K = 0.20, as printed [lbf·ft].
TORQUES_FT = {
    (0.2500, 0.0318): 9, (0.2500, 0.0364): 10, (0.3125, 0.0524): 19, (0.3750, 0.0775): 33,
    (0.4375, 0.1063): 53, (0.5000, 0.1419): 82, (0.5000, 0.1599): 92, (0.5625, 0.1820): 118,
    (0.6250, 0.2260): 162, (0.7500, 0.3340): 288, (0.7500, 0.3730): 322,
}  # fmt: skip
# Diameter [in]: clamp load [lbf] and torque with K = 0.20 [lbf·in], both as printed.
TORQUES_IN = {0.25: (2029, 101), 0.3125: (3342, 209)}
# Thread: torque for 75 % of the proof load of class 8.8 (580 MPa) with K = 0.20, as printed [lbf·in].
METRIC_TORQUES = {"M5": (54, 14.2), "M6": (92, 20.1), "M7": (156, 28.9), "M8": (225, 36.6)}


def unit_of_last_digit(printed):
    return 10.0 ** -len(printed.partition(".")[2])


BEAM = "Shigley's Mechanical Engineering Design, table A-9-9, twin loads: M = F·a (8th ed., from memory)"
ROUND = "Shigley's Mechanical Engineering Design, 8th ed., table A-18: Z = π(d⁴ − d_i⁴)/(32·d)"
AXLE_CASE = "recomputed: 350·12/Z; moment reproduced by sympy 1.14.0 Beam"
PUBLISHED = [
    (
        "two loads of 350 at 12 from supports 40 apart", partial(twin_load_moment, 350.0, 12.0), 4200.0, 1e-6,
        BEAM, "formula seen in a public handbook; reproduced by sympy 1.14.0 Beam",
    ),
    (
        "two loads of 500 at 26 from supports 55 apart", partial(twin_load_moment, 500.0, 26.0), 13000.0,
        1e-6, BEAM, "worked example seen in a public spreadsheet; reproduced by sympy 1.14.0 Beam",
    ),
    ("stress in 8 mm under 4200 N·mm", partial(stress, 4200.0, 8.0), 83.56, 0.005, ROUND, AXLE_CASE),
    ("stress in 8/5 mm under 4200 N·mm", partial(stress, 4200.0, 8.0, 5.0), 98.60, 0.005, ROUND, AXLE_CASE),
    ("stress in 8/6 mm under 4200 N·mm", partial(stress, 4200.0, 8.0, 6.0), 122.23, 0.005, ROUND, AXLE_CASE),
    ("stress in 6 mm under 4200 N·mm", partial(stress, 4200.0, 6.0), 198.06, 0.005, ROUND, AXLE_CASE),
    # Pipe tables round the moment of inertia before they divide it: a whole unit of the last digit.
    *(
        (
            f"section modulus of a pipe {outer}/{inner} in",
            partial(inch_modulus, outer, inner), float(printed), unit_of_last_digit(printed),
            "Machine Elements in Mechanical Design, 4th ed., table A16-6 (schedule 40 pipe of ASME B36.10)",
            "seen in two public copies of the table; recomputed: π(d⁴ − d_i⁴)/(32·d)",
        )
        for (outer, inner), printed in PIPES.items()
    ),
    (
        "clamp load of 3/4-16 at 3750 lbf·in", partial(inch_clamp_load, 0.75, 3750.0), 25000.0, 1e-6,
        "Shigley's Mechanical Engineering Design, 8th ed., example 8-3, T = K·F·d with K = 0.2",
        "inputs from memory; recomputed: 3750/(0.2·0.75) = 25 000",
    ),
    # The clamp load is 69 000 psi times the area; half a unit of the torque is half a foot-pound.
    *(
        (
            f"clamp load of {diameter} in, {area} in², at {torque} lbf·ft",
            partial(inch_clamp_load, diameter, 12.0 * torque), 69000.0 * area, 12.0 * 0.5 / (0.2 * diameter),
            "bolt torque chart of a safety manual, p. 13, grade 5 plain: T = K·D·P, K = 0.20, 69 ksi",
            "seen in two public copies of the chart; recomputed: 0.2·D·69000·A/12",
        )
        for (diameter, area), torque in TORQUES_FT.items()
    ),
    *(
        (
            f"clamp load of {diameter} in at {torque} lbf·in", partial(inch_clamp_load, diameter, torque),
            float(load), 0.5 / (0.2 * diameter),
            "torque-tension table for SAE J429 grade 5 (edition not stated), K = 0.20",
            "seen in a public table; recomputed: 0.2·D·P",
        )
        for diameter, (load, torque) in TORQUES_IN.items()
    ),
    # These torques are cut off, not rounded: a whole unit.
    *(
        (
            f"clamp load of {thread} at {torque} lbf·in", partial(metric_clamp_load, thread, torque),
            0.75 * 580.0 * area, POUND_FORCE_INCH_NM * 1e3 / (0.2 * float(thread[1:])),
            "metric bolt torque table, class 8.8 dry, 75 % of ISO 898-1 proof load (edition not stated)",
            "seen in a public table; recomputed: 0.2·d·0.75·580·A",
        )
        for thread, (torque, area) in METRIC_TORQUES.items()
    ),
]  # fmt: skip


def test_a_beam_a_section_and_a_torque_are_as_the_handbook_prints(published):
    assert published.ours() == pytest.approx(published.value, abs=published.tolerance)


@pytest.mark.parametrize(
    ("diameter", "modulus", "reserve"),
    [
        # F = 3·100 kg·9.80665 = 2941.995 N; a = 6/2 + (24.5 − 24)/2 + 7/2 = 6.75 mm; M = F/2·a = 9929.23.
        (6.0, 21.2058, 1.37),  # π·6³/32 = 21.2058; σ = 468.23; 640/468.23 = 1.3669
        (8.0, 50.2655, 3.24),  # π·8³/32 = 50.2655; σ = 197.54; 640/197.54 = 3.2399
    ],
)
def test_a_rider_of_100_kg_leaves_an_8_8_shaft_the_reserve_that_the_arithmetic_gives(
    diameter, modulus, reserve
):
    moment = bending_moment_nmm(rider_mass_kg=100.0, mean_wall_mm=6.0, hub_room_mm=24.5 - 24.0)
    assert moment == pytest.approx(9929.23, abs=0.005)
    assert section_modulus_mm3(diameter) == pytest.approx(modulus, abs=0.00005)
    found = bending_reserve(
        moment, modulus_mm3=section_modulus_mm3(diameter), yield_mpa=material_of("steel_8_8").yield_mpa
    )
    assert found == pytest.approx(reserve, abs=0.005)


def test_the_bending_stress_in_a_solid_shaft_falls_with_the_cube_of_its_diameter():
    # σ = 32·M/(π·d³): Shigley's Mechanical Engineering Design, 8th ed., 3-10.
    assert stress(4200.0, 8.0) == pytest.approx(32.0 * 4200.0 / (math.pi * 8.0**3))
