"""What is said of an old axle: what was inferred, what could not be, and the lookup that follows."""

import re

import pytest

from schemas.codes import Language
from schemas.identify import IdentifyRequest
from schemas.lookup import LookupRequest
from service.errors import CursorError, InvalidRequestError
from service.fitting import replacement_sentences
from service.fitting.identify import identify
from service.fitting.lookup import look_up

THREADED = {
    "fastening": "threaded_wall", "overall_length_mm": 36.05, "shaft_mm": 7.97, "thread_major_mm": 7.88,
    "thread_pitch_mm": 1.25, "drive": "hexagon_4", "colour": "black", "offset_mm": 0, "brake_thread": "none",
}  # fmt: skip
KEYED = {
    "pieces": ["barrel", "screw"], "barrel_mm": 30.02, "barrel_mouth_mm": 1.0, "barrel_thread_mm": 11.0,
    "screw_mm": 14.0, "shaft_mm": 8, "thread": "M6x1", "keyed_profile": "larch", "driven_heads": 1,
}  # fmt: skip


@pytest.fixture
def told(snapshot):
    def ask(*, without=(), language=Language.ENGLISH, **fields):
        given = {name: value for name, value in fields.items() if name not in without}
        return identify(IdentifyRequest(**given), snapshot, language=language)

    return ask


def codes(inferences):
    return {inference.code for inference in inferences}


def skus(parts):
    return [part.axle.sku for part in parts]


def test_two_parts_that_differ_in_their_packs_cannot_be_told_apart(told):
    found = told(**THREADED, thread_length_mm=10.02, material="steel_8_8")
    assert skus(found.same)[:2] == ["TW8-36-M8-BK", "TW8-36-M8-BK8"]
    assert [part.rank for part in found.same[:2]] == [1, 1]
    assert {part.verdict for part in found.same} == {"check_first"}
    assert {"pack_quantity", "price", "shaft_tolerance"} <= set(found.differ_in)
    assert "parts_not_told_apart" in codes(found.not_inferred)


def test_a_part_that_is_like_no_other_is_told_with_certainty(told):
    found = told(**KEYED, drive="hexagon_4", colour="silver", material="steel_8_8")
    assert [(part.axle.sku, part.verdict, part.rank) for part in found.same] == [("TP8-30-LARCH", "fits", 1)]
    assert found.differ_in == []
    assert "parts_not_told_apart" not in codes(found.not_inferred)


def test_an_axle_like_no_part_is_said_to_be_none(told):
    found = told(
        **(THREADED | {"overall_length_mm": 36.5, "thread_length_mm": 10, "material": "titanium_6al_4v"})
    )
    assert found.same == []
    assert "no_part_agrees" in codes(found.not_inferred)
    # Between 36 and 37 mm, and neither within both tolerances: yet a lookup follows that lists both.
    assert {36.0, 37.0} <= {fit.axle.length_mm for fit in found.answer.fits}


def test_a_part_whose_length_the_catalogue_lacks_is_to_be_checked_first(told):
    found = told(**(THREADED | {"overall_length_mm": 36.5}))
    assert [(part.axle.sku, part.verdict) for part in found.same] == [("TW8-UNMEASURED", "check_first")]
    (length,) = (reason for reason in found.same[0].reasons if reason.field == "overall_length_mm")
    assert (length.outcome, length.code) == ("unknown", "part_lacks")


def test_the_lookup_that_follows_from_an_axle_for_a_threaded_wall(told):
    assert told(**THREADED).lookup == LookupRequest(
        fastening="threaded_wall", outside_width_mm=36.05, instrument="ruler", bore_mm=8, thread="M8x1.25",
        holes="round",
    )  # fmt: skip


def test_the_lookup_that_follows_from_a_two_piece_axle_takes_its_grip_as_it_was_read(told):
    found = told(**KEYED, grip_mm=[33.5, 33.6])
    assert found.lookup == LookupRequest(
        fastening="two_piece", outside_width_mm=[33.5, 33.6], bore_mm=8, keyed_profile="larch", keys_needed=1
    )


def test_the_lookup_of_an_axle_for_oval_holes_or_a_brake_says_so(told):
    oval = told(**(THREADED | {"offset_mm": 0.75})).lookup
    assert (oval.holes, oval.hole_offset_mm) == ("oval", 0.75)
    brake = told(**(THREADED | {"brake_thread": "M6"})).lookup
    assert (brake.position, brake.brake_thread) == ("brake", "M6x1")


def test_the_answer_is_that_of_the_lookup(told, snapshot):
    found = told(**THREADED, rider_mass_kg=82, limit=3)
    assert found.lookup.rider_mass_kg == 82
    assert found.answer == look_up(found.lookup, snapshot)
    assert len(found.answer.fits) == 3


def test_a_thread_that_is_not_sure_is_not_looked_up(told):
    found = told(**THREADED, without=["thread_pitch_mm"])
    assert [answer.thread for answer in found.threads] == ["M8x1", "M8x1.25"]
    assert sum(answer.probability for answer in found.threads) == pytest.approx(1, abs=0.002)
    assert found.lookup.thread is None
    assert "thread_unsure" in codes(found.not_inferred)
    assert {"M8x1", "M8x1.25"} <= {part.axle.thread for part in told(**THREADED, without=[
        "thread_pitch_mm", "drive", "colour"], limit=100).same}  # fmt: skip


