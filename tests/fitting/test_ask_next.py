"""What to find out next: the questions that would tell most, each with how to measure it."""

import math
import re

import pytest

from schemas.lookup import LookupRequest
from schemas.parts import AxleRecord, FrameRecord
from service.catalogue.snapshot import Snapshot
from service.fitting.lookup import look_up

TELLS_HOW = re.compile(r"(Measure|Look|See|Compare)\b.*\.")
"""A sentence that tells the customer what to do."""

# All that can be asked about, each with an answer that a customer might have given.
ANSWERS = {
    "fastening": "threaded_wall",
    "bore_mm": 8,
    "holes": "round",
    "thread": "M8x1.25",
    "far_wall_mm": 6,
    "keys_needed": 2,
    "keyed_profile": "none",
}


@pytest.fixture
def asked(snapshot):
    """The questions after a lookup of a frame of which hardly more than the width is known."""

    def ask(catalogue=snapshot, **fields):
        return look_up(LookupRequest(**({"outside_width_mm": 36.4} | fields)), catalogue).ask_next

    return ask


def fields_of(questions):
    return {question.field for question in questions}


def axle(sku, **columns):
    usual = {"fastening": "threaded_wall", "shaft_mm": 8, "length_mm": 36, "thread": "M8x1.25"}
    usual |= {"shaft_tolerance": "f7", "material": "steel_8_8"}
    return AxleRecord(sku=sku, name=f"Axle {sku}", **(usual | columns))


def frame(code, far_wall_mm):
    return FrameRecord(
        code=code,
        name=f"Frame {code}",
        fastening="threaded_wall",
        outside_widths_mm=(36.4,),
        far_wall_mm=far_wall_mm,
        wheels=4,
    )


def catalogue_of(*axles, frames=()):
    return Snapshot(
        revision=1,
        axles={record.sku: record for record in axles},
        frames={record.code: record for record in frames},
        sleeves={},
    )


WALLS = [frame("A", 6), frame("B", 6), frame("C", 6), frame("D", 3)]
"""Known frames, of which one in four has a thin far wall."""
KNOWN = {"fastening": "threaded_wall", "bore_mm": 8, "holes": "round", "far_wall_mm": 6, "thread": "M8x1.25"}


def known_but(*fields):
    return {field: value for field, value in KNOWN.items() if field not in fields}


# --- which are asked -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"fastening": "threaded_wall"},
        {"fastening": "two_piece", "outside_width_mm": 33.5},
        {"fastening": "two_piece", "outside_width_mm": 33.5, "keys_needed": 1},
        {"fastening": "threaded_wall", "outside_width_mm": 34.6, "bore_mm": 8, "far_wall_mm": 5},
        {"bore_mm": 6, "outside_width_mm": 34},
    ],
    ids=str,
)
def test_at_most_three_questions_are_asked_and_the_one_that_tells_most_comes_first(asked, given):
    questions = asked(**given)
    bits = [question.expected_bits for question in questions]
    assert 1 <= len(questions) <= 3
    assert bits == sorted(bits, reverse=True)
    assert len(fields_of(questions)) == len(questions)


def test_of_a_frame_of_which_only_the_width_is_known_three_things_are_asked(asked):
    assert len(asked()) == 3


@pytest.mark.parametrize("field", ANSWERS)
@pytest.mark.parametrize("fastening", [None, "threaded_wall", "two_piece", "bolt_and_nut"])
@pytest.mark.parametrize("width", [31.5, 33.5, 36.4])
def test_what_was_given_is_not_asked_for(asked, field, fastening, width):
    given = {"outside_width_mm": width, "fastening": fastening, field: ANSWERS[field]}
    assert field not in fields_of(asked(**given))


def test_oval_holes_that_were_given_without_their_offset_are_not_asked_for_again(asked):
    catalogue = catalogue_of(axle("LITTLE", offset_mm=0.75), axle("MUCH", offset_mm=1))
    assert "holes" not in fields_of(asked(catalogue, **(KNOWN | {"holes": "oval"})))


def test_a_frame_that_is_fully_described_leaves_nothing_to_ask(asked):
    described = {
        field: ANSWERS[field] for field in ("fastening", "bore_mm", "holes", "thread", "far_wall_mm")
    }
    assert asked(**described) == []


def test_a_far_wall_that_follows_from_the_other_widths_is_not_asked_for(asked):
    catalogue, given = catalogue_of(axle("A"), frames=WALLS), known_but("far_wall_mm")
    assert fields_of(asked(catalogue, **given)) == {"far_wall_mm"}
    assert asked(catalogue, **given, inside_width_mm=24.4, head_wall_mm=6) == []


