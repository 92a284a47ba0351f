"""The filter element on the page of another origin, as a customer of the shop uses it."""

import re
import threading

import pytest

from tests.browser.shop import shop_page, until
from tests.running_service import listening_service

TOLD = "globalThis.told = []; addEventListener('axle-chosen', ({detail}) => told.push(detail));"
SEEN = "globalThis.seen = []; addEventListener('axle-results', ({detail}) => seen.push(detail));"
LANGUAGES = {
    "en": ("Outside width", "threaded wall", "Choose"),
    "de": ("Außenbreite", "Gewinde in der Wand", "Auswählen"),
    "fr": ("Largeur extérieure", "paroi taraudée", "Choisir"),
    "nl": ("Buitenbreedte", "wand met schroefdraad", "Kiezen"),
    "es": ("Ancho exterior", "pared roscada", "Elegir"),
    "it": ("Larghezza esterna", "parete filettata", "Scegli"),
}


@pytest.fixture
def shop(served):
    """The address of the demonstration page on another origin than the service's."""
    with shop_page(f"http://127.0.0.1:{served}") as address:
        yield address


@pytest.fixture
def visit(browse, shop):
    """Opens the demonstration page in a language; events are kept in `told` and `seen`."""

    def open_page(language="en", **options):
        page = browse(**options)
        page.add_init_script(TOLD + SEEN)
        page.goto(f"{shop}/{language}.html")
        page.get_by_role("textbox").first.wait_for()
        return page

    return open_page


def lookup_of(page, width="36.4"):
    """Write a width and wait for its list."""
    page.get_by_label("Outside width").fill(width)
    page.get_by_role("button", name="Choose").first.wait_for()


def test_what_a_customer_types_on_another_origin_becomes_an_event_with_the_axle(visit, shop, served, client):
    page = visit()
    assert page.evaluate("location.origin") == shop
    assert not shop.endswith(f":{served}")
    page.get_by_label("Outside width").fill("36.4")
    page.get_by_label("threaded wall").check()
    page.get_by_label("8 mm", exact=True).check()
    page.get_by_label("Thread", exact=True).fill("M8x1.25")
    until(page, "seen.at(-1)?.request.thread === 'M8x1.25'")
    asked = {"outside_width_mm": "36.4", "fastening": "threaded_wall", "bore_mm": "8", "thread": "M8x1.25"}
    best = client.get("/v1/fits", params=asked).json()["fits"][0]
    sku, verdict = best["axle"]["sku"], best["verdict"]
    first = page.get_by_role("listitem").filter(has=page.get_by_role("button", name="Choose")).first
    assert first.get_by_text(verdict.replace("_", " "), exact=True).is_visible()
    assert first.get_by_text(sku).is_visible()
    assert first.get_by_text("practically certain (over 99.9 %)").is_visible() == (
        best["fit_probability"] >= 0.9995
    )
    assert first.get_by_text(f"€{best['axle']['price']}").is_visible()
    first.get_by_role("button", name="Choose").click()
    (told,) = page.evaluate("told")
    assert (told["sku"], told["verdict"], told["request"]) == (sku, verdict, asked)
    assert sku in page.locator("#chosen").inner_text()
    assert f'"verdict": "{verdict}"' in page.locator("#detail").inner_text()


def test_the_list_says_what_the_service_says_in_its_order(visit, client):
    page = visit()
    lookup_of(page)
    answer = client.get("/v1/fits?outside_width_mm=36.4").json()
    facets = client.get("/v1/facets?outside_width_mm=36.4").json()
    shown = page.locator("[part=sku]").all_inner_texts()
    assert shown == [fit["axle"]["sku"] for fit in answer["fits"]]
    assert page.get_by_role("status").inner_text() == f"Axles listed: {facets['count']}"
    for caution in answer["cautions"]:
        assert page.get_by_text(caution["text"]).is_visible()
    for fit in answer["fits"][:2]:
        doubts = [reason["text"] for reason in fit["reasons"] if reason["outcome"] == "unknown"]
        assert page.get_by_text(doubts[0]).first.is_visible()
    (seen,) = page.evaluate("seen")
    assert seen["count"] == facets["count"]


