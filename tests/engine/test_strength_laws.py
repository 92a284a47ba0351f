"""Laws of strength, tolerances and questions that hold whatever the part, the frame and the rider."""

import math
from dataclasses import replace
from functools import partial

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from service.engine.checks import bending
from service.engine.checks.case import Case
from service.engine.codes import Fastening, Holes
from service.engine.constants import MATERIALS_MPA, PITCHES_MM, UNKNOWN_MATERIAL
from service.engine.frame import Frame
from service.engine.measurement import Quantity, reconcile_widths
from service.engine.parts import Axle, CatalogueFacts
from service.engine.probability import nominal_bore
from service.engine.questions import Hypothesis, entropy_bits, expected_bits
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
from service.engine.threads import Thread, shear_areas_mm2_per_mm, thread_dimensions
from service.engine.tolerances import bearing_clearance_um, shaft_deviations_um
from service.engine.windows import WidthWindow

THREADS = st.sampled_from(
    [Thread(major_mm=d, pitch_mm=p) for d, pitches in PITCHES_MM.items() for p in pitches]
)
MATERIALS = st.sampled_from([*MATERIALS_MPA, None])
STRENGTHS = st.floats(50.0, 2000.0)
MASSES = st.floats(10.0, 250.0)
WALLS = st.floats(1.0, 12.0)
ROOMS = st.floats(0.0, 5.0)
FACTORS = st.floats(0.01, 100.0)
SIZES = st.floats(3.0, 10.0, exclude_min=True)
CLASSES = st.tuples(
    st.sampled_from(["c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s"]), st.integers(5, 12)
)

# --- strength ------------------------------------------------------------------------------------


@given(mass=MASSES, wall=WALLS, room=ROOMS, outer=st.floats(4.0, 12.0), yields=STRENGTHS, factor=FACTORS)
def test_scaling_load_and_yield_together_leaves_the_reserve(mass, wall, room, outer, yields, factor):
    moment = partial(bending_moment_nmm, mean_wall_mm=wall, hub_room_mm=room)
    modulus = section_modulus_mm3(outer)
    once = bending_reserve(moment(rider_mass_kg=mass), modulus_mm3=modulus, yield_mpa=yields)
    scaled = bending_reserve(
        moment(rider_mass_kg=mass * factor), modulus_mm3=modulus, yield_mpa=yields * factor
    )
    assert scaled == pytest.approx(once)


@given(mass=MASSES, wall=WALLS, room=ROOMS, more=st.floats(0.0, 50.0))
def test_a_heavier_rider_thicker_walls_and_more_room_never_bend_less(mass, wall, room, more):
    moment = bending_moment_nmm(rider_mass_kg=mass, mean_wall_mm=wall, hub_room_mm=room)
    assert bending_moment_nmm(rider_mass_kg=mass + more, mean_wall_mm=wall, hub_room_mm=room) >= moment
    assert bending_moment_nmm(rider_mass_kg=mass, mean_wall_mm=wall + more, hub_room_mm=room) >= moment
    assert bending_moment_nmm(rider_mass_kg=mass, mean_wall_mm=wall, hub_room_mm=room + more) >= moment


@given(outer=st.floats(4.0, 12.0), bore=st.floats(0.0, 0.99), larger=st.floats(0.0, 0.99))
def test_a_larger_bore_never_stiffens_a_shaft_and_never_takes_all_of_it(outer, bore, larger):
    small, large = sorted((bore * outer, larger * outer))
    assert 0.0 < section_modulus_mm3(outer, large) <= section_modulus_mm3(outer, small)
    assert section_modulus_mm3(outer, small) <= section_modulus_mm3(outer)


@given(outer=st.floats(4.0, 12.0), bore=st.floats(0.0, 0.99), factor=FACTORS)
def test_a_shaft_twice_as_thick_bears_eight_times_the_moment(outer, bore, factor):
    inner = bore * outer
    scaled = section_modulus_mm3(outer * factor, inner * factor)
    assert scaled == pytest.approx(factor**3 * section_modulus_mm3(outer, inner))


@given(thread=THREADS, external=MATERIALS, internal=MATERIALS)
def test_over_its_strip_length_a_thread_strips_at_twice_the_torque_that_gives_its_preload(
    thread, external, internal
):
    length = strip_length_mm(thread, external, internal)
    assert strip_torque_nm(thread, external, internal, length) == pytest.approx(2.0 * 4.0)


@given(
    thread=THREADS,
    external=MATERIALS,
    internal=MATERIALS,
    engaged=st.floats(0.0, 20.0),
    factor=st.floats(0.0, 5.0),
)
def test_the_strip_torque_is_proportional_to_the_engaged_length(thread, external, internal, engaged, factor):
    once = strip_torque_nm(thread, external, internal, engaged)
    assert strip_torque_nm(thread, external, internal, engaged * factor) == pytest.approx(once * factor)


