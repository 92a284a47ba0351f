"""The counter page as it is served: its files, their headers, its words in each language."""

import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest

import service.web
from schemas.codes import Language
from service.fitting.languages import english_of, sentences_in

FOLDER = Path(service.web.__file__).parent / "pages" / "counter"
MODULES = sorted(path.name for path in FOLDER.glob("*.js"))


@pytest.fixture(scope="module")
def words_of(client):
    """The words that the page in a language holds for its modules."""

    def read(language):
        text = client.get("/counter", params={"lang": language}).text
        (held,) = re.findall(r'<script type="application/json" id="words">(.*?)</script>', text, re.DOTALL)
        return json.loads(held)

    return read


def test_the_page_lets_nothing_in_from_another_host_and_runs_nothing_but_its_modules(client):
    answer = client.get("/counter")
    policy = dict(
        directive.strip().split(" ", 1) for directive in answer.headers["content-security-policy"].split(";")
    )
    # Content Security Policy level 3, 6.1: what is not named falls back on default-src.
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["form-action"] == policy["base-uri"] == "'none'"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert not re.search(r"https?://|\sstyle=|\son\w+=", answer.text)
    scripts = re.findall(r"<script ([^>]*)>", answer.text)
    assert scripts == ['type="application/json" id="words"', 'type="module" src="/counter/counter.js"']


@pytest.mark.parametrize("name", ["sheet.css", "counter.css", *MODULES])
def test_each_file_has_its_media_type_and_is_sent_once(client, name):
    first = client.get(f"/counter/{name}")
    media_type = "text/css" if name.endswith(".css") else "text/javascript"  # RFC 9239, 6
    assert first.headers["content-type"] == f"{media_type}; charset=utf-8"
    assert "max-age=0" in first.headers["cache-control"]
    # RFC 9110, 13.1.2
    again = client.get(f"/counter/{name}", headers={"If-None-Match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_the_page_is_another_one_in_each_language(client):
    tags = {client.get("/counter", params={"lang": language}).headers["etag"] for language in Language}
    assert len(tags) == len(Language)


def test_the_page_is_in_the_language_of_the_browser_unless_its_address_names_one(client):
    french = {"Accept-Language": "fr-CA, de;q=0.5"}
    asked = client.get("/counter", headers=french)
    assert (asked.headers["content-language"], asked.headers["vary"]) == ("fr", "Accept-Language")
    assert '<html lang="fr">' in asked.text
    named = client.get("/counter?lang=it", headers=french)
    assert '<html lang="it">' in named.text
    unknown = client.get("/counter?lang=xx", headers=french)
    assert '<html lang="fr">' in unknown.text


@pytest.mark.parametrize("language", Language)
def test_the_page_holds_all_words_of_its_language(words_of, language):
    said = sentences_in(language)
    assert words_of(language).items() >= {**said.counter, **said.fastenings}.items()


def test_a_module_says_nothing_but_words_that_there_are_and_every_word_is_said_somewhere(words_of):
    source = "".join((FOLDER / name).read_text(encoding="utf-8") for name in MODULES)
    template = (FOLDER.parents[1] / "templates" / "counter.html").read_text(encoding="utf-8")
    said = set(re.findall(r'say\("(\w+)"', source))
    assert said
    assert said <= set(words_of(Language.ENGLISH))
    written = source + template + (FOLDER.parents[1] / "counter.py").read_text(encoding="utf-8")
    # Codes of the wire are said as they come: verdicts, outcomes, materials.
    from_the_wire = {
        "fits",
        "fits_with_caution",
        "check_first",
        "no_fit",
        "pass",
        "caution",
        "unknown",
        "fail",
    }
    unsaid = {code for code in english_of("counter") if not re.search(rf"\b{code}\b", written)}
    assert {
        code
        for code in unsaid - from_the_wire
        if not code.startswith(("steel_", "stainless_", "aluminium_", "titanium_"))
    } == set()


def test_the_page_takes_what_a_clerk_typed_in_its_address_and_shows_none_of_it(client):
    answer = client.get("/counter?frame=%3Cscript%3Ealert(1)%3C/script%3E&lang=de")
    assert answer.status_code == 200
    assert "alert(1)" not in answer.text


@pytest.mark.parametrize("path", ["/counter/counter.py", "/counter/..%2Fcounter.html", "/counter/nothing.js"])
def test_a_file_that_the_page_does_not_have_is_a_problem(client, problem_in, path):
    assert problem_in(client.get(path))["status"] == 404


@pytest.mark.parametrize("name", MODULES)
def test_a_module_is_read_by_node_and_short_enough_to_read_at_one_sitting(name):
    text = (FOLDER / name).read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 300
    node = shutil.which("node")
    if node is None:
        pytest.skip("Node is not installed.")
    run = subprocess.run(
        [node, "--check", "--input-type=module"], input=text, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stderr
