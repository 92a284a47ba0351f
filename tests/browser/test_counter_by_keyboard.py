"""A clerk at the counter with a keyboard and a scanner, never with a mouse."""

import io
import re
import statistics
import sys
from urllib.parse import parse_qs, urlsplit

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

# A frame of the README: 36.4 mm over its walls, the tapped wall 6 mm thick, for axles of 8 mm with M8x1.25.
FRAME = {
    "outside_width_mm": "36.4",
    "fastening": "threaded_wall",
    "bore_mm": "8",
    "far_wall_mm": "6",
    "thread": "M8x1.25",
}
PRINTS = "window.printed = 0; window.print = () => { window.printed += 1; };"
# From each key press to the change of the summary, which is written right after the list.
NOTES_TIMES = """() => {
  document.addEventListener("keydown", () => { window.pressed = performance.now(); }, true);
  new MutationObserver(() => { window.took = performance.now() - window.pressed; })
    .observe(document.getElementById("summary"), { childList: true });
}"""
TIME_OF_LAST = """() => new Promise((resolve, reject) => {
  const end = performance.now() + 10000;
  const look = () => {
    if (window.took !== null) resolve(window.took);
    else if (performance.now() > end) reject(new Error("no list"));
    else setTimeout(look, 2);
  };
  look();
})"""


@pytest.fixture
def counter(browse):
    """The counter page, with the cursor where it stands when the page is opened."""

    def open_page(query="", **options):
        page = browse(None, **options)
        page.add_init_script(PRINTS)
        page.goto(f"/counter{query}")
        expect(page.locator("#command")).to_be_focused()
        return page

    return open_page


def press(page, *keys):
    for key in keys:
        page.keyboard.press(key)


def skus(page):
    return page.locator("#fits .candidate").evaluate_all("found => found.map((one) => one.dataset.sku)")


def readings_in(address):
    return parse_qs(urlsplit(address).query).get("outside_width_mm")


def wait_for_best(page, sku):
    expect(page.locator("#fits .candidate").first).to_have_attribute("data-sku", sku)


def printed_text(page):
    """What a printed page says, with single spaces."""
    pages = PdfReader(io.BytesIO(page.pdf(format="A6"))).pages
    text = " ".join(part.extract_text() for part in pages)
    return re.sub(r"\s+", " ", text.replace("ﬁ", "fi").replace("ﬀ", "ff"))


def test_from_an_empty_page_to_a_printed_slip_by_keyboard_alone(counter, client):
    answer = client.get("/v1/fits", params=FRAME).json()
    best, other = answer["fits"][:2]
    page = counter()
    page.keyboard.type("36,4 t a 6f x")
    expect(page.locator("#thread")).to_be_focused()
    page.keyboard.type("M8x1.25")
    press(page, "Enter")
    expect(page.locator("#command")).to_be_focused()
    wait_for_best(page, best["axle"]["sku"])
    assert skus(page) == [fit["axle"]["sku"] for fit in answer["fits"]]
    press(page, "ArrowDown")
    expect(page.locator("[aria-current]")).to_have_attribute("data-sku", other["axle"]["sku"])
    press(page, "Enter")
    expect(page.locator("#detail")).to_be_focused()
    expect(page.locator("#detail")).to_contain_text(other["axle"]["name"])
    press(page, "Escape")
    expect(page.locator("#drawing")).to_be_visible()
    press(page, "z")
    assert page.evaluate("window.printed") == 1

    said = printed_text(page)
    width = next(reason for reason in other["reasons"] if reason["check"] == "width")
    assert f"{other['axle']['sku']} · {other['verdict'].replace('_', ' ')}" in said
    assert width["text"] in said
    assert f"{other['axle']['price']} {other['axle']['currency']}" in said
    assert f"Catalogue revision {answer['catalogue_revision']}" in said
    assert "36.4 mm (standard uncertainty 0.029 mm)" in said
    assert f"1 × hexalobular socket {other['tool']['drive'].rsplit('_')[-1]}" in said
    assert "engaged 4.35" in said  # from the drawing; the number is the README's
    for caution in answer["cautions"]:
        assert caution["text"] in said
    assert "outside_width_mm=36.4" in said.replace(" ", "")
    assert best["axle"]["sku"] not in said


def test_the_slip_has_every_axle_that_was_put_on_it(counter):
    page = counter(f"?{'&'.join(f'{name}={value}' for name, value in FRAME.items())}")
    expect(page.locator("#fits .candidate")).to_have_count(10)
    first, _, third, *_ = skus(page)
    page.keyboard.type("+")
    press(page, "ArrowDown", "ArrowDown")
    page.keyboard.type("+")
    headings = page.locator("#slip .slip-axle h3")
    assert [text.split(" · ")[0].strip() for text in headings.all_text_contents()] == [first, third]