@given(thread=THREADS, external=STRENGTHS, internal=STRENGTHS, stronger=st.floats(1.0, 5.0))
def test_a_stronger_screw_or_wall_never_strips_earlier(thread, external, internal, stronger):
    force = partial(strip_force_n_per_mm, thread)
    once = force(external_shear_mpa=external, internal_shear_mpa=internal)
    assert force(external_shear_mpa=external * stronger, internal_shear_mpa=internal) >= once
    assert force(external_shear_mpa=external, internal_shear_mpa=internal * stronger) >= once


@given(thread=THREADS, other=MATERIALS)
def test_no_steel_strips_before_the_one_that_an_unknown_material_counts_as(thread, other):
    steel = material_of(other).shear_mpa >= material_of(UNKNOWN_MATERIAL).shear_mpa
    assume(steel)
    assert strip_length_mm(thread, other, other) <= strip_length_mm(thread, None, None)


@given(thread=THREADS, torque=st.floats(0.1, 50.0), factor=FACTORS)
def test_the_preload_is_proportional_to_the_torque(thread, torque, factor):
    once = preload_n(thread, torque_nm=torque)
    assert preload_n(thread, torque_nm=torque * factor) == pytest.approx(once * factor)


@given(thread=THREADS)
def test_an_internal_thread_shears_over_more_than_its_screw_and_both_over_less_than_a_whole_turn(thread):
    # The nut's thread shears at the screw's outside, the screw's at the nut's inside.
    internal, external = shear_areas_mm2_per_mm(thread)
    assert 0.0 < external < internal < math.pi * thread.major_mm


@given(thread=THREADS)
def test_the_limits_of_a_thread_stand_in_their_order(thread):
    d = thread_dimensions(thread)
    assert d.external_major_min_mm < d.external_major_max_mm < thread.major_mm
    assert d.external_pitch_min_mm < d.external_pitch_max_mm < d.pitch_diameter_mm < d.internal_pitch_max_mm
    assert d.root_mm < d.internal_minor_mm < d.internal_minor_max_mm < d.external_major_min_mm


# --- the bending check ---------------------------------------------------------------------------


@st.composite
def solid_axles(draw):
    return Axle(
        sku="AXLE",
        fastening=draw(st.sampled_from([Fastening.THREADED_WALL, Fastening.BOLT_AND_NUT])),
        shaft_mm=draw(st.sampled_from([6.0, 6.3, 8.0])),
        material=draw(MATERIALS),
    )


@st.composite
def frames(draw):
    def read(low, high):
        return Quantity(value_mm=draw(st.floats(low, high)), standard_uncertainty_mm=0.05)

    inside, head_wall, far_wall = read(23.0, 28.0), read(2.0, 9.0), read(2.0, 9.0)
    widths = reconcile_widths(inside=inside, head_wall=head_wall, far_wall=far_wall)
    return Frame(widths=widths, rider_mass_kg=draw(MASSES))


def reserve_of(axle, frame):
    window = WidthWindow(0.0, 100.0, 50.0)
    case = Case(axle, frame, CatalogueFacts(usual_threads={}), window, 1.0, 1.0)
    return bending.shaft_bears_rider(case).value


@given(axle=solid_axles(), frame=frames())
def test_swapping_the_walls_leaves_the_reserve(axle, frame):
    widths = replace(frame.widths, head_wall=frame.widths.far_wall, far_wall=frame.widths.head_wall)
    assert reserve_of(axle, replace(frame, widths=widths)) == pytest.approx(reserve_of(axle, frame))


@given(axle=solid_axles(), frame=frames(), heavier=st.floats(1.0, 5.0))
def test_a_rider_so_many_times_as_heavy_leaves_so_many_times_less_reserve(axle, frame, heavier):
    heavy = replace(frame, rider_mass_kg=frame.rider_mass_kg * heavier)
    assert reserve_of(axle, heavy) * heavier == pytest.approx(reserve_of(axle, frame))


@given(axle=solid_axles(), frame=frames())
def test_a_thicker_shaft_of_the_same_material_has_more_reserve(axle, frame):
    thin, thick = replace(axle, shaft_mm=6.0), replace(axle, shaft_mm=8.0)
    # (8/6)³ = 2.3704
    assert reserve_of(thick, frame) == pytest.approx(reserve_of(thin, frame) * 64 / 27)


