"""What must be equal between axle and frame; facts of the trade: common practice, no source."""

import pytest

from service.engine.codes import Check, Fastening, Holes, Outcome, Position
from service.engine.parts import CatalogueFacts
from service.engine.threads import parse_thread

# --- fastening -----------------------------------------------------------------------------------


@pytest.mark.parametrize("of_frame", list(Fastening))
def test_an_axle_holds_only_in_a_frame_of_its_own_fastening(
    threaded_axle, two_piece_axle, bolt, frame, reason, of_frame
):
    outcomes = {
        axle.fastening: reason(Check.FASTENING, axle, frame(36.4, fastening=of_frame)).outcome
        for axle in (threaded_axle(), two_piece_axle(), bolt())
    }
    others = dict.fromkeys(set(Fastening) - {of_frame}, Outcome.FAIL)
    assert outcomes == {of_frame: Outcome.PASS} | others


def test_a_fastening_that_was_not_given_is_unknown(threaded_axle, frame, reason):
    found = reason(Check.FASTENING, threaded_axle(), frame(36.4, fastening=None))
    assert found.outcome is Outcome.UNKNOWN


# --- thread --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("of_axle", "of_frame", "outcome"),
    [
        ("M8x1.25", "M8x1.25", Outcome.PASS),
        ("M8x1.25", "M8", Outcome.PASS),  # a designation without pitch is the coarse one: ISO 965-1:2013, 5
        ("M8x1", "M8x1.25", Outcome.FAIL),
        ("M8x1.25", "M8x1", Outcome.FAIL),
        ("M7x1", "M8x1", Outcome.FAIL),
    ],
)
def test_an_axle_screws_only_into_its_own_thread(threaded_axle, frame, reason, of_axle, of_frame, outcome):
    found = reason(Check.THREAD, threaded_axle(thread=of_axle), frame(36.4, thread=of_frame))
    assert found.outcome is outcome


@pytest.mark.parametrize(
    ("shaft", "thread", "outcome"),
    [
        (8.0, "M8x1.25", Outcome.CAUTION),
        (8.0, "M8x1", Outcome.UNKNOWN),
        (8.0, "M6x1", Outcome.UNKNOWN),  # usual for thin shafts, not for this one
        (6.0, "M6x1", Outcome.CAUTION),
        (6.3, "M6x1", Outcome.UNKNOWN),  # no other part says what is usual
        (None, "M8x1.25", Outcome.UNKNOWN),
    ],
)
def test_a_thread_that_was_not_given_never_passes(threaded_axle, frame, reason, shaft, thread, outcome):
    usual = {8.0: parse_thread("M8x1.25"), 6.0: parse_thread("M6x1")}
    axle = threaded_axle(shaft_mm=shaft, thread=thread)
    found = reason(
        Check.THREAD, axle, frame(36.4, thread=None), catalogue=CatalogueFacts(usual_threads=usual)
    )
    assert found.outcome is outcome


@pytest.mark.parametrize("of_frame", ["M8x1.25", None])
def test_a_part_without_its_thread_is_unknown_and_names_the_column(threaded_axle, frame, reason, of_frame):
    found = reason(Check.THREAD, threaded_axle(thread=None), frame(36.4, thread=of_frame))
    assert found.outcome is Outcome.UNKNOWN
    assert found.facts["column"] == "thread"


def test_only_a_threaded_wall_has_a_thread_to_match(two_piece_axle, bolt, plain_frame, reason):
    assert reason(Check.THREAD, two_piece_axle(), plain_frame(36.4)) is None
    assert reason(Check.THREAD, bolt(), plain_frame(36.4)) is None


# --- holes ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("holes", "outcome", "code"),
    [
        (Holes.ROUND, Outcome.PASS, "holes_round"),
        (Holes.OVAL, Outcome.FAIL, "holes_oval_for_straight"),
        (None, Outcome.PASS, "holes_taken_as_round"),  # and says so
    ],
)
def test_a_straight_axle_needs_round_holes(threaded_axle, frame, reason, holes, outcome, code):
    found = reason(Check.HOLES, threaded_axle(offset_mm=0.0), frame(36.4, holes=holes, hole_offset_mm=None))
    assert found.outcome is outcome
    assert found.code == code


@pytest.mark.parametrize(
    ("holes", "of_frame", "outcome"),
    [
        (Holes.OVAL, 1.0, Outcome.PASS),
        (Holes.OVAL, 0.95, Outcome.PASS),
        (Holes.OVAL, 0.96, Outcome.PASS),
        (Holes.OVAL, 1.04, Outcome.PASS),
        (Holes.OVAL, 1.05, Outcome.PASS),
        (Holes.OVAL, 0.94, Outcome.FAIL),
        (Holes.OVAL, 1.06, Outcome.FAIL),
        (Holes.OVAL, -1.0, Outcome.FAIL),
        (Holes.OVAL, None, Outcome.UNKNOWN),
        (Holes.ROUND, None, Outcome.FAIL),
        (None, None, Outcome.UNKNOWN),
        (None, 1.0, Outcome.UNKNOWN),
    ],
)
def test_an_offset_axle_needs_oval_holes_of_its_own_offset(
    threaded_axle, frame, reason, holes, of_frame, outcome
):
    # Two offsets nearer than 0.05 mm are the same.
    found = reason(
        Check.HOLES, threaded_axle(offset_mm=1.0), frame(36.4, holes=holes, hole_offset_mm=of_frame)
    )
    assert found.outcome is outcome


