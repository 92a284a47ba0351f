"""The rocker as an answer: what is said of the wheels, and which offset axles reach the shape asked for."""

import re
from collections import Counter
from dataclasses import replace

import pytest

from schemas.codes import Language
from schemas.rockers import RockersRequest
from service.errors import InvalidRequestError, NotInCatalogueError
from service.fitting.rocker_sentences import ROCKERS
from service.fitting.rockers import answer_rocker

TRANSLATED = [language for language in Language if language is not Language.ENGLISH]
FOUR = {"axle_positions_mm": [0, 80, 160, 240], "wheel_diameters_mm": [76]}
UP_AT_THE_ENDS = [1, 0, 0, 1]
# The demonstration's frame QH-ALDER, as a customer would measure it, its holes aside.
MEASURED = {
    "fastening": "threaded_wall",
    "outside_width_mm": 36.4,
    "far_wall_mm": 6,
    "bore_mm": 8,
    "thread": "M8x1.25",
}


@pytest.fixture
def answer(snapshot):
    """The answer on the demonstration catalogue."""

    def ask(language=Language.ENGLISH, on=snapshot, **fields):
        return answer_rocker(RockersRequest(**fields), on, language=language)

    return ask


def skus_at(way):
    return {seat.position: seat.skus for seat in way.seats}


def numbers_in(text):
    return {float(number) for number in re.findall(r"\d+(?:\.\d+)?", text)}


# --- how the wheels stand ------------------------------------------------------------------------


def test_wheels_are_counted_from_one_at_the_front(answer):
    raised = answer(**FOUR, offsets_mm=UP_AT_THE_ENDS)
    assert [stance.wheels for stance in raised.stances] == [[1, 2], [2, 3], [3, 4]]
    assert [stance.code for stance in raised.stances] == [
        "stance_toes_down",
        "stance_level",
        "stance_toes_up",
    ]


def test_the_tilt_is_told_in_degrees_and_said_without_its_sign(answer):
    front = answer(**FOUR, offsets_mm=UP_AT_THE_ENDS).stances[0]
    assert front.tilt_deg == -0.716  # atan(1/80) = 0.0124993 rad, times 180/π
    assert numbers_in(front.text) == {0.72, 1, 2}


def test_depth_and_radius_are_those_of_the_circle_through_the_wheels(answer):
    curve = answer(**FOUR, offsets_mm=UP_AT_THE_ENDS).curve
    # 120² + (k - 1)² = 40² + k²: k = 6400.5, and √(40² + 6400.5²) = 6400.625
    assert (curve.chord_mm, curve.depth_mm, curve.radius_mm) == (240, 1, 6400.625)
    assert numbers_in(curve.text) == {1, 240, 6.4}


def test_heights_that_are_not_given_are_level(answer):
    level = answer(**FOUR)
    assert [wheel.offset_mm for wheel in level.wheels] == [0, 0, 0, 0]
    assert (level.curve.code, level.curve.radius_mm, level.wanted) == ("curve_flat", None, None)


def test_one_diameter_is_that_of_all_wheels(answer):
    assert answer(**FOUR) == answer(**(FOUR | {"wheel_diameters_mm": [76] * 4}))


def test_wheels_that_touch_in_no_stance_are_named(answer):
    hollow = answer(**FOUR, offsets_mm=[0, 0.5, 0.5, 0])
    assert [wheel.touches for wheel in hollow.wheels] == [True, False, False, True]
    (note,) = hollow.notes
    assert (note.code, note.outcome) == ("wheels_never_touch", "caution")
    assert numbers_in(note.text) == {2, 3}


@pytest.mark.parametrize(("diameter", "rubbing"), [(79.9, 0), (80, 3), (80.1, 3)])
def test_wheels_that_leave_no_room_stand_nowhere_and_are_named(answer, diameter, rubbing):
    rubs = answer(**(FOUR | {"wheel_diameters_mm": [diameter]}))
    assert [note.code for note in rubs.notes] == ["wheels_have_no_room"] * rubbing
    assert (rubs.stances == [] and rubs.curve is None) == bool(rubbing)


