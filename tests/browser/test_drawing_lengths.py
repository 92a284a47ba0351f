"""Drawings as a browser draws them: their lengths are the answer's, and their text stays on the sheet."""

from urllib.parse import urlencode

import pytest

from tests.fitting.drawn import random_drawings

COUNT = 50
WITHIN_MM = 0.05
LANGUAGES = ["en", "de", "fr", "nl", "es", "it"]
# Each dimension says its number and has one line; the band says its scale and its window's width.
LENGTHS = """() => {
  const along = (element) => Math.max(element.getBBox().width, element.getBBox().height);
  const found = {};
  for (const dimension of document.querySelectorAll("svg .axd-dimension")) {
    found[dimension.dataset.name] = along(dimension.querySelector(".axd-measure"));
  }
  const band = document.querySelector("svg [data-name=width_window]");
  if (band) {
    const box = (name) => band.querySelector(`[data-name=${name}]`).getBBox();
    const scale = Number(band.dataset.scale);
    const window = band.querySelector("[data-name=window] rect").getBBox();
    found.window = window.width / scale;
    found.ideal = (box("ideal_width").x - window.x) / scale;
    found.uncertainty = box("uncertainty").width / scale;
  }
  const engaged = document.querySelector("svg [data-name=engaged]");
  if (engaged) found.engaged = engaged.getBBox().width;
  return found;
}"""
# The boxes of all text in the sheet's own mm, and the sheet.
TEXTS = """() => {
  const sheet = document.querySelector("svg");
  const mm = sheet.viewBox.baseVal.width / sheet.getBoundingClientRect().width;
  const box = (element, name) => {
    const {left, top, right, bottom} = element.getBoundingClientRect();
    return [name, left * mm, top * mm, right * mm, bottom * mm];
  };
  const texts = [...sheet.querySelectorAll("text")];
  return {sheet: box(sheet, ""), texts: texts.map((text) => box(text, text.textContent))};
}"""


@pytest.fixture
def show(browse):
    """Shows drawings in a language, each as the browser gets it from the service."""

    def start(language="en"):
        page = browse(locale=language)

        def shown(request):
            query = urlencode(request.model_dump(exclude_unset=True), doseq=True)
            answer = page.goto(f"/v1/fits/drawing.svg?{query}")
            assert answer.status == 200, answer.text()
            return page

        return shown

    return start


@pytest.fixture(scope="module")
def requests(snapshot):
    return list(random_drawings(list(snapshot.axles.values()), COUNT, seed=608))


def listed_in(client, request):
    """What the lookup says of the axle, and of the frame's width."""
    fields = request.model_dump(exclude={"sku"}, exclude_unset=True) | {"limit": 100, "near_misses": 20}
    answer = client.post("/v1/fits", json=fields).json()
    listed = [
        entry for entry in answer["fits"] + answer["near_misses"] if entry["axle"]["sku"] == request.sku
    ]
    return answer["frame"]["outside_width_mm"], listed[0] if listed else None


def test_the_lengths_on_the_screen_are_the_numbers_of_the_answer(show, client, requests):
    shown = show()
    compared = {"fit": 0, "engaged": 0}
    for request in requests:
        found = shown(request).evaluate(LENGTHS)
        width, listed = listed_in(client, request)
        axle = client.get(f"/v1/axles/{request.sku}").json()
        expected = {"outside_width_mm": width["value"], "shaft_mm": axle["shaft_mm"]}
        if axle["fastening"] == "two_piece":
            expected |= {"grip_mm": width["value"] - (request.recess_mm or 0)}
            expected |= {"barrel_mm": axle["barrel_mm"], "screw_mm": axle["screw_mm"]}
        else:
            expected["length_mm"] = axle["length_mm"]
        for reason in listed["reasons"] if listed else []:
            if reason["check"] == "engagement" and reason["unit"] == "mm" and reason["value"]:
                expected |= {"engaged_mm": reason["value"], "engaged": reason["value"]}
                compared["engaged"] += 1
        if listed and "verdict" in listed:
            window = listed["width_window_mm"]
            expected["window"] = window["max"] - window["min"]
            expected["ideal"] = listed["ideal_width_mm"] - window["min"]
            expected["uncertainty"] = 4 * width["standard_uncertainty"]
            compared["fit"] += 1
        expected = {name: mm for name, mm in expected.items() if mm is not None}
        assert {name: found[name] for name in expected} == pytest.approx(expected, abs=WITHIN_MM), request
    assert min(compared.values()) >= 8, compared


@pytest.mark.parametrize("language", LANGUAGES)
def test_all_text_stays_within_the_sheet_and_no_two_texts_overlap(show, requests, language):
    shown = show(language)
    for request in requests[: COUNT // 4]:
        page = shown(request)
        assert page.evaluate("document.documentElement.getAttribute('lang')") == language
        assert_readable(page.evaluate(TEXTS), request)


def assert_readable(found, request):
    _, left, top, right, bottom = found["sheet"]
    texts = found["texts"]
    for name, x0, y0, x1, y1 in texts:
        assert x0 >= left, (name, request)
        assert x1 <= right, (name, request)
        assert y0 >= top, (name, request)
        assert y1 <= bottom, (name, request)
    for n, (name, *box) in enumerate(texts):
        for other, *beside in texts[n + 1 :]:
            assert not overlap(box, beside), (name, other, request)


def overlap(one, other):
    """Whether letters would touch: a line's box is higher than its letters by a third."""
    across = min(one[2], other[2]) - max(one[0], other[0])
    down = min(one[3], other[3]) - max(one[1], other[1])
    return across > 0.1 and down > 0.35 * min(one[3] - one[1], other[3] - other[1])


def test_a_drawing_as_a_picture_has_its_size_and_is_dark_in_the_dark(browse):
    query = "sku=TW8-36-M8-HX6&outside_width_mm=36.4"
    for scheme, ground in (("light", "rgb(255, 255, 255)"), ("dark", "rgb(25, 27, 28)")):
        page = browse(f"/v1/fits/drawing.svg?{query}", color_scheme=scheme)
        paper = page.locator("rect.axd-paper").first
        assert paper.evaluate("element => getComputedStyle(element).fill") == ground
        page.emulate_media(media="print", color_scheme=scheme)
        assert paper.evaluate("element => getComputedStyle(element).fill") == "rgb(255, 255, 255)"
        assert page.evaluate("getComputedStyle(document.documentElement).color") in {
            "rgb(0, 0, 0)",
            "rgb(17, 17, 17)",
        }