# --- heads ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("keys", [None, 1, 2])
@pytest.mark.parametrize(
    ("of_axle", "outcome"),
    [("wedge", Outcome.PASS), ("star", Outcome.FAIL), ("none", Outcome.FAIL), (None, Outcome.UNKNOWN)],
)
def test_a_keyed_frame_takes_only_a_head_of_its_own_profile(
    two_piece_axle, plain_frame, reason, keys, *, of_axle, outcome
):
    of_frame = plain_frame(36.4, keyed_profile="wedge", keys_needed=keys)
    assert reason(Check.HEADS, two_piece_axle(keyed_profile=of_axle), of_frame).outcome is outcome


@pytest.mark.parametrize(
    ("profile", "keys"),
    [
        ("none", None),
        ("none", 1),  # what the frame is counts more than what the old axle took
        (None, 2),  # the old axle took a key on each side
    ],
)
@pytest.mark.parametrize(
    ("of_axle", "outcome"), [("none", Outcome.PASS), ("wedge", Outcome.FAIL), (None, Outcome.UNKNOWN)]
)
def test_round_holes_take_only_round_heads(
    two_piece_axle, plain_frame, reason, *, profile, keys, of_axle, outcome
):
    of_frame = plain_frame(36.4, keyed_profile=profile, keys_needed=keys)
    assert reason(Check.HEADS, two_piece_axle(keyed_profile=of_axle), of_frame).outcome is outcome


@pytest.mark.parametrize(
    ("of_axle", "outcome"), [("none", Outcome.FAIL), ("wedge", Outcome.UNKNOWN), (None, Outcome.UNKNOWN)]
)
def test_where_the_old_axle_took_one_key_a_round_head_would_turn(
    two_piece_axle, plain_frame, reason, of_axle, outcome
):
    of_frame = plain_frame(36.4, keyed_profile=None, keys_needed=1)
    assert reason(Check.HEADS, two_piece_axle(keyed_profile=of_axle), of_frame).outcome is outcome


@pytest.mark.parametrize("of_axle", ["none", "wedge", None])
def test_where_nothing_is_known_of_the_frame_s_recess_the_heads_are_unknown(
    two_piece_axle, plain_frame, reason, of_axle
):
    of_frame = plain_frame(36.4, keyed_profile=None, keys_needed=None)
    assert reason(Check.HEADS, two_piece_axle(keyed_profile=of_axle), of_frame).outcome is Outcome.UNKNOWN


@pytest.mark.parametrize(
    "of_frame", [{"keyed_profile": "wedge"}, {"keyed_profile": "none"}, {"keys_needed": 1}]
)
def test_a_part_of_unknown_heads_names_the_column(two_piece_axle, plain_frame, reason, of_frame):
    found = reason(Check.HEADS, two_piece_axle(keyed_profile=None), plain_frame(36.4, **of_frame))
    assert found.outcome is Outcome.UNKNOWN
    assert found.facts["column"] == "keyed_profile"


def test_only_two_piece_axles_have_two_heads(threaded_axle, bolt, frame, reason):
    for axle in (threaded_axle(), bolt()):
        assert reason(Check.HEADS, axle, frame(36.4, keyed_profile="wedge")) is None


# --- brake ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("of_axle", "of_brake", "outcome"),
    [
        ("M5x0.8", "M5x0.8", Outcome.PASS),
        ("M5x0.8", None, Outcome.PASS),
        ("M5x0.8", "M6x1", Outcome.FAIL),
        (None, "M5x0.8", Outcome.FAIL),
        (None, None, Outcome.FAIL),
    ],
)
def test_the_brake_hangs_on_a_brake_axle_with_its_own_thread(
    threaded_axle, frame, reason, of_axle, of_brake, outcome
):
    at_brake = frame(36.4, position=Position.BRAKE, brake_thread=of_brake)
    assert reason(Check.BRAKE, threaded_axle(brake_thread=of_axle), at_brake).outcome is outcome


def test_a_brake_axle_elsewhere_is_a_caution(threaded_axle, frame, reason):
    found = reason(Check.BRAKE, threaded_axle(brake_thread="M5x0.8"), frame(36.4, position=Position.ANY))
    assert found.outcome is Outcome.CAUTION


def test_of_a_plain_axle_away_from_the_brake_nothing_is_said_about_brakes(threaded_axle, frame, reason):
    assert reason(Check.BRAKE, threaded_axle(brake_thread=None), frame(36.4, position=Position.ANY)) is None