def test_the_facets_narrow_the_list_to_what_they_count(visit):
    page = visit()
    lookup_of(page)
    page.get_by_label("white").check()
    until(page, "seen.length === 2")
    assert page.evaluate("seen.at(-1).fits.map(({axle}) => axle.colour)") == ["white", "white"]
    assert page.get_by_role("status").inner_text() == "Axles listed: 2"
    page.get_by_label("hexagon socket 4").check()
    until(page, "seen.length === 3")
    found = page.evaluate("seen.at(-1).fits.map(({axle}) => [axle.colour, axle.drive])")
    assert found
    assert all(one == ["white", "hexagon_4"] for one in found)
    page.get_by_label("white").uncheck()
    until(page, "seen.length === 4")
    assert page.evaluate("seen.at(-1).count") > len(found)


def test_a_filter_finds_what_stands_on_a_later_page(visit, client):
    # Not in stock are six of 56, behind those in stock: no page of ten holds them all.
    page = visit()
    lookup_of(page)
    page.get_by_label("not in stock").check()
    until(page, "seen.length === 2")
    expected = client.get("/v1/facets?outside_width_mm=36.4&in_stock=false").json()["count"]
    assert page.evaluate("seen.at(-1).fits.map(({axle}) => axle.stock)") == [0] * expected


def test_more_axles_are_shown_and_the_first_new_one_has_the_focus(visit):
    page = visit()
    lookup_of(page)
    assert page.locator("[part=axle]").count() == 10
    page.get_by_role("button", name="Show more").click()
    until(page, "seen.length === 2")
    assert page.locator("[part=axle]").count() == 20
    focused = "document.querySelector('axle-fit-filter').shadowRoot.activeElement.textContent"
    until(page, f"{focused} === seen.at(-1).fits[10].axle.name")


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_element_and_the_answers_speak_the_language_of_the_page(visit, client, language):
    width, fastening, choose = LANGUAGES[language]
    page = visit(language)
    page.get_by_label(width).fill("36.4")
    page.get_by_label(fastening).check()
    until(page, "seen.at(-1)?.request.fastening === 'threaded_wall'")
    assert page.get_by_role("button", name=choose).first.is_visible()
    asked = client.get(
        "/v1/fits?outside_width_mm=36.4&fastening=threaded_wall", headers={"Accept-Language": language}
    ).json()
    assert page.get_by_text(asked["cautions"][0]["text"]).is_visible()
    assert page.get_by_text(asked["ask_next"][0]["text"]).is_visible()


def test_the_keyboard_alone_leads_from_the_width_to_the_event(visit):
    page = visit()
    page.keyboard.press("Tab")
    page.keyboard.type("36,4")  # a decimal comma, as most of these languages write it
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowRight")  # from "not known" to the first fastening
    until(page, "seen.at(-1)?.request.fastening === 'threaded_wall'")
    assert page.evaluate("seen.at(-1).request.outside_width_mm") == "36.4"
    name = "document.querySelector('axle-fit-filter').shadowRoot.activeElement?.getAttribute('part')"
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate(name) == "choose":
            break
    page.keyboard.press("Enter")
    assert len(page.evaluate("told")) == 1


def test_a_width_in_inches_is_asked_for_in_inches(visit):
    page = visit()
    page.get_by_label("Unit").select_option("in")
    page.get_by_label("Outside width").fill("1 3/8")
    until(page, "seen.length === 1")
    assert page.evaluate("seen[0].request.outside_width_mm") == "1 3/8in"


@pytest.mark.parametrize("written", ["abc", "3 6", "-1", "36.4.1"])
def test_what_is_no_length_is_said_beside_the_field_and_nothing_is_asked(visit, written):
    page = visit()
    lookup_of(page)
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.get_by_label("Outside width").fill(written)
    page.get_by_text("Write a length such as 36.4, more than 0 and at most 200 mm.").wait_for()
    assert page.get_by_label("Outside width").get_attribute("aria-invalid") == "true"
    assert page.locator("[part=axle]").count() == 0
    assert asked == []