def test_how_far_wheels_overlap_is_told(answer):
    note = answer(**(FOUR | {"wheel_diameters_mm": [76, 76, 76, 85]})).notes[0]
    assert (note.value, note.unit, note.outcome) == (-0.5, "mm", "fail")  # 80 - 38 - 42.5
    assert "Wheels 3 and 4" in note.text
    assert "−0.5 mm" in note.text


def test_the_cautions_defer_to_the_maker_and_a_workshop(answer):
    codes = [caution.code for caution in answer(**FOUR).cautions]
    assert "maker_and_workshop_first" in codes
    assert "rocker_changes_balance" in codes


# --- how to get there ----------------------------------------------------------------------------


def test_front_and_rear_up_is_reached_with_every_offset_axle_of_the_catalogue_where_no_frame_is_known(answer):
    wanted = answer(**FOUR, wanted_offsets_mm=UP_AT_THE_ENDS).wanted
    assert wanted.code == "wanted_reached"
    first = wanted.ways[0]
    assert [(seat.turned, seat.offset_mm) for seat in first.seats] == [
        ("up", 1), ("straight", 0), ("straight", 0), ("up", 1),
    ]  # fmt: skip
    offset_axles = ["TW8-35-M8-O100", "TW8-36-M8-O100", "TW8-38-M8-O100", "TW8-40-M8-O100"]
    assert skus_at(first) == {1: offset_axles, 2: [], 3: [], 4: offset_axles}


def test_the_shape_asked_for_is_answered_with_its_own_stances(answer):
    both = answer(**FOUR, wanted_offsets_mm=UP_AT_THE_ENDS)
    assert [stance.wheels for stance in both.stances] == [[1, 2, 3, 4]]
    assert [stance.wheels for stance in both.wanted.stances] == [[1, 2], [2, 3], [3, 4]]
    assert both.wanted.curve == answer(**FOUR, offsets_mm=UP_AT_THE_ENDS).curve
    assert both.wanted.ways[0].curve == both.wanted.curve


def test_that_the_holes_must_be_oval_is_said_where_it_is_not_known(answer):
    asked = {**FOUR, "wanted_offsets_mm": UP_AT_THE_ENDS}
    oval = {"holes": "oval", "hole_offset_mm": 1}
    assert [note.code for note in answer(**asked).wanted.notes] == ["holes_not_given"]
    assert [note.code for note in answer(**asked, lookup=MEASURED).wanted.notes] == ["holes_not_given"]
    assert answer(**asked, lookup=MEASURED | oval).wanted.notes == []


def test_a_measured_frame_leaves_only_the_offset_axles_that_fit_it_with_their_reasons(answer):
    wanted = answer(**FOUR, wanted_offsets_mm=UP_AT_THE_ENDS, lookup=MEASURED).wanted
    # An axle of 36 mm serves 35 to 37.9 mm (README), one of 35 mm so 34 to 36.9; one of 38 begins at 37.
    named = {axle.axle.sku: axle.verdicts for axle in wanted.axles}
    assert set(named) == {"TW8-36-M8-O100", "TW8-35-M8-O100"}
    (verdict,) = named["TW8-36-M8-O100"]
    assert (verdict.positions, verdict.verdict) == ([1, 2, 3, 4], "check_first")
    assert [r.outcome for r in verdict.reasons if r.check == "holes"] == ["unknown"]


def test_without_a_frame_nothing_is_judged(answer):
    wanted = answer(**FOUR, wanted_offsets_mm=UP_AT_THE_ENDS).wanted
    assert [axle.verdicts for axle in wanted.axles] == [[]] * 4


def test_round_holes_take_only_straight_axles(answer):
    wanted = answer(**FOUR, wanted_offsets_mm=UP_AT_THE_ENDS, lookup=MEASURED | {"holes": "round"}).wanted
    (way,) = wanted.ways
    assert (wanted.code, way.exact, way.offset_axles, way.greatest_miss_mm) == (
        "wanted_not_reached", False, 0, 0.5,
    )  # fmt: skip
    assert [note.code for note in wanted.notes] == ["holes_round"]


