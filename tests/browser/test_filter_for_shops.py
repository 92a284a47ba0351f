"""The filter element for the shop that puts it in: its policy, its look, several of them, for everybody."""

import pytest

from tests.browser.shop import LANGUAGES, shop_page, until

SCHEMES = pytest.mark.parametrize("scheme", ["light", "dark"])
WIDTHS = pytest.mark.parametrize("width", [360, 1920])
TWO = """<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>Two (invented)</title>
<script type="module" src="http://127.0.0.1:8000/embed/axle-fit.js"></script></head><body>
<axle-fit-filter id="one" outside-width="36.4" fastening="threaded_wall"></axle-fit-filter>
<axle-fit-filter id="two" lang="de" outside-width="34" bore="8" drawing></axle-fit-filter></body></html>"""
LISTED = (
    "[...document.querySelectorAll('axle-fit-filter')]"
    ".every(({shadowRoot}) => shadowRoot.querySelector('ol li'))"
)


@pytest.fixture
def shop(served):
    """The address of the demonstration page, and of one with two elements."""
    with shop_page(f"http://127.0.0.1:{served}", {"two.html": TWO}) as address:
        yield address


@WIDTHS
@SCHEMES
def test_the_demonstration_page_has_no_fault_of_access(browse, faults_of_access, shop, scheme, width):
    page = browse(f"{shop}/en.html", color_scheme=scheme, viewport={"width": width, "height": 900})
    page.get_by_label("Outside width").fill("36.4")
    until(page, LISTED)
    page.get_by_role("button", name="Choose").first.click()
    assert faults_of_access(page) == []
    page.get_by_label("Outside width").fill("x")
    page.get_by_text("Write a length such as").wait_for()
    assert faults_of_access(page) == []


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("width", [320, 360, 1920])
def test_nothing_stands_out_of_the_page_at_the_sides(browse, shop, language, width):
    page = browse(f"{shop}/{language}.html", viewport={"width": width, "height": 900})
    page.get_by_role("textbox").first.fill("36.4")
    until(page, LISTED)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_two_elements_on_a_page_ask_and_answer_apart(browse, shop):
    page = browse()
    page.add_init_script(
        "globalThis.seen = []; addEventListener('axle-results', ({detail}) => seen.push(detail));"
    )
    page.goto(f"{shop}/two.html")
    until(page, LISTED)
    one, two = page.locator("#one"), page.locator("#two")
    assert one.get_by_role("heading", name="Find the axle that fits").is_visible()
    assert two.get_by_role("heading", name="Die passende Achse finden").is_visible()
    assert one.get_by_label("threaded wall").is_checked()
    assert two.get_by_label("8 mm", exact=True).is_checked()
    before = two.locator("[part=sku]").all_inner_texts()
    one.get_by_label("Outside width").fill("38")
    until(page, "seen.at(-1)?.request.outside_width_mm === '38'")
    assert two.locator("[part=sku]").all_inner_texts() == before


def test_without_an_address_the_element_asks_where_its_script_came_from(browse, shop, served):
    page = browse(f"{shop}/two.html")
    until(page, LISTED)
    assert page.evaluate("document.querySelector('#one').api") == f"http://127.0.0.1:{served}/"


def test_the_element_needs_nothing_that_the_policy_does_not_name(browse, shop):
    page = browse()
    page.add_init_script(
        "globalThis.violated = [];"
        "addEventListener('securitypolicyviolation', (event) => violated.push(event.violatedDirective));"
    )
    page.goto(f"{shop}/en.html")
    page.get_by_label("Outside width").fill("36.4")
    until(page, LISTED)
    assert page.evaluate("violated") == []
    # Without the policy's leave an inline style is none: the policy is in force.
    page.evaluate("document.body.setAttribute('style', 'color: red')")
    until(page, "violated.length > 0")  # that of the page, that of the header
    assert page.evaluate("violated[0]").startswith("style-src")


def test_the_shop_sets_colours_and_parts(browse, shop):
    page = browse(f"{shop}/en.html")
    page.get_by_role("textbox").wait_for()
    for rule in (
        "axle-fit-filter { --axle-fit-ink: rgb(1, 2, 3) }",
        "axle-fit-filter::part(heading) { text-transform: uppercase }",
    ):
        page.evaluate("(rule) => document.styleSheets[0].insertRule(rule)", rule)
    style = "getComputedStyle(document.querySelector('axle-fit-filter').shadowRoot.querySelector('h2'))"
    assert page.evaluate(f"{style}.color") == "rgb(1, 2, 3)"
    assert page.evaluate(f"{style}.textTransform") == "uppercase"


def test_the_element_is_light_or_dark_as_the_page_is_whatever_the_system_prefers(browse, shop):
    page = browse(f"{shop}/en.html", color_scheme="light")
    page.get_by_role("textbox").wait_for()
    ink = "getComputedStyle(document.querySelector('axle-fit-filter')).color"
    light = page.evaluate(ink)
    page.evaluate("document.documentElement.style.colorScheme = 'dark'")
    assert page.evaluate(ink) != light


def test_who_wants_less_motion_sees_none(browse, shop):
    page = browse(f"{shop}/en.html", reduced_motion="reduce")
    page.get_by_role("textbox").wait_for()
    moving = (
        "[...document.querySelector('axle-fit-filter').shadowRoot.querySelectorAll('*')]"
        ".filter((part) => getComputedStyle(part).transitionDuration !== '0s').length"
    )
    assert page.evaluate(moving) == 0


def test_verdicts_differ_by_word_and_by_shape(browse, shop):
    page = browse(f"{shop}/en.html")
    page.get_by_label("threaded wall").check()
    page.get_by_label("8 mm", exact=True).check()
    page.get_by_label("Outside width").fill("36.4")
    until(page, LISTED)
    pairs = page.locator("axle-fit-filter .verdict").evaluate_all(
        "(found) => found.map((one) => [one.innerText, one.querySelector('path').getAttribute('d')])"
    )
    shapes = dict(pairs)
    assert set(shapes) == {"fits with caution", "check first"}
    assert len(set(shapes.values())) == 2


def test_an_axle_without_a_drawing_says_nothing_of_one(browse, shop):
    page = browse(f"{shop}/two.html")
    until(page, LISTED)
    page.route("**/drawing.svg?**", lambda route: route.fulfill(status=404, body=""))
    item = page.locator("#two [part=axle]").first
    item.get_by_text("Maßstäbliche Zeichnung").click()
    item.get_by_text("Maßstäbliche Zeichnung").wait_for(state="hidden")


def test_a_drawing_is_asked_for_when_it_is_opened_and_has_words(browse, shop):
    page = browse(f"{shop}/two.html")
    asked = []
    drawing = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0h9"/></svg>'

    def draw(route):
        asked.append(route.request.url)
        route.fulfill(status=200, content_type="image/svg+xml", body=drawing)

    page.route("**/drawing.svg?**", draw)
    until(page, LISTED)
    assert asked == []
    item = page.locator("#two [part=axle]").first
    item.get_by_text("Maßstäbliche Zeichnung").click()
    sku = item.locator("[part=sku]").inner_text()
    picture = item.get_by_role("img")
    picture.wait_for()
    assert picture.get_attribute("alt").startswith("Querschnitt Ihrer Schiene mit der Achse")
    until(page, "true")
    assert [f"sku={sku}" in url and "outside_width_mm=34" in url for url in asked] == [True]
    assert page.locator("#one summary", has_text="Drawing to scale").count() == 0
