"""The cautions that the facts of a lookup call for; they are common practice, no source."""

import pytest

from schemas.lookup import LookupRequest
from service.fitting.lookup import look_up

ALWAYS = {
    "maker_and_workshop_first",
    "tighten_and_check_again",
    "never_ride_proud_or_loose",
    "replace_rounded_socket",
}
LOOKUPS = {
    "threaded wall": {"fastening": "threaded_wall", "outside_width_mm": 36.4, "far_wall_mm": 6, "bore_mm": 8},
    "two piece": {"fastening": "two_piece", "outside_width_mm": 33.5, "bore_mm": 8},
    "thin two piece": {
        "fastening": "two_piece",
        "outside_width_mm": 32,
        "bore_mm": 6,
        "keyed_profile": "none",
    },
    "bolt and nut": {"fastening": "bolt_and_nut", "outside_width_mm": 37, "bore_mm": 8},
    "nothing fits": {"fastening": "threaded_wall", "outside_width_mm": 120},
}
ADULT = {"rider_mass_kg": 80}
CHILD = {"rider_mass_kg": 30, "child": True}


@pytest.fixture
def answer(snapshot):
    return lambda **fields: look_up(LookupRequest(**fields), snapshot)


@pytest.fixture
def cautions(answer):
    """The codes of the cautions of a lookup."""
    return lambda **fields: [caution.code for caution in answer(**fields).cautions]


@pytest.mark.parametrize("rider", [{}, ADULT, CHILD], ids=["unknown", "adult", "child"])
@pytest.mark.parametrize("fields", LOOKUPS.values(), ids=list(LOOKUPS))
def test_every_answer_tells_to_tighten_to_check_and_to_ask_the_maker_and_a_workshop(cautions, fields, rider):
    assert set(cautions(**fields, **rider)) >= ALWAYS


def test_the_frame_maker_and_a_qualified_workshop_have_the_last_word(answer):
    first = answer(**LOOKUPS["threaded wall"]).cautions[0]
    assert first.code == "maker_and_workshop_first"
    assert "frame maker's instructions come first" in first.text
    assert "qualified workshop" in first.text


@pytest.mark.parametrize("fields", LOOKUPS.values(), ids=list(LOOKUPS))
def test_a_child_s_and_an_adult_s_answer_differ(cautions, fields):
    child, adult = cautions(**fields, **CHILD), cautions(**fields, **ADULT)
    assert "child_skate_checked_by_adult" in child
    assert "child_skate_checked_by_adult" not in adult
    assert child != adult


@pytest.mark.parametrize(
    ("rider", "warned"),
    [
        ({}, True),  # no mass, and no child's skate: it may be an adult's
        ({"rider_mass_kg": 59.9}, False),
        ({"rider_mass_kg": 60}, True),
        ({"rider_mass_kg": 80}, True),
        ({"child": True}, False),
        ({"child": True, "rider_mass_kg": 80}, True),
    ],
    ids=str,
)
def test_thin_axles_are_not_for_adults(answer, rider, warned):
    found = answer(**LOOKUPS["thin two piece"], **rider)
    assert any(fit.axle.shaft_mm == 6 for fit in found.fits)
    assert ("thin_axles_not_for_adults" in {caution.code for caution in found.cautions}) is warned


def test_an_adult_on_axles_of_8_mm_is_not_warned_of_thin_ones(answer):
    found = answer(**LOOKUPS["threaded wall"], **ADULT)
    assert {fit.axle.shaft_mm for fit in found.fits} == {8.0}
    assert "thin_axles_not_for_adults" not in {caution.code for caution in found.cautions}


@pytest.mark.parametrize(
    ("name", "told"),
    [("threaded wall", True), ("two piece", True), ("bolt and nut", False), ("nothing fits", False)],
)
def test_thread_locking_is_as_the_maker_says_where_a_thread_holds_the_axle(answer, name, told):
    found = answer(**LOOKUPS[name])
    assert bool(found.fits) is (name != "nothing fits")
    assert ("thread_locking_as_maker_says" in {caution.code for caution in found.cautions}) is told


@pytest.mark.parametrize("rider", [{}, ADULT, CHILD], ids=["unknown", "adult", "child"])
@pytest.mark.parametrize("fields", LOOKUPS.values(), ids=list(LOOKUPS))
def test_each_caution_is_a_sentence_and_said_once(answer, fields, rider):
    found = answer(**fields, **rider).cautions
    assert len({caution.code for caution in found}) == len(found)
    assert [caution.text for caution in found if not caution.text.endswith(".")] == []
