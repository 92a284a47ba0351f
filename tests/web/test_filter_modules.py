"""The modules of the filter element: types, caches, other origins, and the words in every language."""

import json
import re
from pathlib import Path

import pytest

import service.web
from schemas.codes import Language
from service.fitting.languages import sentences_in

ENTRY = "/embed/axle-fit.js"
SOURCES = sorted((Path(service.web.__file__).parent / "embed").rglob("*.js"))


def imports_of(text):
    return re.findall(r'from "(\./[^"]+)"', text)


@pytest.fixture(scope="module")
def modules(client):
    """Every module that the entry leads to, by its path."""
    found, waiting = {}, [ENTRY]
    while waiting:
        path = waiting.pop()
        if path not in found:
            found[path] = client.get(path, headers={"Origin": "https://shop.example"})
            folder = path.rpartition("/")[0]
            waiting += [f"{folder}/{name.removeprefix('./')}" for name in imports_of(found[path].text)]
    return found


def test_the_entry_leads_to_every_module_and_to_the_words(modules):
    names = {path.rpartition("/")[2] for path in modules}
    assert names == {path.name for path in SOURCES} | {"words.js"}


def test_a_module_is_a_script_that_any_origin_may_load(modules):
    # Fetch standard: module scripts are fetched with CORS; HTML standard: only with a JavaScript MIME type.
    for path, answer in modules.items():
        assert answer.status_code == 200, path
        assert answer.headers["content-type"].partition(";")[0] == "text/javascript"
        assert answer.headers["access-control-allow-origin"] == "*"
        assert answer.headers["x-content-type-options"] == "nosniff"


def test_the_entry_is_asked_for_again_soon_and_its_modules_never(client, modules):
    # RFC 8246: immutable.
    for path, answer in modules.items():
        kept = answer.headers["cache-control"]
        assert ("immutable" in kept) == (path != ENTRY)
        again = client.get(path, headers={"If-None-Match": answer.headers["etag"]})
        assert (again.status_code, again.content) == (304, b"")
    assert "max-age=300" in modules[ENTRY].headers["cache-control"]


def test_a_folder_of_another_release_gives_modules_that_nobody_keeps(client):
    answer = client.get("/embed/axle-fit/0123456789abcdef/element.js")
    assert answer.status_code == 200
    assert answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    "path",
    ["/embed/axle-fit/x/nothing.js", "/embed/axle-fit/x/..%2Faxle-fit.js", "/embed/axle-fit", "/embed/"],
)
def test_what_is_no_module_is_a_problem(client, problem_in, path):
    assert problem_in(client.get(path))["status"] == 404


def test_a_module_takes_no_parameters(client, problem_in):
    assert problem_in(client.get(f"{ENTRY}?v=2"))["status"] == 422


@pytest.mark.parametrize("language", Language)
def test_the_words_are_those_of_the_catalogues(modules, language):
    (text,) = [answer.text for path, answer in modules.items() if path.endswith("/words.js")]
    words = json.loads(text.removeprefix("export default ").rstrip().removesuffix(";"))
    said = sentences_in(language)
    assert set(words) == set(Language)
    assert words[language]["filters"] == said.filters
    assert words[language]["fastenings"] == said.fastenings
    assert words[language]["drives"]["slot"] == said.guides["drive_name_slot"]


def test_every_word_of_the_filter_is_used_and_none_is_missing():
    used = {
        name for path in SOURCES for name in re.findall(r"\bfilters\.(\w+)", path.read_text(encoding="utf-8"))
    }
    known = set(sentences_in(Language.ENGLISH).filters)
    assert used <= known
    elsewhere = "\n".join(path.read_text(encoding="utf-8") for path in SOURCES)
    assert [name for name in known - used if not re.search(rf"\b{name}\b", elsewhere)] == []


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.name)
def test_a_module_is_short_and_writes_no_markup(path):
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 300
    assert text.startswith("/**")
    for way in (
        "innerHTML",
        "outerHTML",
        "insertAdjacentHTML",
        "document.write",
        "eval(",
        "DOMParser",
        "http:",
    ):
        assert way not in text.replace("http://www.w3.org/2000/svg", "")
