"""What a drawing shows: what is wrong where it is wrong, what is not known, in every language."""

import re
from dataclasses import replace
from itertools import islice

import pytest

from schemas.codes import Language
from schemas.drawings import FitDrawingRequest
from service.errors import InvalidRequestError
from service.fitting.drawing.answer import drawing_answer
from service.fitting.drawing.sheet import fit_drawing
from service.fitting.drawing_sentences import DRAWINGS
from service.fitting.languages import sentences_in
from tests.fitting.drawn import SVG, Drawn, random_drawings

THREADED = {
    "sku": "TW8-36-M8-HX6", "fastening": "threaded_wall", "outside_width_mm": 36.4, "far_wall_mm": 6,
    "head_wall_mm": 6, "bore_mm": 8, "thread": "M8x1.25", "rider_mass_kg": 75,
}  # fmt: skip
TWO_PIECE = {
    "sku": "TP8-32-RD", "fastening": "two_piece", "outside_width_mm": 36.4, "bore_mm": 8,
    "keyed_profile": "none", "rider_mass_kg": 75,
}  # fmt: skip
BOLT = {"sku": "BN8-50", "fastening": "bolt_and_nut", "outside_width_mm": 40.4, "bore_mm": 8}
WITHIN_MM = 0.05


@pytest.fixture(scope="module")
def draw(snapshot):
    """Draws an axle in a frame; fields over fields."""

    def make(fields, language=Language.ENGLISH, catalogue=snapshot, **others):
        request = FitDrawingRequest(**(fields | others))
        return fit_drawing(drawing_answer(request, catalogue, language=language), language=language)

    return make


@pytest.fixture(scope="module")
def drawn(draw):
    return lambda fields, **others: Drawn(draw(fields, **others))


def places(drawing):
    """Where the outer faces of the frame are on the sheet."""
    return drawing.dimension("outside_width_mm").ends


def test_an_axle_that_is_too_long_stands_out_of_the_wall_by_the_difference(drawn):
    drawing = drawn(THREADED, sku="TW8-38-M8-HX6")
    left, _, right, _ = drawing.box("zone_proud")
    face = places(drawing)[1]
    assert left == pytest.approx(face, abs=WITHIN_MM)
    assert right - left == pytest.approx(38 - 36.4, abs=WITHIN_MM)
    assert "proud 1.6\u00a0mm" in " ".join(drawing.texts())


def test_an_axle_that_is_too_short_leaves_thread_of_the_wall_empty(drawn):
    drawing = drawn(THREADED, outside_width_mm=39, inside_width_mm=None)
    _, _, right, _ = drawing.box("zone_short")
    assert right == pytest.approx(places(drawing)[1], abs=WITHIN_MM)


def test_a_barrel_that_is_too_long_meets_the_other_head(drawn):
    drawing = drawn(TWO_PIECE, sku="TP8-38-RD")
    left, _, right, _ = drawing.box("zone_clash")
    assert left == pytest.approx(places(drawing)[1], abs=WITHIN_MM)
    assert right - left == pytest.approx(38 - 36.4, abs=WITHIN_MM)


def test_a_screw_that_is_too_long_bottoms_in_the_barrel(drawn, snapshot):
    drawing = drawn(TWO_PIECE, sku="TP8-38-RD")
    record = snapshot.axles["TP8-38-RD"]
    left, _, right, _ = drawing.box("zone_bottom")
    thread_from = record.barrel_mm - record.barrel_mouth_mm - record.barrel_thread_mm
    assert right - left == pytest.approx(thread_from - (36.4 - record.screw_mm), abs=WITHIN_MM)
    assert left == pytest.approx(places(drawing)[1] - record.screw_mm, abs=WITHIN_MM)


def test_a_screw_that_does_not_reach_leaves_a_gap_before_the_barrels_thread(drawn, snapshot):
    drawing = drawn(TWO_PIECE, sku="TP8-24-RD", outside_width_mm=42)
    record = snapshot.axles["TP8-24-RD"]
    gap = (42 - record.screw_mm) - (record.barrel_mm - record.barrel_mouth_mm)
    assert gap > 0
    left, _, right, _ = drawing.box("zone_short")
    assert right - left == pytest.approx(gap, abs=WITHIN_MM)


