"""The problems in the OpenAPI document: one schema, and one response for each status."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from fastapi import FastAPI
from pydantic.json_schema import models_json_schema

from schemas.problems import Problem
from service.web.header_fields import RATE_LIMITS
from service.web.problem_kinds import problem_kinds
from service.web.problems import PROBLEM_JSON, problem_type

ANY_REQUEST = (400, 413, 414, 431, 500)
"""What any operation can answer: what is no HTTP, what is too large, and an error of the service's own."""
_SCHEMAS = "#/components/schemas/"
_RESPONSES = "#/components/responses/"


def problem_reference(status: int) -> dict[str, Any]:
    """The reference to the response that a problem of this status is."""
    return {"$ref": f"{_RESPONSES}Problem{status}", "description": "A problem document (RFC 9457)."}


def describe_problems(app: FastAPI) -> None:
    """Add to the OpenAPI document of an application what its operations refer to."""
    generate = app.openapi

    def described() -> dict[str, Any]:
        document = generate()
        _describe_limits(document)
        components: dict[str, Any] = document.setdefault("components", {})
        components.setdefault("schemas", {}).update(_schemas())
        components.setdefault("responses", {}).update(_responses(_statuses(document)))
        return document

    app.openapi = described  # type: ignore[method-assign]  # the framework's own way to extend the document


def _describe_limits(document: dict[str, Any]) -> None:
    """What is under /v1/ may be limited."""
    for path, operations in document["paths"].items():
        if path.startswith("/v1/"):
            for operation in operations.values():
                operation["responses"]["429"] = problem_reference(429)


def _schemas() -> dict[str, Any]:
    _, document = models_json_schema([(Problem, "serialization")], ref_template=_SCHEMAS + "{model}")
    schemas: dict[str, Any] = document["$defs"]
    return schemas


def _statuses(document: dict[str, Any]) -> list[int]:
    """The statuses of the problems that operations refer to."""
    found = {
        int(status)
        for operations in document["paths"].values()
        for operation in operations.values()
        for status, response in operation["responses"].items()
        if response.get("$ref", "").startswith(_RESPONSES)
    }
    return sorted(found)


def _responses(statuses: list[int]) -> dict[str, Any]:
    return {f"Problem{status}": _response(status) for status in statuses}


def _response(status: int) -> dict[str, Any]:
    kinds = [kind for kind in problem_kinds() if kind.status == status]
    described = "; ".join(f"{kind.title} (`{problem_type(kind)}`)" for kind in kinds)
    names = sorted({name for kind in kinds for name in kind.headers})
    response: dict[str, Any] = {
        "description": f"{described}.",
        "content": {PROBLEM_JSON: {"schema": {"$ref": f"{_SCHEMAS}Problem"}}},
    }
    headers = {name: {"schema": {"type": "string"}} for name in names}
    if status == HTTPStatus.TOO_MANY_REQUESTS:
        headers |= RATE_LIMITS
    if headers:
        response["headers"] = headers
    return response