def test_the_keyed_profile_is_asked_for_once_it_is_known_that_the_old_axle_took_one_key(asked):
    two_piece = {"fastening": "two_piece", "outside_width_mm": 33.5, "bore_mm": 8}
    assert "keys_needed" in fields_of(asked(**two_piece))
    assert "keyed_profile" not in fields_of(asked(**two_piece))
    assert "keyed_profile" in fields_of(asked(**two_piece, keys_needed=1))
    assert fields_of(asked(**two_piece, keys_needed=2)).isdisjoint({"keys_needed", "keyed_profile"})


@pytest.mark.parametrize(
    ("fastening", "not_asked"),
    [
        ("threaded_wall", {"keys_needed", "keyed_profile"}),
        ("two_piece", {"thread", "far_wall_mm"}),
        ("bolt_and_nut", {"thread", "far_wall_mm", "keys_needed", "keyed_profile"}),
    ],
)
@pytest.mark.parametrize("width", [33.5, 36.4])
def test_what_does_not_matter_to_a_fastening_is_not_asked_for(asked, fastening, not_asked, width):
    assert fields_of(asked(fastening=fastening, outside_width_mm=width)).isdisjoint(not_asked)


def test_where_no_part_is_in_play_nothing_is_asked(asked):
    assert asked(outside_width_mm=120) == []


# --- what is said --------------------------------------------------------------------------------


@pytest.mark.parametrize("field", ANSWERS)
def test_each_question_tells_in_one_breath_how_to_measure_it(asked, field):
    two_piece = {"fastening": "two_piece", "outside_width_mm": 33.5, "bore_mm": 8}
    questions = [
        *asked(),
        *asked(fastening="threaded_wall"),
        *asked(**two_piece),
        *asked(**two_piece, keys_needed=1),
        *asked(catalogue_of(axle("A"), frames=WALLS), **known_but("far_wall_mm")),
    ]
    texts = {question.text for question in questions if question.field == field}
    assert len(texts) == 1
    assert TELLS_HOW.fullmatch(texts.pop())


@pytest.mark.parametrize(
    ("given", "most"),
    [
        ({}, {"fastening": math.log2(3), "bore_mm": math.log2(3), "keys_needed": 1.0}),
        ({"fastening": "two_piece", "outside_width_mm": 33.5}, {"bore_mm": math.log2(3), "keys_needed": 1.0}),
        ({"fastening": "threaded_wall"}, {"bore_mm": math.log2(3)}),
    ],
    ids=str,
)
def test_no_question_promises_more_than_its_answers_can_tell(asked, given, most):
    # Three fastenings, three bores, one key or two; and a verdict is one of four.
    for question in asked(**given):
        assert 0.0 < question.expected_bits <= min(most.get(question.field, 2.0), 2.0)


# --- worked by hand ------------------------------------------------------------------------------


def test_a_thread_that_three_axles_in_four_have_is_worth_four_fifths_of_a_bit(asked):
    # Each axle fits with one thread and not with the other: 3/4·log2(4/3) + 1/4·2 = 0.81 bits about each.
    catalogue = catalogue_of(axle("A"), axle("B"), axle("C"), axle("D", thread="M8x1"))
    questions = asked(catalogue, **known_but("thread"))
    assert [(q.field, q.expected_bits) for q in questions] == [("thread", 0.81)]


def test_holes_tell_as_much_of_a_straight_axle_as_of_an_offset_one(asked):
    # One of each: 1 bit about both.
    catalogue = catalogue_of(axle("STRAIGHT"), axle("OFFSET", offset_mm=1))
    questions = asked(catalogue, **known_but("holes"))
    assert [(q.field, q.expected_bits) for q in questions] == [("holes", 1.0)]


def test_a_far_wall_tells_as_much_as_the_known_frames_differ(asked):
    # An axle of 36 mm, M8x1.25, serves up to 36 − 1.25 + t − e_min: with t = 6 up to 37.9, so that 36.4 fits.
    # In t = 3 at least two turns, 2.5 mm, must engage: up to 35.25. One known frame in four has 3 mm:
    # 3/4·log2(4/3) + 1/4·2 = 0.81 bits.
    questions = asked(catalogue_of(axle("A"), frames=WALLS), **known_but("far_wall_mm"))
    assert [(q.field, q.expected_bits) for q in questions] == [("far_wall_mm", 0.81)]


def test_where_parts_and_known_frames_are_all_alike_nothing_is_asked(asked):
    catalogue = catalogue_of(axle("A"), axle("B"), frames=[frame("A", 6), frame("B", 6)])
    assert asked(catalogue, fastening="threaded_wall") == []