def test_what_the_service_refuses_is_said_beside_the_field(visit):
    page = visit()
    page.get_by_label("Outside width").fill("200.1")
    page.get_by_text("Write a length such as 36.4, more than 0 and at most 200 mm.").wait_for()
    lookup_of(page)
    assert page.get_by_label("Outside width").get_attribute("aria-invalid") is None


def test_of_two_questions_the_newest_answer_is_shown_whenever_they_come(visit):
    page = visit()
    held, released = [], threading.Event()

    def hold(route):
        if "outside_width_mm=30" in route.request.url and not released.is_set():
            held.append(route)
        else:
            route.continue_()

    page.route("**/v1/**", hold)
    page.get_by_label("Outside width").fill("30")
    page.wait_for_timeout(400)
    assert held
    page.get_by_label("Outside width").fill("36.4")
    until(page, "seen.length === 1")
    released.set()
    for route in held:
        route.continue_()
    page.wait_for_timeout(400)
    assert page.evaluate("seen.map(({request}) => request.outside_width_mm)") == ["36.4"]
    assert page.evaluate(
        "document.querySelector('axle-fit-filter').shadowRoot.querySelector('ol').children.length"
    )


def test_while_the_service_is_away_the_element_says_so_and_asks_again_on_request(visit):
    page = visit("nl")
    page.route("**/v1/**", lambda route: route.abort())
    page.get_by_label("Buitenbreedte").fill("36.4")
    page.get_by_text("Het zoeken naar assen is op dit moment niet bereikbaar.").wait_for()
    page.unroute("**/v1/**")
    page.get_by_role("button", name="Opnieuw proberen").click()
    page.get_by_role("button", name="Kiezen").first.wait_for()
    assert page.get_by_text("niet bereikbaar").count() == 0


def test_over_the_limit_the_element_says_when_to_come_back(browse, demonstration_file):
    with listening_service(demonstration_file, limit_per_minute=2) as port:
        api = f"http://127.0.0.1:{port}"
        with shop_page(api) as address:
            page = browse(f"{address}/demonstration.html")
            for width in ("36.4", "36.5", "36.6"):
                page.get_by_label("Außenbreite").fill(width)
                page.wait_for_timeout(500)
            said = page.get_by_role("status").inner_text()
            assert re.search(r"in \d+ Sekunden wieder", said)


def test_when_nothing_fits_the_element_says_what_would_help(visit):
    page = visit()
    page.get_by_label("bolt and nut").check()
    page.get_by_label("6.3 mm", exact=True).check()
    page.get_by_label("Outside width").fill("60")
    page.get_by_text("Nothing in the catalogue fits all of this.").wait_for()
    assert page.get_by_text("What would give a result").is_visible()
    assert page.get_by_text(re.compile(r"“Outside width” changed to [\d.]+: [1-9]")).is_visible()


def test_a_name_with_markup_in_it_is_a_name(
    browse, demonstration, demonstration_copy, import_csv, export_csv
):
    name = "<img src=x onerror=globalThis.run=1><b>Bold</b>"
    plain = "Two-piece axle 6.3 mm, barrel 32 mm, round heads"
    import_csv(demonstration, "axles", export_csv(demonstration, "axles").replace(plain, name))
    with listening_service(demonstration_copy) as port, shop_page(f"http://127.0.0.1:{port}") as address:
        page = browse(f"{address}/demonstration.html")
        page.get_by_label("Außenbreite").fill("36.4")
        page.get_by_role("heading", name=name).wait_for()
        assert page.evaluate("globalThis.run") is None
        assert page.locator("axle-fit-filter b, axle-fit-filter img[src=x]").count() == 0
        page.get_by_role("button", name=name).click()
        assert name in page.locator("#chosen").inner_text()
