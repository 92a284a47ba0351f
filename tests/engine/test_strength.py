"""Strip forces, preloads, bending moments and section moduli, each with its arithmetic.

M8x1.25 shears over 16.83 (internal) and 12.16 mm² (external) for each mm, M6x1 over 12.19 and 8.647
(FED-STD-H28/2B, II.B.1, with ISO 965-2 limits of 6H/6g).
"""

import math

import pytest

from service.engine.strength import (
    bending_moment_nmm,
    bending_reserve,
    material_of,
    preload_n,
    section_modulus_mm3,
    strip_force_n_per_mm,
    strip_length_mm,
    strip_torque_nm,
)
from service.engine.threads import parse_thread

M6, M8 = parse_thread("M6x1"), parse_thread("M8x1.25")

# --- materials -----------------------------------------------------------------------------------


def test_a_part_of_unknown_material_counts_as_steel_4_6():
    assert material_of(None) == material_of("steel_4_6")


@pytest.mark.parametrize("code", ["steel_4_6", "steel_8_8", "steel_10_9", "steel_12_9", "stainless_a2_70"])
def test_a_steel_shears_at_six_tenths_of_its_tensile_strength(code):
    # 0.6: rule for steels.
    material = material_of(code)
    assert material.shear_mpa == pytest.approx(0.6 * material.tensile_mpa)


@pytest.mark.parametrize(("code", "shear"), [("aluminium_6061_t6", 207), ("aluminium_7075_t6", 331)])
def test_aluminium_shears_at_what_the_handbook_says(code, shear):
    assert material_of(code).shear_mpa == shear


# --- preload and stripping -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("designation", "preload"),
    [("M8x1.25", 2500.0), ("M8x1", 2500.0), ("M6x1", 3333.33), ("M5x0.8", 4000.0), ("M4x0.7", 5000.0)],
)
def test_four_newton_metres_put_a_force_into_the_thread_that_falls_with_its_diameter(designation, preload):
    # 4 N·m/(0.2·d) (T = K·F·d, Shigley 8-8; the torque: common practice, no source).
    assert preload_n(parse_thread(designation)) == pytest.approx(preload, abs=0.01)


def test_another_torque_puts_another_force_into_the_thread():
    assert preload_n(M8, torque_nm=10.0) == pytest.approx(6250.0)  # 10 000/(0.2·8)


@pytest.mark.parametrize(
    ("external", "internal", "force"),
    [
        (480.0, 207.0, 16.8274 * 207.0),  # steel 8.8 in 6061: the wall strips, 3483 < 5839
        (480.0, 331.0, 16.8274 * 331.0),  # steel 8.8 in 7075: the wall strips, 5570 < 5839
        (480.0, 480.0, 12.1636 * 480.0),  # alike: the screw strips, since it shears over less
        (207.0, 480.0, 12.1636 * 207.0),  # a soft screw in steel
        (207.0, 207.0, 12.1636 * 207.0),
    ],
)
def test_the_weaker_of_two_mating_threads_strips(external, internal, force):
    found = strip_force_n_per_mm(M8, external_shear_mpa=external, internal_shear_mpa=internal)
    assert found == pytest.approx(force, rel=1e-3)


@pytest.mark.parametrize(
    ("thread", "external", "internal", "length"),
    [
        (M8, "steel_8_8", "aluminium_6061_t6", 1.435),  # 2·2500/(16.83·207)
        (M8, "aluminium_6061_t6", "aluminium_6061_t6", 1.986),  # 2·2500/(12.16·207)
        (M8, None, "steel_4_6", 1.713),  # 2·2500/(12.16·240)
        (M6, "steel_8_8", "aluminium_6061_t6", 2.643),  # 2·3333/(12.19·207)
        (M6, "aluminium_6061_t6", "aluminium_6061_t6", 3.724),  # 2·3333/(8.647·207)
        (M6, "steel_12_9", "steel_12_9", 1.053),  # 2·3333/(8.647·732)
    ],
)
def test_the_strip_length_is_where_the_weaker_thread_strips_at_twice_the_preload(
    thread, external, internal, length
):
    assert strip_length_mm(thread, external, internal) == pytest.approx(length, rel=1e-3)


