"""What can stand in for a part of the demonstration, and what differs in it."""

import csv
from dataclasses import replace

import pytest

from schemas.codes import Language
from schemas.replacements import EquivalentsRequest
from service.errors import CursorError, NotInCatalogueError
from service.fitting.equivalents import equivalents_of, use_of


@pytest.fixture
def instead_of(snapshot):
    def ask(sku, *, language=Language.ENGLISH, **fields):
        return equivalents_of(sku, EquivalentsRequest(**fields), snapshot, language=language)

    return ask


def skus(found):
    return [item.axle.sku for item in found.items]


def test_the_differences_are_those_of_the_columns(instead_of):
    # TW8-36-M8-BK: f9, hexagon_4, steel 8.8, black, thread 10 mm, one for 2.40; TW8-36-M8-HX: 0.1 mm,
    # thread 11 mm, hexalobular_25, steel 10.9, silver, one for 3.90.
    (found,) = (i for i in instead_of("TW8-36-M8-BK").items if i.axle.sku == "TW8-36-M8-HX")
    assert {d.field: (d.axle, d.equivalent) for d in found.differs} == {
        "length_tolerance_mm": (0.2, 0.1),
        "thread_length_mm": (10.0, 11.0),
        "drive": ("hexagon_4", "hexalobular_25"),
        "material": ("steel_8_8", "steel_10_9"),
        "colour": ("black", "silver"),
        "price": ("2.40 EUR", "3.90 EUR"),
    }
    texts = {d.field: d.text for d in found.differs}
    assert texts["drive"] == "Drive: hexalobular_25 instead of hexagon_4."
    assert texts["thread_length_mm"] == "Length of the thread: 11 mm instead of 10 mm."


def test_the_walls_are_the_thinnest_and_the_thickest_tapped_one_of_the_known_frames(snapshot, seed_data):
    with (seed_data / "frames.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["fastening"] == "threaded_wall"]
    walls = [float(row["far_wall_mm"]) for row in rows if row["far_wall_mm"]]
    assert use_of(EquivalentsRequest(), snapshot).walls_mm == (min(walls), max(walls))


def test_a_pack_differs_in_its_number_and_price(instead_of):
    (found,) = (i for i in instead_of("TP8-30-RD").items if i.axle.sku == "TP8-30-RD-P8")
    assert {d.field for d in found.differs} == {"shaft_tolerance", "pack_quantity", "price"}


def test_what_is_not_known_is_said_to_be(instead_of):
    (found,) = (i for i in instead_of("TW8-38-M8-BK").items if i.axle.sku == "TW8-38-SURPLUS")
    (material,) = (d for d in found.differs if d.field == "material")
    assert (material.axle, material.equivalent) == ("steel_8_8", None)
    assert material.text == "Material: not known instead of steel_8_8."


def test_an_offset_that_is_not_stated_is_none(instead_of):
    (found,) = (i for i in instead_of("TP8-32-RD").items if i.axle.sku == "TP8-32-WIDECLAIM")
    assert "offset_mm" not in {d.field for d in found.differs}


def test_nothing_stands_in_for_itself_and_the_whole_catalogue_agrees_about_it(instead_of, snapshot):
    pairs = {(sku, other) for sku in snapshot.axles for other in skus(instead_of(sku, limit=100))}
    assert len(pairs) > 100
    assert all(one != other for one, other in pairs)
    for one, other in pairs:
        first, second = snapshot.axles[one], snapshot.axles[other]
        assert first.fastening == second.fastening
        if first.fastening == "two_piece" and first.keyed_profile and second.keyed_profile:
            assert first.keyed_profile == second.keyed_profile


def test_a_keyed_axle_says_that_it_goes_into_one_family_only(snapshot, instead_of):
    keyed = snapshot.axles["TP8-30-LARCH"]
    twin = keyed.model_copy(update={"sku": "TWIN", "colour": "black"})
    richer = replace(snapshot, axles={**snapshot.axles, "TWIN": twin})
    (found,) = equivalents_of("TP8-30-LARCH", EquivalentsRequest(), richer).items
    assert (found.axle.sku, found.frame_family) == ("TWIN", "larch")
    assert "larch" in found.frame_family_text
    assert all(item.frame_family is None for item in instead_of("TP8-30-RD").items)


def test_the_reasons_are_those_on_a_frame_made_for_the_axle(instead_of):
    (found,) = (i for i in instead_of("TW8-36-M8-BK").items if i.axle.sku == "TW8-36-M8-BR6")
    outcomes = {reason.check: reason.outcome for reason in found.reasons}
    assert outcomes["brake"] == "caution"
    assert "fail" not in outcomes.values()
    assert found.verdict == "fits_with_caution"


def test_an_axle_that_is_not_measured_has_a_note_in_place_of_parts(instead_of):
    found = instead_of("TW8-UNMEASURED")
    assert found.items == []
    assert "length_mm" in found.note
    assert instead_of("TW8-36-M8-BK").note is None


def test_the_pages_are_the_list(instead_of):
    whole = skus(instead_of("TW8-36-M8-BK", limit=100))
    first = instead_of("TW8-36-M8-BK", limit=3)
    second = instead_of("TW8-36-M8-BK", limit=3, cursor=first.next_cursor)
    assert skus(first) + skus(second) == whole[:6]
    assert [item.rank for item in second.items] == [4, 5, 6]
    with pytest.raises(CursorError):
        instead_of("TW8-36-M8-BK", child=True, cursor=first.next_cursor)


def test_a_cursor_of_another_axle_is_refused(instead_of):
    cursor = instead_of("TW8-36-M8-BK", limit=1).next_cursor
    with pytest.raises(CursorError):
        instead_of("TW8-38-M8-BK", limit=1, cursor=cursor)


def test_a_part_that_is_not_there_is_said_to_be_missing(instead_of):
    with pytest.raises(NotInCatalogueError):
        instead_of("NOTHING")


@pytest.mark.parametrize("language", [language for language in Language if language != "en"])
def test_the_differences_are_told_in_each_language(instead_of, language):
    english, translated = instead_of("TW8-38-M8-BK"), instead_of("TW8-38-M8-BK", language=language)
    assert skus(english) == skus(translated)
    for one, other in zip(english.items, translated.items, strict=True):
        assert all(a.text != b.text for a, b in zip(one.differs, other.differs, strict=True))