def test_oval_holes_take_no_straight_axle(answer):
    lookup = MEASURED | {"holes": "oval", "hole_offset_mm": 0.75}
    wanted = answer(**FOUR, wanted_offsets_mm=[1.5, 0, 0, 1.5], lookup=lookup).wanted
    (way,) = wanted.ways
    assert [seat.turned for seat in way.seats] == ["up", "down", "down", "up"]  # 0.75 against -0.75
    assert (wanted.code, way.shift_mm) == ("wanted_reached", 0.75)
    assert [seat.height_mm for seat in way.seats] == [1.5, 0, 0, 1.5]


def test_oval_holes_that_no_axle_fits_are_said_to_have_none(answer):
    lookup = MEASURED | {"holes": "oval", "hole_offset_mm": 3}
    wanted = answer(**FOUR, wanted_offsets_mm=UP_AT_THE_ENDS, lookup=lookup).wanted
    assert (wanted.code, wanted.ways, wanted.axles) == ("wanted_has_no_seat", [], [])
    assert numbers_in(wanted.text) == {1, 2, 3, 4}


def test_a_level_shape_needs_no_offset_axle(answer):
    wanted = answer(**FOUR, wanted_offsets_mm=[0, 0, 0, 0]).wanted
    assert (wanted.code, wanted.ways[0].offset_axles) == ("wanted_needs_no_offset", 0)


def test_a_known_frame_stands_in_for_positions_and_lookup(answer):
    known = answer(frame="QH-BURDOCK", wheel_diameters_mm=[125], wanted_offsets_mm=[2, 0, 2])
    assert [wheel.axle_position_mm for wheel in known.wheels] == [0, 128, 256]
    # Its holes are oval by 1 mm and it measures 36.4 mm, which the axles of 35 and 36 mm serve.
    (way,) = known.wanted.ways
    assert [seat.turned for seat in way.seats] == ["up", "down", "up"]
    assert skus_at(way) == {n: ["TW8-36-M8-O100", "TW8-35-M8-O100"] for n in (1, 2, 3)}


def test_the_places_of_a_tapering_frame_are_judged_with_their_own_widths(snapshot):
    frame = snapshot.frames["QH-COLTSFOOT"].model_copy(update={"holes": None})
    changed = replace(snapshot, frames={**snapshot.frames, frame.code: frame})
    request = RockersRequest(frame=frame.code, wheel_diameters_mm=[90], wanted_offsets_mm=UP_AT_THE_ENDS)
    best = skus_at(answer_rocker(request, changed).wanted.ways[0])
    # Widths 38.5 and 35.5 at the ends: of the axles of 35, 36, 38 and 40 mm the nearest is 38, and 35 or 36.
    assert best[1][0] == "TW8-38-M8-O100"
    assert best[4][0] in {"TW8-35-M8-O100", "TW8-36-M8-O100"}


def test_at_most_so_many_axles_are_named_for_a_seat_as_asked_for(answer):
    wanted = answer(**FOUR, wanted_offsets_mm=UP_AT_THE_ENDS, limit=1).wanted
    seat = wanted.ways[0].seats[0]
    assert (len(seat.skus), seat.more) == (1, 3)
    assert [axle.axle.sku for axle in wanted.axles] == ["TW8-35-M8-O100"]


@pytest.mark.parametrize(("offset", "taken"), [(10.0, True), (10.001, False)])
def test_an_axle_whose_offset_no_wheel_can_have_is_not_named(snapshot, offset, taken):
    odd = snapshot.axles["TW8-35-M8-O100"].model_copy(update={"offset_mm": offset})
    changed = replace(snapshot, axles={odd.sku: odd})
    request = RockersRequest(**FOUR, wanted_offsets_mm=[10, 0, 10, 0])
    assert (answer_rocker(request, changed).wanted.ways[0].offset_axles > 0) == taken


# --- what is refused -----------------------------------------------------------------------------