def test_a_bolt_that_is_too_long_stands_out_of_its_nut(drawn):
    drawing = drawn(BOLT, outside_width_mm=36)
    left, _, right, _ = drawing.box("zone_end")
    assert left == pytest.approx(places(drawing)[1] + 6.8, abs=WITHIN_MM)  # the nut's height
    assert right - left == pytest.approx(50 - 36 - 6.8, abs=WITHIN_MM)


def test_a_bolt_that_is_too_short_does_not_fill_its_nut(drawn):
    drawing = drawn(BOLT, outside_width_mm=44)
    left, _, right, _ = drawing.box("zone_nut")
    assert left == pytest.approx(places(drawing)[1] + 50 - 44, abs=WITHIN_MM)
    assert right == pytest.approx(places(drawing)[1] + 6.8 + 1.25, abs=WITHIN_MM)  # one pitch must show


@pytest.mark.parametrize(
    ("bore", "sku", "word"), [(6, "TW8-36-M8-HX6", "thick"), (8, "TW6-36-M6-BK", "thin")]
)
def test_a_shaft_and_holes_of_two_sizes_are_crossed_out_between_them(drawn, bore, sku, word):
    drawing = drawn(THREADED, sku=sku, bore_mm=bore)
    found = drawing.named(f"zone_{word}")
    assert len(found) == 4  # over and under the axle, in both walls
    heights = [float(box.get("height")) for element, _ in found for box in element.iter(f"{SVG}rect")]
    assert heights == pytest.approx([1.0] * 4, abs=WITHIN_MM)  # (8 − 6)/2


def test_a_hub_that_is_too_wide_reaches_into_both_walls(drawn):
    drawing = drawn(THREADED, hub_width_mm=26)
    inside = 36.4 - 12
    widths = [
        float(box.get("width"))
        for element, _ in drawing.named("zone_hub")
        for box in element.iter(f"{SVG}rect")
    ]
    assert widths == pytest.approx([(26 - inside) / 2] * 2, abs=WITHIN_MM)


def test_oval_holes_are_drawn_oval_and_crossed_out_around_a_straight_axle(drawn):
    drawing = drawn(THREADED, holes="oval", hole_offset_mm=1)
    _, top, _, bottom = drawing.box("zone_oval")
    assert bottom - top == pytest.approx(8 + 2 * 1, abs=WITHIN_MM)


def test_the_seat_of_an_offset_axle_and_its_wheel_are_off_the_middle(drawn):
    drawing = drawn(THREADED, sku="TW8-36-M8-O100", holes="oval", hole_offset_mm=1)
    _, top, _, bottom = drawing.box("seat")
    _, high, _, low = drawing.box("hub")
    middle = sum(drawing.box("length")[1::2]) / 2
    assert (high + low) / 2 == pytest.approx((top + bottom) / 2, abs=WITHIN_MM)
    assert drawing.dimension("offset_mm").measures == pytest.approx(1.0, abs=WITHIN_MM)
    assert top < middle - 4


@pytest.mark.parametrize(
    ("fields", "zone"),
    [
        (THREADED | {"position": "brake", "brake_thread": "M6x1"}, "zone_brake"),
        (THREADED | {"thread": "M8x1"}, "zone_thread"),
        (THREADED | {"fastening": "two_piece"}, "check_fastening"),
        (THREADED | {"sku": "TW8-36-M8-O100", "holes": "round"}, "zone_round"),
        (TWO_PIECE | {"keyed_profile": "larch"}, "zone_round_head"),
        (TWO_PIECE | {"sku": "TP8-32-LARCH"}, "zone_keyed"),
    ],
)
def test_what_does_not_match_is_crossed_out_with_a_cross_and_a_word(drawn, fields, zone):
    drawing = drawn(fields)
    ((element, _),) = islice(drawing.named(zone), 1)
    assert element.get("class") == "axd-wrong"
    assert any(f"#{prefix_of(drawing)}-wrong" in box.get("fill") for box in element.iter(f"{SVG}rect"))
    marks = [" ".join(text.text for text in mark.iter(f"{SVG}text")) for mark, _ in drawing.named("mark")]
    assert any(DRAWINGS[zone] in mark for mark in marks), marks
    kinds = [sign.get("data-kind") for mark, _ in drawing.named("mark") for sign in mark]
    assert "cross" in kinds


