"""The counter page in every language, on small and large screens, by day and by night."""

import pytest
from playwright.sync_api import expect

from schemas.codes import Language
from service.fitting.languages import english_of

LOOKUP = "outside_width_mm=36.4&fastening=threaded_wall&bore_mm=8&far_wall_mm=6&thread=M8x1.25"
WITH_KIT = f"{LOOKUP}&kit=1&wheels=4&brake=right"
REFUSED = f"{LOOKUP}&inside_width_mm=500"
PHONE, DESK = {"width": 360, "height": 800}, {"width": 1920, "height": 1080}
OWN_TEXTS = """() => [...document.body.querySelectorAll(":not(script, style, symbol)")]
  .filter((one) => !one.closest("#fits, #near-misses, #questions"))
  .flatMap((one) => [...one.childNodes].filter((node) => node.nodeType === Node.TEXT_NODE))
  .map((node) => node.textContent.trim()).filter(Boolean)"""
LEAVES_THE_SCREEN = "document.documentElement.scrollWidth - window.innerWidth"


def open_lookup(browse, query, *, language=Language.ENGLISH, **options):
    page = browse(f"/counter?lang={language}&{query}", **options)
    if "kit=1" in query:
        expect(page.locator("#kit-content tfoot td")).to_be_visible()
    if query == REFUSED:
        expect(page.locator("#fault-inside_width_mm")).to_be_visible()
    else:
        expect(page.locator("#drawing")).to_be_visible()
    return page


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("viewport", [PHONE, DESK], ids=["phone", "desk"])
def test_the_counter_has_no_fault_of_access_with_a_kit_or_a_refusal(
    browse, faults_of_access, viewport, scheme
):
    page = open_lookup(browse, WITH_KIT, viewport=viewport, color_scheme=scheme)
    page.locator("#cautions summary, #detail-content summary, #more-measurements summary").evaluate_all(
        "all => all.forEach((one) => { one.parentElement.open = true; })"
    )
    assert faults_of_access(page) == []
    page.keyboard.type(" 500g")
    expect(page.locator("#fault-inside_width_mm")).to_be_visible()
    assert faults_of_access(page) == []
    page.keyboard.type("?")
    expect(page.locator("#key-card")).to_be_visible()
    assert faults_of_access(page) == []


@pytest.mark.parametrize("language", Language)
def test_each_language_fits_on_a_phone_and_leaves_no_label_in_english(browse, client, language):
    page = open_lookup(browse, WITH_KIT, language=language, viewport=PHONE)
    assert page.locator("html").get_attribute("lang") == language
    sentence = client.get(f"/v1/fits?{LOOKUP}", headers={"Accept-Language": language}).json()["ask_next"][0]
    expect(page.locator(".question").first).to_have_text(sentence["text"])
    page.locator("#more-measurements summary").click()
    assert page.evaluate(LEAVES_THE_SCREEN) == 0
    page.evaluate("document.documentElement.style.fontSize = '200%'")  # WCAG 2.2, 1.4.4
    assert page.evaluate(LEAVES_THE_SCREEN) == 0
    if language is not Language.ENGLISH:
        english = {text for text in english_of("counter").values() if "{" not in text}
        assert [text for text in page.evaluate(OWN_TEXTS) if text in english] == []


def test_the_page_changes_its_language_and_keeps_the_lookup(browse):
    page = open_lookup(browse, LOOKUP, viewport=DESK)
    shown = page.locator("#fits .candidate").first.get_attribute("data-sku")
    page.locator("#lang").select_option("de")
    expect(page.locator("html")).to_have_attribute("lang", "de")
    expect(page.locator("#fits .candidate").first).to_have_attribute("data-sku", shown)
    expect(page.locator("#fits .verdict").first).to_have_text("passt")


def test_on_a_desk_the_list_and_the_drawing_stand_side_by_side(browse):
    page = open_lookup(browse, WITH_KIT, viewport=DESK)
    assert page.evaluate(LEAVES_THE_SCREEN) == 0
    entries, drawing = page.locator("#fits").bounding_box(), page.locator("#drawing").bounding_box()
    assert entries["x"] + entries["width"] <= drawing["x"]
    assert drawing["y"] + drawing["height"] <= DESK["height"]


def test_verdicts_differ_by_shape_and_by_word(browse):
    page = open_lookup(browse, LOOKUP)
    page.locator("#more").click()
    expect(page.locator(".candidate.check_first").first).to_be_visible()
    seen = page.locator(".candidate").evaluate_all(
        "all => all.map((one) => [one.querySelector('use').getAttribute('href'), "
        "one.querySelector('.verdict').textContent])"
    )
    shapes = dict(seen)
    assert len(shapes) == len(set(shapes.values())) == 4
    paths = page.evaluate(
        "[...document.querySelectorAll('symbol')].map((one) => one.innerHTML.replace(/\\s+/g, ''))"
    )
    assert len(set(paths)) == len(paths) == 4


def test_nothing_moves_for_who_wants_no_motion(browse):
    page = open_lookup(browse, LOOKUP, reduced_motion="reduce")
    moving = page.evaluate(
        "document.getAnimations().length + [...document.querySelectorAll('*')]"
        ".filter((one) => getComputedStyle(one).transitionDuration !== '0s').length"
    )
    assert moving == 0


def test_who_hears_the_page_is_told_the_result_once_it_is_quiet(browse):
    page = open_lookup(browse, LOOKUP)
    expect(page.locator("#announcement[role=status]")).to_have_text(page.locator("#summary").inner_text())
    page.keyboard.press("ArrowDown")
    second = page.locator("#fits .candidate").nth(1).get_attribute("data-sku")
    expect(page.locator("#announcement")).to_contain_text(second)


def test_everything_can_be_reached_by_tab_and_by_click(browse):
    page = open_lookup(browse, LOOKUP, viewport=PHONE)
    third = page.locator("#fits .candidate").nth(2)
    third.click()
    expect(page.locator("#detail")).to_be_focused()
    expect(page.locator("#detail-content")).to_contain_text(third.get_attribute("data-sku"))
    page.locator("#back").click()
    expect(third).to_be_focused()
    page.locator("label:has(input[value=two_piece])").click()
    assert page.locator("input[name=fastening]:checked").get_attribute("value") == "two_piece"
    reached = set()
    page.locator("#lang").focus()
    for _ in range(12):
        reached.add(page.evaluate("document.activeElement.name || document.activeElement.id"))
        page.keyboard.press("Tab")
    assert {
        "lang",
        "show-keys",
        "outside_width_mm",
        "fastening",
        "bore_mm",
        "holes",
        "keys_needed",
    } <= reached