@given(axle=solid_axles(), frame=frames())
def test_the_mass_that_a_shaft_bears_is_that_which_leaves_a_reserve_of_one(axle, frame):
    bears = frame.rider_mass_kg * reserve_of(axle, frame)
    assert reserve_of(axle, replace(frame, rider_mass_kg=bears)) == pytest.approx(1.0)


# --- tolerances ----------------------------------------------------------------------------------


@given(size=SIZES, position_and_grade=CLASSES)
def test_a_wider_grade_reaches_at_least_as_far_on_both_sides(size, position_and_grade):
    position, grade = position_and_grade
    assume(grade < 12 and (position, grade) != ("k", 7))  # above grade 7 position k begins lower
    lower, upper = shaft_deviations_um(size, f"{position}{grade}")
    lower_wide, upper_wide = shaft_deviations_um(size, f"{position}{grade + 1}")
    assert lower_wide <= lower < upper <= upper_wide
    assert upper_wide - lower_wide > upper - lower


@given(size=SIZES, position_and_grade=CLASSES)
def test_the_clearance_in_a_bearing_varies_by_both_tolerances(size, position_and_grade):
    name = "{}{}".format(*position_and_grade)
    least, greatest = bearing_clearance_um(size, name)
    lower, upper = shaft_deviations_um(size, name)
    assert greatest - least == pytest.approx(upper - lower + 8.0)


@given(size=SIZES, grade=st.integers(5, 7))
def test_positions_from_c_to_s_lie_one_above_the_other(size, grade):
    positions = ["c", "d", "e", "f", "g", "h", "k", "m", "n", "p", "r", "s"]
    limits = [shaft_deviations_um(size, f"{position}{grade}") for position in positions]
    assert limits == sorted(limits)
    assert len({upper for _, upper in limits}) == len(limits)


# --- questions -----------------------------------------------------------------------------------

WEIGHTS = st.lists(st.floats(0.0, 1e6), max_size=10)


@given(weights=WEIGHTS)
def test_an_entropy_is_never_negative_and_never_above_that_of_equal_weights(weights):
    present = sum(weight > 0 for weight in weights)
    assert 0.0 <= entropy_bits(weights) <= (math.log2(present) if present else 0.0) + 1e-9


@given(weights=WEIGHTS, factor=FACTORS)
def test_an_entropy_does_not_depend_on_order_or_scale(weights, factor):
    assume(all(weight == 0 or weight > 1e-200 for weight in weights))
    expected = pytest.approx(entropy_bits(weights), abs=1e-9)
    assert entropy_bits(reversed(weights)) == expected
    assert entropy_bits(weight * factor for weight in weights) == expected


@given(weights=st.lists(st.floats(0.001, 1e3), min_size=2, max_size=10))
def test_two_answers_taken_as_one_never_tell_more(weights):
    merged = [weights[0] + weights[1], *weights[2:]]
    assert entropy_bits(merged) <= entropy_bits(weights) + 1e-9


@st.composite
def questions(draw):
    """A frame of which one thing is not known, and what it may be."""
    width = Quantity(value_mm=draw(st.floats(34.0, 39.0)), standard_uncertainty_mm=0.03)
    wall = Quantity(value_mm=6.0, standard_uncertainty_mm=0.03)
    frame = Frame(widths=reconcile_widths(outside=width, far_wall=wall), bore=nominal_bore(8.0))
    answers = draw(
        st.sampled_from(
            [
                [{"fastening": f} for f in Fastening],
                [{"thread": Thread(8.0, p)} for p in (1.25, 1.0, 0.75)],
                [{"bore": nominal_bore(k)} for k in (6.0, 6.3, 8.0)],
                [{"holes": Holes.ROUND}, {"holes": Holes.OVAL, "hole_offset_mm": 1.0}],
            ]
        )
    )
    return [Hypothesis(frame=replace(frame, **answer), weight=draw(st.integers(1, 50))) for answer in answers]


@given(
    hypotheses=questions(),
    axles=st.lists(
        st.builds(
            Axle,
            sku=st.just("AXLE"),
            fastening=st.sampled_from(Fastening),
            shaft_mm=st.sampled_from([6.0, 8.0, None]),
            length_mm=st.floats(33.0, 55.0),
            thread=st.sampled_from([Thread(8.0, 1.25), Thread(8.0, 1.0), None]),
            nut_height_mm=st.just(6.5),
            offset_mm=st.sampled_from([0.0, 1.0]),
        ),
        max_size=6,
    ),
)
def test_an_answer_never_tells_less_than_nothing_nor_more_than_itself(hypotheses, axles):
    bits = expected_bits(axles, hypotheses, catalogue=CatalogueFacts(usual_threads={}))
    assert 0.0 <= bits <= entropy_bits(hypothesis.weight for hypothesis in hypotheses) + 1e-9
