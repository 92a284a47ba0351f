"""The API's documentation page, made by the service from its own description: nothing is loaded or run."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple

from fastapi import APIRouter, FastAPI, Request, Response
from fastapi.routing import iter_route_contexts
from markupsafe import Markup

from schemas.codes import Language
from service.fitting.languages import sentences_in
from service.web.decoding import NO_QUERY
from service.web.described_types import Field, fields_of, type_of
from service.web.document import operations_of
from service.web.pages import page_answer, page_text, paragraphs
from service.web.shown_requests import curl_of

_LOOK = "documentation.css"
_START_LOOK = "problems.css"
_PROBLEM = re.compile(r"([^;(]+) \(`(/problems/[a-z0-9-]+)`\)")
_WORDED = ("reasons", "cautions", "inferences", "kits", "rockers", "guides")
"""The kinds of sentences whose codes stand in answers."""
_PLACES = {
    "/counter": "The counter: measure, scan, see what fits, print a slip.",
    "/documentation": "The API's documentation: every operation, parameter, answer and code.",
    "/problems": "The problems: what each error means and what to do.",
    "/openapi.json": "The API's description for machines (OpenAPI 3.1).",
    "/embed/axle-fit.js": "The filter element for a shop's own page, as an ES module.",
}
"""What the start page leads to, as far as this service has it."""


class Answer(NamedTuple):
    """A status that an operation may answer with."""

    status: str
    description: Markup
    kind: Markup
    headers: list[str]
    problems: list[tuple[str, str]]


class Operation(NamedTuple):
    """An operation as the page shows it."""

    name: str
    method: str
    path: str
    description: Markup
    needs_key: bool
    parameters: list[Field]
    body: list[Field]
    body_description: Markup
    media_type: str
    command: str
    answers: list[Answer]
    example: str | None


def documentation_pages() -> APIRouter:
    """The routes of the start page and of the documentation."""
    router = APIRouter(include_in_schema=False, dependencies=[NO_QUERY])

    @cache  # of one application, whose description does not change
    def documentation(app: FastAPI) -> str:
        return page_text("documentation.html", look=_LOOK, **_shown(app.openapi()))

    async def get_documentation(request: Request) -> Response:
        return page_answer(request, documentation(request.app), look=_LOOK)

    async def get_start(request: Request) -> Response:
        there = {route.path_format for route in iter_route_contexts(request.app.routes)}
        places = {path: what for path, what in _PLACES.items() if path in there}
        return page_answer(
            request, page_text("start.html", look=_START_LOOK, places=places), look=_START_LOOK
        )

    router.add_api_route("/", get_start, methods=["GET"])
    router.add_api_route("/documentation", get_documentation, methods=["GET"])
    return router


def _shown(document: dict[str, Any]) -> dict[str, object]:
    """What the template shows of the document."""
    responses = document["components"]["responses"]
    examples = example_answers()
    tags = {tag["name"]: (tag["description"], list[Operation]()) for tag in document["tags"]}
    for path, method, operation in operations_of(document):
        example = examples.get(operation["operationId"])
        shown = _operation(path, method, operation, responses)._replace(example=example)
        tags[operation["tags"][0]][1].append(shown)
    schemas = document["components"]["schemas"]
    return {
        "about": document["info"],
        "tags": tags,
        "schemas": [
            (name, paragraphs(schema.get("description", "")), fields_of(schema, f"schema-{name}"))
            for name, schema in sorted(schemas.items())
        ],
        "codes": _codes(document),
        "sentences": {kind: getattr(sentences_in(Language.ENGLISH), kind) for kind in _WORDED},
        "languages": list(Language),
    }


def example_answers() -> Mapping[str, str]:
    """What the demonstration catalogue answers to the examples, shortened; kept by the operation's name."""
    text = files("service.web").joinpath("example_answers.json").read_text(encoding="utf-8")
    kept: dict[str, str] = json.loads(text)
    return kept


def _operation(path: str, method: str, operation: dict[str, Any], responses: dict[str, Any]) -> Operation:
    name = operation["operationId"]
    body = operation.get("requestBody", {})
    media_type, content = next(iter(body.get("content", {"": {}}).items()))
    schema: dict[str, Any] = content.get("schema", {})
    return Operation(
        name=name,
        method=method.upper(),
        path=path,
        description=paragraphs(operation["description"]),
        needs_key=bool(operation.get("security")),
        parameters=[_parameter(parameter, name) for parameter in operation.get("parameters", [])],
        body=fields_of(schema, f"operation-{name}.body"),
        body_description=paragraphs(body.get("description") or schema.get("description", "")),
        media_type=media_type,
        command=curl_of(path, method, operation),
        answers=[
            _answer(status, _resolved(answer, responses)) for status, answer in operation["responses"].items()
        ],
        example=None,
    )


def _parameter(parameter: dict[str, Any], operation: str) -> Field:
    return Field(
        name=parameter["name"],
        anchor=f"operation-{operation}.{parameter['name']}",
        required=parameter["required"],
        kind=type_of(parameter["schema"]),
        description=paragraphs(parameter.get("description", "")),
        place=parameter["in"],
        fields=[],
    )


def _resolved(answer: dict[str, Any], responses: dict[str, Any]) -> dict[str, Any]:
    resolved: dict[str, Any] = responses[answer["$ref"].rpartition("/")[2]] if "$ref" in answer else answer
    return resolved


def _answer(status: str, answer: dict[str, Any]) -> Answer:
    described = answer["description"]
    problems = [(title.strip(), path) for title, path in _PROBLEM.findall(described)]
    schemas = [content["schema"] for content in answer.get("content", {}).values() if "schema" in content]
    return Answer(
        status=status,
        description=Markup() if problems else paragraphs(described),
        kind=Markup(" or ").join(type_of(schema) for schema in schemas),
        headers=sorted(answer.get("headers", {})),
        problems=problems,
    )


def _codes(document: dict[str, Any]) -> dict[str, list[list[str]]]:
    """The sets of codes by the name of the parameter or the field that has them."""
    found: dict[str, list[list[str]]] = {}
    for name, schema in _named_schemas(document):
        for part in (schema, schema.get("items", {}), *schema.get("anyOf", [])):
            values = part.get("enum")
            if values and values not in found.setdefault(name, []):
                found[name].append(values)
    return {name: sets for name, sets in sorted(found.items()) if sets}


def _named_schemas(part: Any) -> Iterable[tuple[str, dict[str, Any]]]:
    """Every schema of the document that has a name: those of parameters, headers and fields."""
    if isinstance(part, list):
        for inner in part:
            yield from _named_schemas(inner)
    if not isinstance(part, dict):
        return
    if isinstance(part.get("schema"), dict) and "name" in part:
        yield part["name"], part["schema"]
    for name, field in part.get("properties", {}).items():
        if isinstance(field, dict):
            yield name, field
    for inner in part.values():
        yield from _named_schemas(inner)