def prefix_of(drawing):
    return drawing.root.get("aria-labelledby").partition("-title")[0]


def test_what_fits_has_nothing_crossed_out(drawn):
    drawing = drawn(THREADED)
    assert not [e for e in drawing.root.iter() if e.get("class") == "axd-wrong"]
    assert drawing.named("sign")[0][0].get("data-kind") == "tick"


def test_a_thin_axle_has_its_sleeve_through_the_whole_hub(drawn):
    drawing = drawn(THREADED, sku="TW6-36-M6-BK", bore_mm=6, thread="M6x1")
    sleeve, hub = drawing.box("sleeve"), drawing.box("hub")
    assert sleeve[2] - sleeve[0] == pytest.approx(24, abs=WITHIN_MM)
    assert sleeve[3] - sleeve[1] == pytest.approx(8, abs=WITHIN_MM)
    assert sleeve[0] == pytest.approx(hub[0], abs=WITHIN_MM)


def test_walls_that_were_not_measured_are_dashed_and_named_in_the_legend(drawn):
    unknown = drawn({"sku": "TW8-36-M8-HX6", "outside_width_mm": 36.4})
    legend = " ".join(text.text for text in unknown.named("legend")[0][0].iter(f"{SVG}text"))
    assert "head wall 6\u00a0mm" in legend
    assert "far wall 6\u00a0mm" in legend
    assert dashed(unknown, "head_wall")
    known = drawn(THREADED)
    assert "wall" not in " ".join(text.text for text in known.named("legend")[0][0].iter(f"{SVG}text"))
    assert not dashed(known, "head_wall")


def dashed(drawing, name):
    return any(part.get("stroke-dasharray") for part in drawing.named(name)[0][0].iter())


def test_an_axle_without_a_window_is_drawn_and_cannot_be_told(drawn):
    drawing = drawn({"sku": "BN8-48-NONUT", "outside_width_mm": 36.4})
    assert "cannot tell" in drawing.texts()
    assert not drawing.named("width_window")
    assert "nut_height_mm" in " ".join(drawing.texts())


def test_readings_that_contradict_each_other_are_drawn_as_if_not_made(drawn):
    drawing = drawn({"sku": "TW8-36-M8-HX6", "outside_width_mm": 36.4, "inside_width_mm": 40})
    assert drawing.dimension("outside_width_mm").measures == pytest.approx(36.4, abs=WITHIN_MM)
    assert drawing.dimension("inside_width_mm") is None


def test_a_name_that_looks_like_markup_is_text(draw, snapshot):
    name = "<script>alert(1)</script> & \"quoted\" 'name' ]]>"
    record = snapshot.axles["TW8-36-M8-HX6"].model_copy(update={"name": name})
    hostile = replace(snapshot, axles={**snapshot.axles, record.sku: record})
    svg = draw(THREADED, catalogue=hostile)
    drawing = Drawn(svg)
    assert "<script" not in svg
    assert not list(drawing.root.iter(f"{SVG}script"))
    assert name in drawing.root.findtext(f"{SVG}desc")
    assert "<script>alert(1)</script>" in " ".join(drawing.texts())


def test_a_drawing_has_a_title_and_a_description_for_who_cannot_see_it(drawn):
    root = drawn(THREADED, sku="TW8-38-M8-HX6").root
    names = {element.get("id"): element.text for element in root.iter() if element.get("id")}
    title, description = (names[name] for name in root.get("aria-labelledby").split())
    assert root.get("role") == "img"
    assert title == "Axle TW8-38-M8-HX6 in a frame of 36.4 mm: does not fit"
    for part in ("does not fit", "under 0.1 %", "36.4 mm", "from 37 to", "0.6 mm less than the least width"):
        assert part in description


@pytest.mark.parametrize("language", Language)
def test_all_text_is_in_the_language_asked_for(drawn, snapshot, language):
    english = {text for text in DRAWINGS.values() if "{" not in text}
    for request in random_drawings(list(snapshot.axles.values()), 20, seed=128):
        drawing = drawn(request.model_dump(exclude_unset=True), language=language)
        texts = set(drawing.texts())
        assert drawing.root.get("lang") == language
        assert not any("{" in text for text in texts)
        assert (language is Language.ENGLISH) == bool(texts & english), texts & english