def test_a_thread_of_unknown_material_needs_as_much_as_one_of_steel_4_6():
    assert strip_length_mm(M8, None, None) == strip_length_mm(M8, "steel_4_6", "steel_4_6")


@pytest.mark.parametrize(
    ("engaged", "torque"),
    [
        (0.0, 0.0),
        (1.0, 5.573),  # 0.2·8·3483 N·mm
        (4.35, 24.24),
        (8.0, 44.59),
    ],
)
def test_a_thread_strips_at_a_torque_that_grows_with_its_engagement(engaged, torque):
    found = strip_torque_nm(M8, "steel_8_8", "aluminium_6061_t6", engaged)
    assert found == pytest.approx(torque, rel=1e-3)


# --- bending -------------------------------------------------------------------------------------


def test_a_rider_of_100_kg_bends_an_axle_between_walls_of_6_mm_with_9_93_newton_metres():
    # F = 3·100·9.80665 = 2941.995 N; a = 6/2 + 0.5/2 + 7/2 = 6.75 mm; M = 2941.995/2·6.75.
    moment = bending_moment_nmm(rider_mass_kg=100.0, mean_wall_mm=6.0, hub_room_mm=0.5)
    assert moment == pytest.approx(9929.233, abs=0.001)


@pytest.mark.parametrize(
    ("mass", "wall", "room", "lever"),
    [
        (100.0, 6.0, 0.0, 6.5),
        (100.0, 6.0, 1.0, 7.0),
        (100.0, 4.0, 0.5, 5.75),
        (35.0, 6.0, 0.5, 6.75),
        (100.0, 6.0, -0.1, 6.5),  # a wheel that is wider than the room for it bends no less
    ],
)
def test_the_moment_is_half_the_load_times_the_lever(mass, wall, room, lever):
    moment = bending_moment_nmm(rider_mass_kg=mass, mean_wall_mm=wall, hub_room_mm=room)
    assert moment == pytest.approx(3.0 * mass * 9.80665 / 2.0 * lever)


@pytest.mark.parametrize(
    ("outer", "inner", "modulus"),
    [
        (8.0, 0.0, 50.2655),  # π·512/32
        (6.3, 0.0, 24.5483),  # π·250.047/32
        (6.0, 0.0, 21.2058),  # π·216/32
        (8.0, 5.0, 42.5956),  # π·(4096 − 625)/256
        (8.0, 6.0, 34.3612),  # π·(4096 − 1296)/256
    ],
)
def test_a_hollow_shaft_has_less_section_modulus_than_a_solid_one(outer, inner, modulus):
    assert section_modulus_mm3(outer, inner) == pytest.approx(modulus, abs=0.00005)


@pytest.mark.parametrize("inner", [8.0, 8.001, 12.0])
def test_a_shaft_without_a_wall_has_no_section_modulus(inner):
    with pytest.raises(ValueError, match="needs a wall"):
        section_modulus_mm3(8.0, inner)


def test_a_shaft_with_hardly_a_wall_has_hardly_a_section_modulus():
    # For a thin wall Z is about π·d²·t/4 = π·64·0.0005/4.
    assert section_modulus_mm3(8.0, 7.999) == pytest.approx(math.pi * 64 * 0.0005 / 4, rel=0.001)


@pytest.mark.parametrize(("moment", "reserve"), [(320.0, 2.0), (640.0, 1.0), (1280.0, 0.5), (6400.0, 0.1)])
def test_the_reserve_is_how_often_the_moment_can_be_taken_before_the_shaft_yields(moment, reserve):
    # σ = M/Z with Z = 1 mm³, so that σ in MPa is M in N·mm; 640 MPa yields.
    assert bending_reserve(moment, modulus_mm3=1.0, yield_mpa=640.0) == pytest.approx(reserve)
