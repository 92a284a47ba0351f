"""What narrows a lookup down never loses a part: each step of it is held against the engine, part by part."""

# ruff: noqa: S311 (draws examples, guards nothing)

import math
import random
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as some

from schemas.lookup import LookupRequest
from service.catalogue.strands import Shape, strands_of
from service.engine.checks import CHECKS
from service.engine.checks.bending import bending_moment_on, greatest_moments_nmm
from service.engine.checks.width import thread_engages_enough, width_in_window
from service.engine.codes import Fastening, Verdict
from service.engine.constants import INSTRUMENT_HALF_WIDTH_MM
from service.engine.frame import Frame
from service.engine.judgement import judge, window_on
from service.engine.measurement import FrameWidths, Quantity, quantity_from_readings
from service.engine.parts import CatalogueFacts
from service.engine.probability import measured_bore, nominal_bore
from service.engine.questions import entropy_bits
from service.engine.threads import parse_thread
from service.fitting.ready.ladders import Setting, rung_of, scale_of
from service.fitting.ready.lookup import ready_lookup
from service.fitting.ready.questions import mean_of
from service.fitting.ready.scene import Scene
from service.fitting.ready.statics import READS, STATIC_CHECKS, checked_by, reason_of
from service.fitting.translate import frame_of
from tests.fitting.random_lookups import random_lookup, snapshot_of, twisted

FACTS = CatalogueFacts(usual_threads={8.0: parse_thread("M8x1.25"), 6.0: parse_thread("M6x1")})
THREADED = Shape(
    fastening=Fastening.THREADED_WALL,
    thread=parse_thread("M8x1.25"),
    material="steel_8_8",
    length_tolerance_mm=0.1,
    thread_length_mm=10.0,
    nut_height_mm=None,
    barrel_mouth_mm=None,
    barrel_thread_mm=None,
    screw_mm=None,
    length_mm=0.0,
    barrel_mm=None,
    grip_min_mm=None,
    grip_max_mm=None,
)
TWO_PIECE = THREADED._replace(
    fastening=Fastening.TWO_PIECE,
    thread=parse_thread("M6x1"),
    thread_length_mm=None,
    barrel_mouth_mm=1.0,
    barrel_thread_mm=11.0,
    screw_mm=14.0,
    length_mm=None,
    barrel_mm=0.0,
)
MAKERS_RANGE = TWO_PIECE._replace(screw_mm=None, barrel_mm=None, grip_min_mm=0.0, grip_max_mm=3.0)
BOLT = THREADED._replace(fastening=Fastening.BOLT_AND_NUT, thread_length_mm=22.0, nut_height_mm=6.8)
SHORT = THREADED._replace(thread_length_mm=4.0, length_tolerance_mm=0.5)


@pytest.fixture(scope="module")
def some_catalogue():
    return snapshot_of(150, 11, changed=twisted(random.Random(11)))


def frames(count, seed):
    """Frames of all sorts."""
    drawn = random.Random(seed)
    while count:
        try:
            yield frame_of(LookupRequest(**random_lookup(drawn)))
            count -= 1
        except ValueError:
            continue


def test_every_part_that_the_engine_lists_is_counted_under_its_verdict(some_catalogue):
    plans = ready_lookup(some_catalogue).plans
    for frame in frames(120, 1):
        found = [judge(axle, frame, some_catalogue.facts) for axle in some_catalogue.engine_axles]
        verdicts = [judgement.verdict for judgement in found if judgement is not None]
        assert Scene(frame, plans).counts == [verdicts.count(verdict) for verdict in Verdict]


def test_strands_hold_every_part_that_has_a_window_once(some_catalogue):
    strands = strands_of(some_catalogue.kinds)
    held = [
        sku for strand in strands.strands for kinds in strand.kinds for kind in kinds for sku in kind.skus
    ]
    frame = next(frames(1, 2))
    listed = [axle.sku for axle in some_catalogue.engine_axles if window_on(axle, frame) is not None]
    assert sorted(held) == listed
    assert strands.axles == len(listed)


def test_a_shape_at_its_anchor_has_the_lengths_of_the_part(some_catalogue):
    for strand in strands_of(some_catalogue.kinds).strands:
        for anchor, kinds in zip(strand.anchors_mm, strand.kinds, strict=True):
            made = strand.shape.axle_at(anchor)
            for column in Shape._fields:
                assert getattr(made, column) == pytest.approx(getattr(kinds[0].axle, column), abs=1e-9)


