"""The API's description (OpenAPI 3.1): what the framework leaves out of it, and its one spelling as text."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from typing import Any

from fastapi import FastAPI
from fastapi.routing import APIRoute
from pydantic import TypeAdapter

from schemas.fields import Sku
from service.web.examples import add_examples
from service.web.header_fields import describe_headers

_TAGS = {
    "fits": "Which axles fit a frame.",
    "rockers": "How wheels at different heights stand.",
    "guides": "How to measure, and which tools to use.",
    "catalogue": "The parts table: axles, known frames, sleeves, and what changed in it.",
    "writes": "Changes of the catalogue; they need a key.",
    "replacements": "An old axle: what it is, what can stand in for it, which frames it fits.",
    "operation": "For whoever runs the service.",
}
_SECURITY_SCHEMES = {
    "key": {
        "type": "http",
        "scheme": "bearer",
        "description": "An API key, `axf_…`, that the operator of the service has issued; reads need none.",
    }
}
_KEYS_IN_PATHS = {
    "sku": "The part's SKU; upper and lower case differ.",
    "code": "The frame's code; upper and lower case differ.",
}


def document_details() -> dict[str, Any]:
    """What the framework takes of the document's head, as arguments of the application."""
    return {
        "contact": {"name": "The operator of this service"},
        "license_info": {"name": "MIT", "identifier": "MIT"},
        "servers": [{"url": "/", "description": "The host that this description came from."}],
        "openapi_tags": [{"name": name, "description": text} for name, text in _TAGS.items()],
        "generate_unique_id_function": _operation_id,
    }


def complete_document(app: FastAPI) -> None:
    """Add to the document of an application, once, what the routes do not say."""
    generate = app.openapi
    completed: list[dict[str, Any]] = []

    def described() -> dict[str, Any]:
        if not completed:
            completed.append(_complete(generate()))
        return completed[0]

    app.openapi = described  # type: ignore[method-assign]  # the framework's own way to extend the document


def document_text(app: FastAPI) -> str:
    """The document as it is kept in the repository: sorted, so that a change of it is small to read."""
    return json.dumps(app.openapi(), indent=2, sort_keys=True, ensure_ascii=False) + "\n"


def operations_of(document: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Every operation with its path and its method."""
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            yield path, method, operation


def _operation_id(route: APIRoute) -> str:
    return route.name.removeprefix("_")


def _complete(document: dict[str, Any]) -> dict[str, Any]:
    # No key is the rule; the operations that need one say so themselves.
    document["security"] = []
    document["components"]["securitySchemes"] = _SECURITY_SCHEMES
    for _, _, operation in operations_of(document):
        operation["summary"] = operation["operationId"].replace("_", " ").capitalize()
        for parameter in operation.get("parameters", []):
            _describe_key(parameter)
        describe_headers(operation)
        add_examples(operation)
        _lift_models(operation, document["components"]["schemas"])
    _each_schema(document, _plain)
    return document


def _describe_key(parameter: dict[str, Any]) -> None:
    """A key in a path is of the form that a record's key has."""
    if parameter["in"] == "path" and parameter["name"] in _KEYS_IN_PATHS:
        parameter["description"] = _KEYS_IN_PATHS[parameter["name"]]
        parameter["schema"] = TypeAdapter(Sku).json_schema()


def _lift_models(operation: dict[str, Any], schemas: dict[str, Any]) -> None:
    """Move the models within a body's schema to where its references look for them."""
    for content in operation.get("requestBody", {}).get("content", {}).values():
        for name, schema in content["schema"].pop("$defs", {}).items():
            schemas.setdefault(name, schema)


def _each_schema(value: Any, change: Callable[[dict[str, Any]], None]) -> None:
    if isinstance(value, dict):
        change(value)
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    for part in inner:
        _each_schema(part, change)


def _plain(schema: dict[str, Any]) -> None:
    """Bounds by their names in JSON Schema: pydantic keeps its own where a bound stands around `None`."""
    for name, standard in (("ge", "minimum"), ("le", "maximum")):
        if isinstance(schema.get(name), int | float):
            schema[standard] = schema.pop(name)
    # Many validators divide binary fractions, and to them 24.4 is no multiple of 0.001.
    if isinstance(schema.get("multipleOf"), float):
        schema["description"] = f"In steps of {schema.pop('multipleOf'):g}."
