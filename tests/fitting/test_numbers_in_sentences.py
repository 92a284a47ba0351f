"""A sentence holds the numbers of its reason: what was found, what is needed, by how much."""

import re

import pytest

from schemas.lookup import LookupRequest
from service.engine.frame_notes import frame_notes
from service.engine.judgement import judge
from service.fitting.translate import frame_of
from service.fitting.wording import reason_text, would_fit_text

# An axle of 36 mm with M8x1.25 in a wall of 6 mm serves 35 to 37.9 mm, by the contract's own example.
AXLE_36 = "TW8-36-M8-BK"
FRAME = {"fastening": "threaded_wall", "outside_width_mm": 36.4, "far_wall_mm": 6, "bore_mm": 8}


def numbers_in(text):
    """The numbers that stand by themselves, with their signs."""
    found = re.findall(r"(?<![\w.])[-−]?\d+(?:\.\d+)?(?![\w.]*\d)", text)
    return {float(number.replace("−", "-")) for number in found}


@pytest.fixture
def reason_of(snapshot):
    """The reason of one check of one axle of the demonstration."""

    def find(sku, check, **lookup):
        frame = frame_of(LookupRequest(**(FRAME | lookup)))
        (axle,) = (axle for axle in snapshot.engine_axles if axle.sku == sku)
        judgement = judge(axle, frame, snapshot.facts)
        return next(reason for reason in judgement.reasons if reason.check == check)

    return find


def note_of(check, **lookup):
    frame = frame_of(LookupRequest(**lookup))
    return next(note for note in frame_notes(frame) if note.check == check)


@pytest.mark.parametrize(
    ("width", "numbers"),
    [
        (36.4, {36.4, 35.0, 37.9, 36.4 - 35.0}),  # 1.4 mm to the nearer limit
        (38.4, {38.4, 37.9, 38.4 - 37.9}),
        (34.2, {34.2, 35.0, 35.0 - 34.2}),
    ],
)
def test_the_width_is_told_with_its_limits_and_the_margin(reason_of, width, numbers):
    text = reason_text(reason_of(AXLE_36, "width", outside_width_mm=width))
    assert {round(number, 2) for number in numbers} <= numbers_in(text)


@pytest.mark.parametrize(
    ("width", "limit", "missing", "direction"), [(38.4, 37.9, 0.5, "less"), (34.2, 35.0, 0.8, "more")]
)
def test_a_width_that_is_missed_says_by_how_much(reason_of, width, limit, missing, direction):
    text = would_fit_text(reason_of(AXLE_36, "width", outside_width_mm=width))
    assert {limit, missing} <= numbers_in(text)
    assert f" {missing} mm {direction}" in text


def test_the_thread_in_the_wall_is_told_with_how_much_engages(reason_of):
    # The tip reaches 36 - 1.25 = 34.75 mm, the wall begins at 36.4 - 6 = 30.4 mm.
    engaged = round((36 - 1.25) - (36.4 - 6), 2)
    assert f"{engaged} mm" in reason_text(reason_of(AXLE_36, "engagement"))


def test_a_thread_that_differs_names_both(reason_of):
    reason = reason_of(AXLE_36, "thread", thread="M8x1")
    for text in (reason_text(reason), would_fit_text(reason)):
        assert "M8x1.25" in text
        assert "M8x1" in text.replace("M8x1.25", "")


def test_a_bore_that_differs_names_both(reason_of):
    reason = reason_of("TW63-34-M6-SI", "bore", bore_mm=8)
    assert numbers_in(reason_text(reason)) == {6.3, 8.0}
    assert numbers_in(would_fit_text(reason)) == {6.3, 8.0}


def test_offsets_that_differ_are_both_named(reason_of):
    reason = reason_of("TW8-36-M8-O75", "holes", holes="oval", hole_offset_mm=1)
    assert numbers_in(reason_text(reason)) == {0.75, 1.0}
    assert numbers_in(would_fit_text(reason)) == {0.75, 1.0}


def test_keyed_profiles_that_differ_are_both_named(reason_of):
    text = reason_text(
        reason_of(
            "TP8-32-LARCH", "heads", fastening="two_piece", outside_width_mm=34.5, keyed_profile="rowan"
        )
    )
    assert "larch" in text
    assert "rowan" in text


def test_the_sleeve_that_is_needed_is_named_with_its_sizes(reason_of):
    text = reason_text(reason_of("TW6-34-M6-BK", "sleeve", bore_mm=6))
    assert "SL-6-24" in text
    assert {6.0, 8.0, 24.0} <= numbers_in(text)


def test_a_thin_axle_is_told_with_the_mass_of_its_rider(reason_of):
    text = reason_text(reason_of("TW6-34-M6-BK", "thin_axle", bore_mm=6, rider_mass_kg=82.5))
    assert {6.0, 82.5} <= numbers_in(text)


def test_a_hub_that_does_not_go_in_says_what_is_lacking():
    note = note_of("hub_room", outside_width_mm=35.5, inside_width_mm=23.5, hub_width_mm=24)
    assert numbers_in(reason_text(note)) == {23.5, 24.0, 24.0 - 23.5}


def test_a_hub_that_goes_in_says_what_room_it_leaves():
    note = note_of("hub_room", outside_width_mm=35.5, inside_width_mm=24.5, hub_width_mm=24)
    assert numbers_in(reason_text(note)) == {24.5, 24.0, 24.5 - 24.0}


def test_readings_that_disagree_say_by_how_much():
    # Calliper: u = 0.05/√3 each, four widths together 0.05/√3·√4 = 0.0577, three of that 0.173.
    note = note_of(
        "readings_agree", outside_width_mm=36.9, inside_width_mm=24.4, head_wall_mm=6, far_wall_mm=6
    )
    assert numbers_in(reason_text(note)) == {round(36.9 - 24.4 - 6 - 6, 2), 0.17}


def test_a_measured_bore_is_told_with_its_class():
    note = note_of("bore_class", outside_width_mm=36.4, bore_mm=8.04)
    assert numbers_in(reason_text(note)) == {8.04, 8.0}