def test_every_list_of_another_length_is_told_at_once(answer):
    with pytest.raises(InvalidRequestError) as refused:
        answer(
            axle_positions_mm=[0, 80, 160],
            wheel_diameters_mm=[76, 76],
            offsets_mm=[0],
            wanted_offsets_mm=[1, 0, 0, 1],
        )
    assert [fault.path for fault in refused.value.faults] == [
        ("wheel_diameters_mm",), ("offsets_mm",), ("wanted_offsets_mm",),
    ]  # fmt: skip


def test_a_thread_that_does_not_exist_is_told_of_the_lookup(answer):
    lookup = MEASURED | {"thread": "M8x0.8"}
    with pytest.raises(InvalidRequestError) as refused:
        answer(**FOUR, wanted_offsets_mm=UP_AT_THE_ENDS, lookup=lookup)
    assert [fault.path for fault in refused.value.faults] == [("lookup", "thread")]


def test_a_frame_that_is_not_there_is_not_found(answer):
    with pytest.raises(NotInCatalogueError):
        answer(frame="NOTHING", wheel_diameters_mm=[80])


def test_a_frame_whose_places_are_not_known_is_told(snapshot):
    frame = snapshot.frames["QH-ALDER"].model_copy(update={"axle_positions_mm": ()})
    changed = replace(snapshot, frames={frame.code: frame})
    with pytest.raises(InvalidRequestError) as refused:
        answer_rocker(RockersRequest(frame=frame.code, wheel_diameters_mm=[80]), changed)
    assert [fault.path for fault in refused.value.faults] == [("frame",)]


# --- in six languages ----------------------------------------------------------------------------

ASKED = [
    {**FOUR, "offsets_mm": [0, 0.5, 0.5, 0], "wanted_offsets_mm": UP_AT_THE_ENDS},
    {**FOUR, "offsets_mm": UP_AT_THE_ENDS, "wanted_offsets_mm": [0, 0, 0, 0]},
    {**FOUR, "wheel_diameters_mm": [85], "wanted_offsets_mm": [1, 0, 0.3, 0], "lookup": MEASURED},
    {**FOUR, "wanted_offsets_mm": UP_AT_THE_ENDS, "lookup": MEASURED | {"holes": "round"}},
    {
        **FOUR,
        "wanted_offsets_mm": UP_AT_THE_ENDS,
        "lookup": MEASURED | {"holes": "oval", "hole_offset_mm": 3},
    },
    {"frame": "QH-BURDOCK", "wheel_diameters_mm": [125], "wanted_offsets_mm": [2, 0, 2]},
]


def split(answer):
    """An answer without its sentences, and its sentences in order."""
    if isinstance(answer, dict):
        parts = {name: split(value) for name, value in answer.items() if name != "text"}
        texts = [answer["text"]] if "text" in answer else []
        return {n: p for n, (p, _) in parts.items()}, texts + [t for _, more in parts.values() for t in more]
    if isinstance(answer, list):
        pairs = [split(value) for value in answer]
        return [part for part, _ in pairs], [text for _, texts in pairs for text in texts]
    return answer, []


def test_the_questions_meet_every_sentence(answer):
    met = set()
    for asked in ASKED:
        met |= set(re.findall(r"'code': '(\w+)'", str(answer(**asked).model_dump())))
    seats = {"seat_up", "seat_down", "seat_straight"}  # said within the text of a way
    assert set(ROCKERS) - seats <= met


@pytest.mark.parametrize("language", TRANSLATED)
@pytest.mark.parametrize("asked", ASKED, ids=range(len(ASKED)))
def test_codes_and_numbers_are_the_same_in_every_language_and_no_sentence_is(answer, language, asked):
    english, texts = split(answer(**asked).model_dump())
    other, translated = split(answer(language, **asked).model_dump())
    assert other == english
    assert len(translated) == len(texts)
    assert set(translated).isdisjoint(texts)
    for said, meant in zip(translated, texts, strict=True):
        assert Counter(re.findall(r"\d+", said)) == Counter(re.findall(r"\d+", meant)), (said, meant)
