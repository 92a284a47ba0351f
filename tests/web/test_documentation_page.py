"""The documentation page has all that the API's description has, and each of its links leads somewhere."""

import html
import json
import re
from html.parser import HTMLParser

import pytest

from service.app import create_app
from service.settings import Settings
from service.web.described_types import SAID, type_of
from service.web.document import operations_of
from service.web.documentation import example_answers

DOCUMENT = create_app(Settings()).openapi()
OPERATIONS = [operation for _, _, operation in operations_of(DOCUMENT)]
SCHEMAS = DOCUMENT["components"]["schemas"]
each_operation = pytest.mark.parametrize("operation", OPERATIONS, ids=lambda found: found["operationId"])


class Page(HTMLParser):
    """The elements with an identifier, with their text; the links; what is loaded."""

    VOID = frozenset({"meta", "link", "br", "hr", "img", "input"})

    def __init__(self, text):
        super().__init__()
        self.texts, self.links, self.loaded, self.tags, self._open, self.doubled = {}, [], [], set(), [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        self.tags.add(tag)
        self.links += [given["href"]] if tag == "a" else []
        self.loaded += [given[name] for name in ("src", "href") if name in given and tag != "a"]
        if (name := given.get("id")) is not None:
            self.doubled += [name] if name in self.texts else []
            self.texts[name] = ""
        if tag not in self.VOID:
            self._open.append(name)

    def handle_endtag(self, _tag):
        self._open.pop()

    def handle_data(self, data):
        for name in self._open:
            if name is not None:
                self.texts[name] += data


@pytest.fixture(scope="module")
def page(client):
    return Page(client.get("/documentation").text)


def keywords_of(schema):
    """The keywords of a schema and of those within it."""
    found = set(schema)
    inner = [*schema.get("properties", {}).values(), *schema.get("anyOf", [])]
    inner += [
        schema[name] for name in ("items", "additionalProperties") if isinstance(schema.get(name), dict)
    ]
    return found.union(*map(keywords_of, inner))


def values_in(schema):
    """Every code and every limit that a schema tells."""
    values = [str(value) for value in schema.get("enum", [])]
    values += [
        str(schema[name]) for name in ("minimum", "maximum", "maxLength", "maxItems") if name in schema
    ]
    inner = [*schema.get("anyOf", []), *([schema["items"]] if isinstance(schema.get("items"), dict) else [])]
    return values + [value for part in inner for value in values_in(part)]


def words(text):
    return " ".join(text.replace("`", "").split())


def assert_said(said, schema, name):
    assert words(schema.get("description", "")) in words(said), name
    assert [value for value in values_in(schema) if value not in said] == [], name


@each_operation
def test_every_operation_and_parameter_is_on_the_page_with_its_limits(page, operation):
    name = operation["operationId"]
    assert words(operation["description"]) in words(page.texts[f"operation-{name}"])
    for parameter in operation.get("parameters", []):
        said = page.texts[f"operation-{name}.{parameter['name']}"]
        assert words(parameter["description"]) in words(said)
        assert_said(said, parameter["schema"], parameter["name"])
        assert ("required" in said.split("\n")[1]) == parameter["required"]


@each_operation
def test_every_field_of_a_body_is_on_the_page(page, operation):
    for content in operation.get("requestBody", {}).get("content", {}).values():
        for field, schema in content["schema"].get("properties", {}).items():
            assert_said(page.texts[f"operation-{operation['operationId']}.body.{field}"], schema, field)


@each_operation
def test_every_status_is_on_the_page_and_leads_to_its_problems(page, client, operation):
    text = client.get("/documentation").text
    shown = text.partition(f'id="operation-{operation["operationId"]}"')[2].partition("</section>")[0]
    assert re.findall(r"<dt>(\d{3})</dt>", shown) == list(operation["responses"])
    for answer in operation["responses"].values():
        if "$ref" in answer:
            described = DOCUMENT["components"]["responses"][answer["$ref"].rpartition("/")[2]]["description"]
            for path in re.findall(r"`(/problems/[^`]+)`", described):
                assert f'href="{path}"' in shown


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_schema_and_field_is_on_the_page(page, name):
    assert words(SCHEMAS[name].get("description", "")) in words(page.texts[f"schema-{name}"])
    for field, schema in SCHEMAS[name]["properties"].items():
        assert_said(page.texts[f"schema-{name}.{field}"], schema, field)


def test_the_page_can_say_every_keyword_of_the_document():
    found = set().union(*map(keywords_of, SCHEMAS.values()))
    for operation in OPERATIONS:
        bodies = operation.get("requestBody", {}).get("content", {}).values()
        for described in [*operation.get("parameters", []), *bodies]:
            found |= keywords_of(described["schema"])
    assert found <= SAID


def test_every_link_leads_somewhere(page, client):
    assert page.doubled == []
    for link in set(page.links):
        path, _, anchor = link.partition("#")
        if path:
            assert client.get(path).status_code == 200, link
        else:
            assert anchor in page.texts, link
    assert {f"#operation-{operation['operationId']}" for operation in OPERATIONS} <= set(page.links)


@pytest.mark.parametrize("path", ["/", "/documentation"])
def test_a_page_loads_nothing_runs_nothing_and_may_be_kept(client, path):
    answer = client.get(path)
    page = Page(answer.text)
    assert page.loaded == []
    assert "script" not in page.tags
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert "max-age=300" in answer.headers["cache-control"]
    again = client.get(path, headers={"If-None-Match": answer.headers["etag"]})
    assert again.status_code == 304
    assert client.head(path).headers["etag"] == answer.headers["etag"]


def test_the_start_page_leads_to_what_is_there(client):
    links = Page(client.get("/").text).links
    assert {"/documentation", "/problems", "/openapi.json", "/embed/axle-fit.js"} <= set(links)
    assert [client.get(link).status_code for link in links] == [200] * len(links)


def test_what_a_description_holds_is_escaped():
    assert "<b>" not in type_of({"type": "string", "pattern": "<b>", "examples": ["<b>"], "default": "<b>"})


def test_the_codes_have_their_sentences(page, client):
    reasons = client.get("/v1/fits?outside_width_mm=36.4").json()["fits"][0]["reasons"]
    assert reasons
    for reason in reasons:
        assert page.texts[f"sentence-reasons-{reason['code']}"]
    assert {"fits", "fits_with_caution", "check_first", "no_fit"} <= set(
        re.findall(r"\w+", page.texts["code-verdict"])
    )


def test_the_page_shows_the_answers_that_are_kept(client):
    text = html.unescape(client.get("/documentation").text)
    shown = re.findall(r'<pre class="answer"><code>(.*?)</code></pre>', text, re.DOTALL)
    assert len(shown) == len(example_answers())
    assert all(json.loads(answer) is not None for answer in shown)