def test_a_pitch_is_as_sure_as_the_turns_that_it_was_read_over(told):
    # With a ruler, u = √((0.5/n)²/3 + 0.02²): 0.29 mm over one turn, 0.035 mm over ten. 1.12 mm lies
    # 0.12 mm from 1 mm and 0.13 mm from 1.25 mm, the nearest pitches of 8 mm.
    read = {"thread_major_mm": 7.88, "thread_pitch_mm": 1.12, "instrument": "ruler"}
    assert {"M8x1", "M8x1.25"} <= {answer.thread for answer in told(**read, pitch_turns=1).threads}
    assert told(**read, pitch_turns=10).threads == told(**read).threads == []


def test_without_a_grip_the_width_of_a_frame_for_two_pieces_does_not_follow(told):
    found = told(**KEYED)
    assert (found.lookup, found.answer) == (None, None)
    assert "width_not_told" in codes(found.not_inferred)
    # Barrel 30, mouth 1, thread 11, screw 14: from 30 + 14 − 1 − 11 = 32 to 30 + 14 − 1 − 2 = 41 mm.
    (widths,) = (i for i in found.inferred if i.code == "widths_from_lengths")
    assert "32.02 to 41.02 mm" in widths.text


def test_what_stands_in_serves_the_same_widths(told):
    found = told(**(KEYED | {"keyed_profile": "none", "driven_heads": 2}))
    assert set(skus(found.stand_ins)) == {"TP8-30-RD", "TP8-30-RD-P6", "TP8-30-RD-P8", "TP8-30-RD-P16"}
    keyed = told(**KEYED, drive="hexagon_4", colour="silver", material="steel_8_8")
    assert skus(keyed.stand_ins) == []  # but the part itself, nothing is keyed larch for that width


def test_a_bolt_measured_whole_counts_without_its_head(told):
    # ISO 4014: the head of M8 is 5.3 mm high.
    found = told(pieces=["bolt", "nut"], overall_length_mm=55.3, thread="M8", nut_height_mm=6.8, shaft_mm=8)
    (length,) = (inference for inference in found.inferred if inference.field == "length_mm")
    assert (length.code, length.value, length.source) == (
        "length_less_head",
        50.0,
        "hexagon head height, ISO 4014",
    )
    assert skus(found.same) == ["BN8-50"]


def test_almost_nothing_gives_many_parts_a_page_at_a_time(told, snapshot):
    pages, cursor = [], None
    while True:
        found = told(shaft_mm=6, limit=4, cursor=cursor)
        pages += skus(found.same)
        cursor = found.next_cursor
        if cursor is None:
            break
    assert sorted(pages) == sorted(sku for sku, axle in snapshot.axles.items() if axle.shaft_mm in {6, None})
    with pytest.raises(CursorError):
        told(shaft_mm=8, cursor=told(shaft_mm=6, limit=4).next_cursor)


def test_a_thread_that_does_not_exist_is_refused_by_field(told):
    for field in ("thread", "brake_thread"):
        with pytest.raises(InvalidRequestError) as caught:
            told(**{field: "M8x9"})
        assert [fault.path for fault in caught.value.faults] == [(field,)]


MANY = [
    THREADED,
    KEYED | {"grip_mm": 33.5},
    {"shaft_mm": 6.15},
    {"shaft_mm": 7.1, "thread_major_mm": 7.88, "thread_pitch_mm": 0.5},
    {"drive": "hexagon_4", "pieces": ["axle"]},
    {"thread": "M8", "fastening": "bolt_and_nut", "under_head_mm": 50, "nut_height_mm": 6.8, "grip_mm": 40},
    {"pieces": ["bolt"], "overall_length_mm": 55.3, "thread": "M8"},
    {"pieces": ["barrel"]},
    {"pieces": ["barrel"], "keyed_profile": "none", "grip_mm": 35, "material": "aluminium_6061_t6"},
    THREADED | {"offset_mm": 0.75, "brake_thread": "M6x1", "overall_length_mm": 60},
    THREADED | {"thread_pitch_mm": None},
    {"fastening": "threaded_wall", "shaft_mm": 8, "thread_length_mm": 10, "overall_length_mm": 36},
]


@pytest.fixture(scope="module")
def sayings(snapshot):
    """The inferences and agreements of many old axles, in each language."""
    return {
        language: [
            identify(IdentifyRequest(**fields, limit=100), snapshot, language=language) for fields in MANY
        ]
        for language in Language
    }


def test_many_old_axles_meet_every_sentence(sayings):
    found = sayings[Language.ENGLISH]
    inferred = {i.code for answer in found for i in (*answer.inferred, *answer.not_inferred)}
    agreed = {reason.code for answer in found for part in answer.same for reason in part.reasons}
    assert inferred == set(replacement_sentences.INFERENCES)
    assert agreed == set(replacement_sentences.AGREEMENTS)


@pytest.mark.parametrize("language", Language)
def test_every_sentence_is_whole_in_each_language(sayings, language):
    for answer in sayings[language]:
        texts = [i.text for i in (*answer.inferred, *answer.not_inferred)]
        texts += [reason.text for part in answer.same for reason in part.reasons]
        texts += [d.text for part in answer.stand_ins for d in part.differs]
        for text in texts:
            assert text.endswith(".")
            assert not re.search(r"[{}]|\bNone\b|\bnan\b|\binf\b", text), text