def test_a_scanned_barcode_shows_the_axle_its_equivalents_and_the_lookup_of_its_widths(counter, client):
    axle = client.get("/v1/axles/TW8-36-M8-HX").json()
    (instead, *_) = client.get(f"/v1/axles/{axle['sku']}/equivalents").json()["items"]
    page = counter()
    page.keyboard.type(axle["gtin"])
    press(page, "Enter")
    expect(page.locator("#scanned > p")).to_contain_text(axle["sku"])
    expect(page.locator(".equivalents li").first).to_contain_text(instead["axle"]["sku"])
    expect(page.locator("[aria-current]")).to_have_attribute("data-sku", axle["sku"])
    # A threaded-wall axle is as long as its frame is wide, at best.
    expect(page.locator("#command")).to_have_value(f"{axle['length_mm']:g}")
    assert page.locator("input[name=fastening]:checked").get_attribute("value") == axle["fastening"]
    # The next scan takes its place.
    page.keyboard.type(client.get("/v1/axles/BN8-45").json()["gtin"])
    press(page, "Enter")
    expect(page.locator("#scanned > p")).to_contain_text("BN8-45")


def test_a_barcode_that_no_axle_has_and_one_that_is_wrong_are_told_at_the_field(counter):
    page = counter()
    page.keyboard.type("4006381333931")  # a number with a right check digit: GS1 General Specifications, 7.9
    press(page, "Enter")
    expect(page.locator("#fault-gtin")).to_contain_text("4006381333931")
    press(page, "Escape")
    expect(page.locator("#fault-gtin")).to_be_hidden()
    page.keyboard.type("4006381333932")
    press(page, "Enter")
    expect(page.locator("#fault-gtin")).to_contain_text("after 400638133393 it is 1")
    expect(page.locator("#command")).to_have_attribute("aria-invalid", "true")


def test_what_the_service_refuses_is_told_at_its_field(counter):
    page = counter()
    page.keyboard.type("36.4 500g")
    expect(page.locator("#inside_width_mm")).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#fault-inside_width_mm")).to_contain_text("500")
    expect(page.locator("#fault-inside_width_mm span")).to_have_text("at most 200 mm")
    assert page.locator("#fits .candidate").count() == 0
    page.locator("#inside_width_mm").focus()
    press(page, "Control+a")
    page.keyboard.type("24.4")
    expect(page.locator("#fault-inside_width_mm")).to_be_hidden()
    expect(page.locator("#fits .candidate").first).to_be_visible()


@pytest.mark.parametrize(
    ("typed", "sent"),
    [
        ("36,4", ["36.4"]),
        ("36.4 36.5 36,3", ["36.4", "36.5", "36.3"]),
        ("1 3/8in", ["1 3/8in"]),
        ("1.417in 36mm", ["1.417in", "36mm"]),
        ("36.4ta6f", ["36.4"]),  # a key ends the number before it
        ("36.4 6f36.5", ["36.4", "36.5"]),
    ],
)
def test_readings_are_sent_as_the_service_takes_them(counter, typed, sent):
    page = counter()
    with page.expect_response(lambda answer: sent == readings_in(answer.url), timeout=10_000) as answered:
        page.keyboard.type(typed)
        press(page, "Enter")
    assert answered.value.status == 200


def test_a_key_pressed_again_takes_its_choice_back_and_no_key_works_in_another_field(counter):
    page = counter()
    page.keyboard.type("pd")
    chosen = page.locator("input[type=radio]:checked")
    assert chosen.evaluate_all("all => all.map((one) => one.value)") == ["two_piece", "6", "", ""]
    page.keyboard.type("P")
    assert chosen.evaluate_all("all => all.map((one) => one.value)") == ["", "6", "", ""]
    page.keyboard.type("y")
    page.keyboard.type("tap")  # WCAG 2.2, 2.1.4: letters are keys only where the focus is
    expect(page.locator("#keyed_profile")).to_have_value("tap")
    assert chosen.evaluate_all("all => all.map((one) => one.value)") == ["", "6", "", ""]


def test_a_question_leads_to_its_field(counter, client):
    asked = client.get("/v1/fits?outside_width_mm=36.4").json()["ask_next"]
    assert asked[0]["field"] == "fastening"
    page = counter()
    page.keyboard.type("36.4")
    expect(page.locator(".question").first).to_have_text(asked[0]["text"])
    page.keyboard.type("q")
    assert page.evaluate("document.activeElement.name") == "fastening"


