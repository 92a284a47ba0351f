"""Each type of problem leads to a page that says what it is and what to do, and each page to a type."""

import ast
import base64
import hashlib
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from service.errors import OperatorError, ServiceError
from service.web.problem_kinds import problem_kinds
from service.web.problem_pages import problem_page
from service.web.problems import problem_type

SERVICE = Path(__file__).resolve().parents[2] / "service"
KINDS = problem_kinds()
each_kind = pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.code)


class Page(HTMLParser):
    """What a browser makes of a page: its language, its links, its text."""

    def __init__(self, text):
        super().__init__()
        self.language, self.links, self.loaded, self.tags, self.text = None, [], [], [], ""
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        self.tags.append(tag)
        self.language = given.get("lang", self.language)
        self.links += [given["href"]] if tag == "a" else []
        self.loaded += [given[name] for name in ("src", "href") if name in given and tag != "a"]

    def handle_data(self, data):
        self.text += data


def codes_in_the_source():
    """The codes that classes of the service set, whatever imports them."""
    return {
        statement.value.value
        for path in SERVICE.rglob("*.py")
        for kind in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(kind, ast.ClassDef) and any(ast.unparse(base).endswith("Error") for base in kind.bases)
        for statement in kind.body
        if isinstance(statement, ast.Assign) and ast.unparse(statement.targets[0]) == "code"
    }


def test_every_code_of_the_source_has_a_page_but_those_of_the_command_line():
    on_the_command_line = {kind.code for kind in OperatorError.__subclasses__()}
    assert {kind.code for kind in KINDS} == (codes_in_the_source() | {"internal"}) - on_the_command_line


def test_no_two_problems_share_a_page():
    assert len({kind.code for kind in KINDS}) == len(KINDS)


@each_kind
def test_the_type_of_a_problem_is_the_address_of_its_page(client, kind):
    answer = client.get(problem_type(kind))
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    text = Page(answer.text).text
    assert kind.title in text
    assert str(kind.status) in text
    assert problem_type(kind) in text


@each_kind
def test_a_page_says_in_sentences_what_happened_and_what_to_do(kind):
    page = problem_page(kind)
    assert re.fullmatch(r"[A-Z].*\.", page.what)
    assert re.fullmatch(r"[A-Z].*\.", page.to_do)
    # A class that only inherits its docstring would tell of another problem.
    assert kind.__doc__ != next(base for base in kind.__mro__[1:]).__doc__


def test_the_list_leads_to_every_page_and_every_page_to_the_list(client):
    listed = Page(client.get("/problems").text).links
    assert listed == [problem_type(kind) for kind in KINDS]
    assert all(Page(client.get(link).text).links == ["/problems"] for link in listed)


@pytest.mark.parametrize("path", ["/problems", "/problems/invalid-request"])
def test_a_page_loads_nothing_and_runs_nothing(client, path):
    answer = client.get(path)
    page = Page(answer.text)
    assert page.language == "en"
    assert page.loaded == []
    assert "script" not in page.tags
    # CSP level 3, 2.3.1: a style is allowed by the digest of what stands between its tags.
    (style,) = re.findall(r"<style>(.*?)</style>", answer.text, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = answer.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert f"style-src 'sha256-{digest}'" in policy
    assert "color-scheme: light dark" in style
    assert 'name="viewport" content="width=device-width' in answer.text


def test_what_a_docstring_holds_is_escaped():
    kind = type("OddError", (), {"code": "odd", "title": "T", "status": 400})
    kind.__doc__ = "A `<b>` & <script>.\n\nDo."
    assert problem_page(kind).what == "A <code>&lt;b&gt;</code> &amp; &lt;script&gt;."


def test_a_page_that_is_not_there_is_a_problem(client, problem_in):
    assert problem_in(client.get("/problems/no-such-thing"))["status"] == 404
    assert problem_in(client.get("/problems/backup"))["status"] == 404


def test_a_page_takes_no_parameters(client, problem_in):
    assert problem_in(client.get("/problems?page=2"))["status"] == 422


def test_what_a_command_tells_its_operator_never_goes_over_http(client_of, answering):
    response = client_of(answering(OperatorError("the inside")), raise_server_exceptions=False).get("/")
    assert (response.status_code, response.json()["type"]) == (500, problem_type(ServiceError))
    assert "inside" not in response.text