def test_a_drawing_loads_and_runs_nothing_and_its_ids_are_its_own(draw, snapshot):
    seen = set()
    for request in random_drawings(list(snapshot.axles.values()), 25, seed=15):
        svg = draw(request.model_dump(exclude_unset=True))
        drawing = Drawn(svg)
        ids = [element.get("id") for element in drawing.root.iter() if element.get("id")]
        assert len(ids) == len(set(ids))
        assert seen.isdisjoint(ids)
        seen |= set(ids)
        assert set(re.findall(r"url\(#([^)]*)\)", svg)) <= set(ids)
        assert not re.search(r"href|<script|<image|@import|\bon\w+=|url\((?!#)", svg)
        assert re.findall(r"https?://[^\"]*", svg) == ["http://www.w3.org/2000/svg"]


def test_no_colour_says_anything(draw, snapshot):
    for request in random_drawings(list(snapshot.axles.values()), 25, seed=216):
        drawing = Drawn(draw(request.model_dump(exclude_unset=True)))
        inks = {e.get(a) for e in drawing.root.iter() for a in ("fill", "stroke")} - {None}
        assert {ink for ink in inks if not ink.startswith("url(#")} <= {"none", "currentColor", "#fff"}


def test_the_same_answer_is_the_same_drawing_byte_for_byte(draw):
    assert draw(THREADED) == draw(THREADED)


def test_an_axle_that_the_catalogue_does_not_have_is_a_fault_of_its_parameter(draw):
    with pytest.raises(InvalidRequestError) as refused:
        draw(THREADED, sku="NO-SUCH")
    assert [fault.path for fault in refused.value.faults] == [("sku",)]


def test_a_threads_crests_are_thick_and_its_roots_thin_and_a_tapped_holes_the_other_way_round(drawn):
    """ISO 6410-1:1993, 2.1: the crests are drawn thick, the roots thin; M8x1.25: D1 = 6.647 mm (ISO 724)."""
    drawing = drawn(THREADED)
    lines = {
        (round(float(line.get("y1")), 2), float(line.get("stroke-width")))
        for line in drawing.named("length")[0][0].iter(f"{SVG}line")
        if line.get("y1") == line.get("y2")
    }
    assert {(-3.32, 0.25), (3.32, 0.25)} <= lines  # the axle's roots: 6.647/2
    wall = drawing.named("far_wall")[0][0]
    roots = {(float(line.get("y1")), float(line.get("stroke-width"))) for line in wall.iter(f"{SVG}line")}
    assert roots == {(-4.0, 0.25), (4.0, 0.25)}  # the wall's roots lie in the material: 8/2
    below = [shape for shape in wall.iter(f"{SVG}polygon") if shape.get("stroke") != "none"]
    edges = [float(pair.split(",")[1]) for shape in below for pair in shape.get("points").split()]
    assert min(edges) == pytest.approx(6.647 / 2, abs=0.001)
    assert {float(shape.get("stroke-width")) for shape in below} == {0.5}


def test_what_is_cut_is_hatched_and_the_axle_is_not(drawn):
    """ISO 128-50:2001: hatching for cut parts, neighbours the other way; shafts are not cut along."""
    drawing = drawn(THREADED)
    fills = {
        name: {part.get("fill") for part in drawing.named(name)[0][0].iter() if part.get("fill")}
        for name in ("head_wall", "far_wall", "hub", "shaft")
    }
    prefix = prefix_of(drawing)
    assert f"url(#{prefix}-wall-left)" in fills["head_wall"]
    assert f"url(#{prefix}-wall-right)" in fills["far_wall"]
    assert f"url(#{prefix}-wheel)" in fills["hub"]
    assert not [fill for fill in fills["shaft"] if fill.startswith("url")]
    turned = {p.get("id"): p.get("patternTransform") for p in drawing.root.iter(f"{SVG}pattern")}
    assert turned[f"{prefix}-wall-left"] == turned[f"{prefix}-wall-right"] != turned[f"{prefix}-wheel"]


@pytest.mark.parametrize("language", Language)
def test_no_word_of_the_title_block_is_broken(draw, language):
    drawing = Drawn(draw(THREADED, language))
    words = " ".join(drawing.texts()).split()
    told = sentences_in(language).drawings["revision"].format(revision=1) + " " + THREADED["sku"]
    assert [word for word in told.split() if word not in words] == []
