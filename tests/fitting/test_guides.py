"""The guides say the numbers that the engine reckons with, and the drives that the catalogue has."""

import re
from collections import Counter
from dataclasses import replace
from math import sqrt

import pytest

from schemas.codes import Language
from schemas.lookup import LookupRequest
from service.engine import constants
from service.engine.frame_notes import frame_notes
from service.engine.ranking import drive_family
from service.fitting import guides
from service.fitting.guide_sentences import GUIDES
from service.fitting.guides import measuring_guide, tools_guide
from service.fitting.translate import frame_of

TRANSLATED = [language for language in Language if language is not Language.ENGLISH]


def texts_of(answer):
    """Every sentence of a guide."""
    if isinstance(answer, dict):
        found = [answer["text"]] if "text" in answer else []
        return found + [text for value in answer.values() for text in texts_of(value)]
    return [text for value in answer for text in texts_of(value)] if isinstance(answer, list) else []


def numbers_in(text):
    return re.findall(r"\d+(?:\.\d+)?", text)


# --- measuring -----------------------------------------------------------------------------------


def test_no_number_stands_in_a_sentence_of_the_guides_itself():
    assert [code for code, text in GUIDES.items() if re.search(r"\d", text)] == []


def test_every_instrument_of_the_lookup_is_told_with_the_error_that_the_lookup_reckons_with():
    told = {one.instrument: one for one in measuring_guide().instruments}
    assert set(told) == set(constants.INSTRUMENT_HALF_WIDTH_MM)
    for name, one in told.items():
        half_width = constants.INSTRUMENT_HALF_WIDTH_MM[name]
        width = frame_of(LookupRequest(outside_width_mm=36.4, instrument=name)).widths.outside
        assert one.half_width_mm == half_width
        # Rectangular: the half width by √3 (JCGM 100:2008, 4.3.7), as the lookup has it.
        assert one.standard_uncertainty_mm == round(half_width / sqrt(3), 3)
        assert one.standard_uncertainty_mm == round(width.standard_uncertainty_mm, 3)
        assert float(numbers_in(one.text)[0]) == half_width


def test_an_instrument_that_is_read_worse_is_told_so(monkeypatch):
    monkeypatch.setitem(constants.INSTRUMENT_HALF_WIDTH_MM, "ruler", 0.75)
    ruler = next(one for one in measuring_guide().instruments if one.instrument == "ruler")
    assert (ruler.half_width_mm, ruler.standard_uncertainty_mm) == (0.75, 0.433)  # 0.75/√3
    assert "0.75 mm" in ruler.text


def test_every_length_that_a_lookup_takes_as_measured_is_explained():
    measured = {name for name in LookupRequest.model_fields if name.endswith(("_width_mm", "_wall_mm"))}
    explained = {measure.field for measure in measuring_guide().measures}
    assert measured | {"bore_mm", "recess_mm", "hole_offset_mm", "thread"} == explained
    assert explained <= set(LookupRequest.model_fields)


def test_each_measure_names_its_best_instrument_first_and_the_error_of_it():
    guide = measuring_guide()
    errors = {one.instrument: one.standard_uncertainty_mm for one in guide.instruments}
    for measure in guide.measures:
        assert measure.instruments[0] == "calliper"
        assert measure.standard_uncertainty_mm == errors[measure.instruments[0]]


def test_the_classes_of_bores_and_the_usual_hub_are_those_of_the_engine():
    texts = {measure.field: measure.text for measure in measuring_guide().measures}
    assert tuple(map(float, numbers_in(texts["bore_mm"]))) == constants.BORE_CLASSES_MM
    assert list(map(float, numbers_in(texts["hub_width_mm"]))) == [constants.HUB_WIDTH_MM]


def test_the_gap_that_is_too_wide_is_the_one_at_which_the_lookup_says_so():
    (text,) = (step.text for step in measuring_guide().readings if step.code == "readings_closed")
    (gap,) = map(float, numbers_in(text))
    for outside, agree in ((36.4 + gap - 0.01, True), (36.4 + gap + 0.01, False)):
        frame = frame_of(
            LookupRequest(outside_width_mm=outside, inside_width_mm=24.4, head_wall_mm=6, far_wall_mm=6)
        )
        note = next(note for note in frame_notes(frame) if note.check == "readings_agree")
        assert (note.code == "readings_agree") == agree


# --- tools ---------------------------------------------------------------------------------------