def test_a_known_frame_that_tapers_asks_which_axle(counter, client):
    page = counter()
    page.keyboard.type("j")
    page.keyboard.type("QH-BRACKEN")
    press(page, "Enter")
    expect(page.locator("#fault-axle_position")).to_contain_text("1 to 4")
    page.locator("#axle_position").focus()
    page.keyboard.type("2")
    answer = client.get("/v1/frames/QH-BRACKEN/fits?axle_position=2").json()
    wait_for_best(page, answer["fits"][0]["axle"]["sku"])
    expect(page.locator("#drawing")).to_be_visible()
    # A width of one's own takes the frame's place.
    page.locator("#command").focus()
    page.keyboard.type("34")
    expect(page.locator("#frame")).to_have_value("")


def test_the_kit_has_the_total_that_the_service_reckons(counter, client):
    lookup = {name: value for name, value in FRAME.items() if name != "thread"}
    kit = client.post("/v1/kits", json={"lookup": lookup, "wheels": 4, "brake": "right"}).json()
    page = counter()
    page.keyboard.type("36.4 t a 6f w")
    page.locator("#brake").focus()
    page.keyboard.type("r")  # a list is chosen from by letter
    total = f"{kit['total']['amount']} {kit['total']['currency']}"
    expect(page.locator("#kit-content tfoot td")).to_have_text(total)
    rows = page.locator("#kit-content tbody tr")
    assert rows.count() == len(kit["lines"])
    assert total in printed_text(page)


def test_a_link_to_the_page_gives_the_same_lookup(counter):
    page = counter("?lang=de")
    page.keyboard.type("36.4 t a 6f w")
    expect(page.locator("#kit-content tfoot td")).to_be_visible()
    press(page, "ArrowDown")
    before = page.locator("#fits").inner_text(), page.locator("[aria-current]").get_attribute("data-sku")
    expect(page).to_have_url(re.compile("sku=.*kit=1"))
    again = counter(page.evaluate("location.search"))
    expect(again.locator("#kit-content tfoot td")).to_be_visible()
    assert (
        again.locator("#fits").inner_text(),
        again.locator("[aria-current]").get_attribute("data-sku"),
    ) == before
    assert again.evaluate("[localStorage.length, sessionStorage.length, document.cookie]") == [0, 0, ""]


def test_the_newest_answer_wins_whenever_the_older_one_comes(counter):
    page, held = counter(), []

    def hold(route):
        # The answer is fetched now and handed over late, as by a slow network.
        held.append((route, route.fetch()))

    page.route("**/v1/fits?outside_width_mm=36", hold)
    page.keyboard.type("36")
    page.wait_for_timeout(50)
    page.keyboard.type(".4")
    expect(page.locator("#fits .candidate").first).to_be_visible()
    shown = page.locator("#fits").inner_text()
    assert held
    for route, answer in held:
        route.fulfill(response=answer)
    page.wait_for_timeout(100)
    assert page.locator("#fits").inner_text() == shown


def test_while_the_service_is_away_nothing_is_lost_and_the_page_goes_on_by_itself(counter, client):
    page = counter()
    page.keyboard.type("36.4 t")
    expect(page.locator("#fits .candidate").first).to_be_visible()
    shown = page.locator("#fits").inner_text()
    page.context.set_offline(True)
    page.keyboard.type("a")
    expect(page.locator("#banner")).to_contain_text("cannot be reached")
    assert page.locator("#fits").inner_text() == shown
    page.context.set_offline(False)
    expect(page.locator("#banner")).to_be_hidden()
    asked = {"outside_width_mm": "36.4", "fastening": "threaded_wall", "bore_mm": "8"}
    answer = client.get("/v1/fits", params=asked).json()
    expect(page.locator("#summary")).to_contain_text(f"{answer['counts']['check_first']} to check first")
    assert page.locator("input[name=bore_mm]:checked").get_attribute("value") == "8"


def test_a_catalogue_that_may_be_behind_is_told_with_its_age(counter):
    page = counter()

    def aged(route):
        answer = route.fetch()
        route.fulfill(response=answer, headers={**answer.headers, "catalogue-age": "90"})

    page.route("**/v1/fits?*", aged)
    page.keyboard.type("36.4")
    expect(page.locator("#banner")).to_contain_text("90 s")


def test_from_key_press_to_new_list_in_a_tenth_of_a_second(counter, capsys):
    page = counter()
    network = page.context.new_cdp_session(page)
    network.send("Network.enable")
    network.send("Network.setCacheDisabled", {"cacheDisabled": True})  # each list comes from the service
    page.evaluate(NOTES_TIMES)
    took = []
    for width in ("36", "34", "32"):
        press(page, "Escape")
        for key in [*width, *"tasdprokl"]:
            page.evaluate("window.took = null")
            press(page, key)
            took.append(page.evaluate(TIME_OF_LAST))
    median = statistics.median(took)
    with capsys.disabled():
        sys.stdout.write(
            f"\nfrom key press to new list: {median:.0f} ms, median of {len(took)} key presses\n"
        )
    assert len(took) >= 30
    # Wanted: 100 ms. A machine that runs other tests beside this one is given five times that.
    assert median <= 500
