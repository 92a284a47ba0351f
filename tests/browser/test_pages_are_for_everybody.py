"""The start page and the documentation in a browser."""

import pytest

# The documentation repeats a few templates some thousand times, and axe-core takes minutes for all of them.
SOME_OF_EACH = """
for (const repeated of [".operation", ".schema", "#codes dl > div", "#sentences dl > div"])
  for (const one of [...document.querySelectorAll(repeated)].slice(3)) one.remove();
"""


@pytest.mark.parametrize("width", [360, 1920])
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", ["/", "/documentation", "/problems"])
def test_a_page_has_no_fault_of_access(browse, faults_of_access, path, scheme, width):
    page = browse(path, color_scheme=scheme, viewport={"width": width, "height": 900})
    assert page.locator("h1").count() == 1
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.evaluate(SOME_OF_EACH)
    assert faults_of_access(page) == []


def test_a_reader_comes_from_the_start_to_a_field_of_an_answer(browse):
    page = browse("/")
    page.get_by_role("link", name="/documentation").click()
    page.get_by_role("navigation").get_by_role("link", name="GET /v1/fits", exact=True).click()
    operation = page.locator("#operation-get_fits")
    assert operation.get_by_role("heading", name="GET /v1/fits").is_visible()
    operation.get_by_role("link", name="FitsResponse").click()
    page.locator("#schema-FitsResponse").get_by_role("link", name="FitAnswer").click()
    assert page.url.endswith("#schema-FitAnswer")
    assert page.locator("#schema-FitAnswer").get_by_text("fit_probability").first.is_visible()


def test_on_paper_there_is_the_text_without_the_contents(browse):
    page = browse("/documentation")
    page.emulate_media(media="print")
    assert page.get_by_role("navigation").is_hidden()
    assert page.locator("#operation-get_fits").is_visible()
    paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert paper == "rgb(255, 255, 255)"
