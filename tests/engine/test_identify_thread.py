"""The thread of an old axle, from its diameter and its pitch."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.identify_thread import thread_probabilities, threads_in_use
from service.engine.measurement import Quantity, quantity_from_readings
from service.engine.threads import Thread, parse_thread, thread_dimensions

SIZES = threads_in_use([])
# ISO 965-1, 6g: greatest and least diameter over the crests, as the tables print them.
CREST_LIMITS = {
    "M5x0.8": (4.826, 4.976),
    "M6x1": (5.794, 5.974),
    "M8x1": (7.794, 7.974),
    "M8x1.25": (7.760, 7.972),
}


def q(mm, half_width=0.05):
    return quantity_from_readings([mm], half_width_mm=half_width)


def found(**measured):
    return {size.designation: p for size, p in thread_probabilities(SIZES, **measured).items()}


def pitch_over_ten_turns(mm):
    return q(mm, half_width=0.05 / 10)


@pytest.mark.parametrize("designation", CREST_LIMITS)
@pytest.mark.parametrize("end", [0, 1], ids=["least", "greatest"])
def test_a_thread_at_either_limit_of_its_class_is_that_thread(designation, end):
    thread = parse_thread(designation)
    said = found(major=q(CREST_LIMITS[designation][end]), pitch=pitch_over_ten_turns(thread.pitch_mm))
    assert next(iter(said)) == designation
    assert said[designation] > 0.99


def test_the_diameter_alone_leaves_both_pitches_of_8_mm_open():
    said = found(major=q(7.88))
    assert set(said) == {"M8x1", "M8x1.25"}
    # Well inside both limits each density is 1 over the width of its limits: 0.180 and 0.212 mm.
    assert said["M8x1"] / said["M8x1.25"] == pytest.approx(0.212 / 0.180, rel=0.05)


def test_the_pitch_alone_leaves_every_size_of_that_pitch_open():
    said = found(pitch=pitch_over_ten_turns(1.25))
    assert set(said) == {"M8x1.25", "M10x1.25", "M12x1.25"}
    assert list(said.values()) == pytest.approx([1 / 3] * 3)


def test_pitch_and_diameter_that_belong_to_no_size_give_none():
    assert found(major=q(7.88), pitch=pitch_over_ten_turns(0.7)) == {}


@pytest.mark.parametrize(("diameter", "is_of_8"), [(7.43, False), (7.45, True), (8.29, True), (8.31, False)])
def test_a_diameter_far_outside_the_limits_is_of_no_size(diameter, is_of_8):
    # u = √(0.0289² + 0.05²) = 0.0577, reach 3·u + 0.15 = 0.323: from 7.760 - 0.323 = 7.437 to
    # 7.972 + 0.323 = 8.295 mm.
    assert ("M8x1.25" in found(major=q(diameter))) is is_of_8


def test_the_sizes_in_use_are_those_selected_and_those_of_the_catalogue(threaded_axle):
    assert parse_thread("M8x0.75") not in SIZES
    assert parse_thread("M8x0.75") in threads_in_use([threaded_axle(thread="M8x0.75")])
    assert {"M3x0.5", "M6x1", "M8x1", "M8x1.25", "M12x1.75"} <= {size.designation for size in SIZES}


quantities = st.builds(Quantity, value_mm=st.floats(0.3, 13), standard_uncertainty_mm=st.floats(0.001, 0.6))


@given(major=st.none() | quantities, pitch=st.none() | quantities)
def test_the_probabilities_sum_to_1_or_there_are_none(major, pitch):
    said = thread_probabilities(SIZES, major=major, pitch=pitch)
    assert not said or sum(said.values()) == pytest.approx(1.0)
    assert list(said.values()) == sorted(said.values(), reverse=True)


@given(major=quantities)
def test_the_order_in_which_the_sizes_are_known_changes_nothing(major):
    assert thread_probabilities(SIZES, major=major) == thread_probabilities(SIZES[::-1], major=major)


@given(size=st.sampled_from(SIZES), share=st.floats(0, 1))
def test_a_thread_measured_within_its_limits_is_always_among_the_possible(size, share):
    limits = thread_dimensions(size)
    true = limits.external_major_min_mm + share * (
        limits.external_major_max_mm - limits.external_major_min_mm
    )
    said = thread_probabilities(SIZES, major=q(true), pitch=q(size.pitch_mm, half_width=0.005))
    assert next(iter(said)) == Thread(size.major_mm, size.pitch_mm)