@given(
    shape=some.sampled_from([THREADED, TWO_PIECE, MAKERS_RANGE, BOLT, SHORT]),
    anchor=some.integers(20_000, 60_000).map(lambda micrometres: micrometres / 1000),
    beyond=some.floats(-3.0, 12.0) | some.integers(-60, 240).map(lambda n: n / 20),
    wall=some.none() | some.floats(1.0, 9.0) | some.sampled_from([5.0, 6.0]),
    uncertainty=some.sampled_from([0.05, 0.2, 0.5, 1.0]).map(lambda half: half / 3**0.5)
    | some.floats(0.01, 2.0),
    factor=some.sampled_from([1.0, 0.98, 0.5, 0.2]),
)
def test_a_ladder_says_what_the_engine_says_or_that_only_the_engine_can(
    shape, anchor, beyond, wall, uncertainty, factor
):
    setting = Setting(wall, "aluminium_6061_t6", 0.0, uncertainty)
    ladder = scale_of(shape.fastening, setting, factor).ladder(shape)
    width = anchor + beyond
    if (rung := ladder.rung_at(width - anchor)) is not None:
        axle, frame = shape.axle_at(anchor), setting.frame_at(width)
        assert rung == rung_of(axle, frame, window_on(axle, frame), factor)


@pytest.mark.parametrize("factor", [1.0, 0.9])
@pytest.mark.parametrize("half_width", INSTRUMENT_HALF_WIDTH_MM.values())
@pytest.mark.parametrize("wall", [None, 3.0, 6.0, 6.37])
@pytest.mark.parametrize("shape", [THREADED, TWO_PIECE, MAKERS_RANGE, BOLT, SHORT])
def test_a_ladder_is_right_just_beyond_each_place_where_only_the_engine_can_tell(
    shape, wall, half_width, factor
):
    setting = Setting(wall, "aluminium_6061_t6", 0.0, half_width / 3**0.5)
    ladder = scale_of(shape.fastening, setting, factor).ladder(shape)
    for edge, guard, anchor in product(ladder.edges_mm, set(ladder.guards_mm), (24.0, 36.5)):
        axle = shape.axle_at(anchor)
        for distance in (edge - guard * 1.01 - 1e-12, edge + guard * 1.01 + 1e-12):
            if (rung := ladder.rung_at(distance)) is not None:
                frame = setting.frame_at(anchor + distance)
                assert rung == rung_of(axle, frame, window_on(axle, frame), factor)


def test_each_check_is_either_of_the_width_or_says_what_it_reads():
    assert set(CHECKS) == {width_in_window, thread_engages_enough, *READS}
    assert list(STATIC_CHECKS) == [check for check in CHECKS if check in READS]


@pytest.mark.parametrize("place", range(len(STATIC_CHECKS)))
def test_a_check_says_the_same_of_what_is_alike_in_all_that_it_reads(some_catalogue, place):
    check = STATIC_CHECKS[place]
    said = {}
    axles = [kind.axle for kind in some_catalogue.kinds][::3]
    for frame, axle in product(frames(60, 3), axles):
        reason = reason_of(check, axle, frame, FACTS)
        key = READS[check].frame(frame), READS[check].axle(axle)
        assert said.setdefault(key, reason) == reason
        assert reason is None or reason.check is checked_by(check)


def test_the_moments_up_to_which_a_shaft_bears_are_where_the_check_changes(some_catalogue):
    bending = STATIC_CHECKS[-2]
    frame = Frame(widths=FrameWidths(outside=Quantity(value_mm=36.4, standard_uncertainty_mm=0.03)))
    for kind in some_catalogue.kinds:
        for moment in greatest_moments_nmm(kind.axle):
            mass = 100.0 * moment / bending_moment_on(frame)
            below, above = (
                reason_of(bending, kind.axle, replace(frame, rider_mass_kg=mass * (1 + by)), FACTS).outcome
                for by in (-1e-6, 1e-6)
            )
            assert below != above


@given(told=some.dictionaries(some.floats(0, 2), some.integers(1, 5000), max_size=8))
def test_the_mean_of_so_many_of_each_is_that_of_all_one_by_one(told):
    every = [bits for bits, count in told.items() for _ in range(count)]
    if every:
        assert mean_of(told, len(every)) == math.fsum(every) / len(every)


@given(weights=some.lists(some.integers(1, 10_000), min_size=1, max_size=9), seed=some.integers(0, 5))
def test_entropy_does_not_hang_on_the_order_of_the_weights(weights, seed):
    mixed = random.Random(seed).sample(weights, len(weights))
    assert entropy_bits(mixed) == entropy_bits(weights)


def test_a_bore_between_two_classes_counts_with_its_probability():
    reading = quantity_from_readings([6.14], half_width_mm=0.05)
    between, sure = measured_bore(reading), nominal_bore(6.0)
    assert 0.05 < between.probability_of(6.3) < 0.95
    assert sure.probability_of(6.3) == 0.0