def test_the_drives_are_those_of_the_catalogue_with_how_many_axles_have_them(snapshot):
    drives = tools_guide(snapshot).drives
    counts = Counter(record.drive for record in snapshot.axles.values() if record.drive)
    assert {one.drive: one.axles for one in drives} == counts
    two = Counter(r.drive for r in snapshot.axles.values() if r.drive and r.driven_heads == 2)
    assert {one.drive: one.axles_with_two_keys for one in drives if one.axles_with_two_keys} == two


def test_a_drive_that_no_axle_has_is_not_told(snapshot):
    few = replace(snapshot, axles={"TW8-36-M8-BK": snapshot.axles["TW8-36-M8-BK"]})
    assert [one.drive for one in tools_guide(few).drives] == [few.axles["TW8-36-M8-BK"].drive]


def test_the_drives_that_survive_use_best_come_first_and_smaller_sizes_before_larger(snapshot):
    drives = [one.drive for one in tools_guide(snapshot).drives]
    families = list(dict.fromkeys(drive_family(drive) for drive in drives))
    assert families == list(constants.DRIVE_ORDER)
    assert [d for d in drives if d.startswith("hexagon")] == ["hexagon_3", "hexagon_4", "hexagon_5"]


@pytest.mark.parametrize(
    ("drive", "size", "standard"),
    [
        ("hexagon_4", "4", "ISO 2936"),
        ("hexalobular_25", "25", "ISO 10664"),
        ("cross_h2", "H2", "ISO 4757"),
        ("external_hexagon_13", "13", "ISO 272"),
        ("slot", None, "ISO 2380-1"),
    ],
)
def test_a_drive_has_its_size_and_the_standard_that_the_size_goes_by(snapshot, drive, size, standard):
    (one,) = (one for one in tools_guide(snapshot).drives if one.drive == drive)
    assert (one.size, one.standard) == (size, standard)
    assert size is None or size in one.text
    assert standard in one.source


def test_every_family_of_drives_has_a_standard_and_sentences():
    for family in constants.DRIVE_ORDER:
        assert family in constants.DRIVE_STANDARDS
        assert {f"drive_{family}", f"drive_name_{family}"} <= set(GUIDES)


def test_the_torque_is_the_one_that_the_engine_reckons_with(snapshot, monkeypatch):
    monkeypatch.setattr(guides, "ASSEMBLY_TORQUE_NM", 5.5)
    tightening = tools_guide(snapshot).tightening
    assert tightening.torque_nm == 5.5
    assert numbers_in(tightening.text) == ["5.5"]


def test_the_torque_of_the_guide_is_not_changed_by_hand(snapshot):
    assert tools_guide(snapshot).tightening.torque_nm == constants.ASSEMBLY_TORQUE_NM


def test_a_worn_socket_is_first_left_alone_and_its_axle_is_not_fitted_again(snapshot):
    steps = [step.code for step in tools_guide(snapshot).worn_socket]
    assert (steps[0], steps[-1]) == ("worn_stop", "worn_replace")
    assert "worn_workshop" in steps


# --- both ----------------------------------------------------------------------------------------


def test_both_guides_defer_to_the_maker_and_a_workshop(snapshot):
    for guide in (measuring_guide(), tools_guide(snapshot)):
        assert guide.cautions[0].code == "maker_and_workshop_first"


def test_every_piece_of_advice_says_where_it_is_from(snapshot):
    measuring, tools = measuring_guide(), tools_guide(snapshot)
    advice = [*measuring.instruments, *measuring.measures, *measuring.readings]
    advice += [*tools.drives, *tools.keys, tools.tightening, *tools.worn_socket]
    for one in advice:
        assert "common practice, no source" in one.source or re.search(r"(ISO|JCGM) \d", one.source), one


@pytest.mark.parametrize("language", TRANSLATED)
def test_the_guides_say_the_same_numbers_in_every_language_and_other_words(snapshot, language):
    english = texts_of(measuring_guide().model_dump()) + texts_of(tools_guide(snapshot).model_dump())
    translated = texts_of(measuring_guide(language=language).model_dump())
    translated += texts_of(tools_guide(snapshot, language=language).model_dump())
    assert set(english).isdisjoint(translated)
    assert [sorted(numbers_in(t)) for t in translated] == [sorted(numbers_in(t)) for t in english]
    assert not any(re.search(r"[{}]", text) for text in translated)


def test_every_sentence_of_the_guides_is_said(snapshot):
    said = " ".join(texts_of(measuring_guide().model_dump()) + texts_of(tools_guide(snapshot).model_dump()))
    unsaid = [code for code, text in GUIDES.items() if max(re.split(r"\{\w+\}", text), key=len) not in said]
    assert unsaid == []
