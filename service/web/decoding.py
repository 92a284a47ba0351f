"""Requests decoded into wire models: query parameters and JSON bodies, all faults at once."""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable, Iterable
from typing import Any, TypeVar, get_args, get_origin

from fastapi import Request
from pydantic import BaseModel, ValidationError

from schemas.problems import FaultOfField, faults_of, shown
from service.errors import InvalidRequestError, MalformedRequestError

M = TypeVar("M", bound=BaseModel)


def from_query(model: type[M]) -> Callable[[Request], Awaitable[M]]:
    """A dependency that reads a model from the query; only measured fields may be repeated."""
    repeatable = {name for name, field in model.model_fields.items() if _takes_several(field.annotation)}

    async def read(request: Request) -> M:
        given: dict[str, list[str]] = {}
        for name, value in request.query_params.multi_items():
            given.setdefault(name, []).append(value)
        repeated = [name for name, values in given.items() if len(values) > 1 and name not in repeatable]
        values = {name: found if len(found) > 1 else found[0] for name, found in given.items()}
        faults = [
            FaultOfField(path=(name,), found=shown(given[name]), allowed="one value") for name in repeated
        ]
        return validated(model, {k: v for k, v in values.items() if k not in repeated}, faults)

    return read


def from_body(model: type[M]) -> Callable[[Request], Awaitable[M]]:
    """A dependency that reads a model from a JSON object in the body."""

    async def read(request: Request) -> M:
        return validated(model, json_object(await request.body()), [])

    return read


def query_parameters(model: type[BaseModel]) -> dict[str, Any]:
    """The OpenAPI entry for the parameters that `from_query` reads."""
    schema = model.model_json_schema(ref_template="#/components/schemas/{model}")
    required = schema.get("required", [])
    return {
        "parameters": [
            {
                "name": name,
                "in": "query",
                "required": name in required,
                "description": field.pop("description", ""),
                "schema": _plain(field),
            }
            for name, field in schema["properties"].items()
        ]
    }


def json_body(model: type[BaseModel]) -> dict[str, Any]:
    """The OpenAPI entry for the body that `from_body` reads."""
    schema = model.model_json_schema(ref_template="#/components/schemas/{model}")
    return {"requestBody": {"required": True, "content": {"application/json": {"schema": schema}}}}


def validated(model: type[M], values: dict[str, Any], faults: Iterable[FaultOfField]) -> M:
    """The model of these values, or an error with every fault, those found before among them."""
    found = list(faults)
    try:
        decoded = model.model_validate(values)
    except ValidationError as error:
        found += faults_of(error, model)
    if found:
        names = ", ".join(dict.fromkeys(str(fault.path[0]) for fault in found if fault.path))
        raise InvalidRequestError(f"The request cannot be answered as it is: see {names}.", found)
    return decoded


def json_object(body: bytes) -> dict[str, Any]:
    """The JSON object in a body; what JSON (RFC 8259) does not have is refused, a repeated name too."""
    try:
        value = json.loads(body, parse_constant=_no_constant, object_pairs_hook=_no_repeated_names)
    except InvalidRequestError:
        raise
    except (ValueError, RecursionError):  # also what is not UTF-8
        raise MalformedRequestError("The body is not JSON (RFC 8259), in UTF-8.") from None
    if not isinstance(value, dict):
        raise MalformedRequestError("The body is JSON, but not an object.")
    return value


def _no_constant(name: str) -> None:
    raise MalformedRequestError(f"JSON has no {name}.")


def _no_repeated_names(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    names = [name for name, _ in pairs]
    repeated = {name for name in names if names.count(name) > 1} if len(set(names)) < len(names) else set()
    if repeated:
        faults = [
            FaultOfField(path=(name,), found="the name more than once", allowed="the name once")
            for name in sorted(repeated)
        ]
        raise InvalidRequestError("The body has a name more than once.", faults)
    return dict(pairs)


def _takes_several(annotation: Any) -> bool:
    """Whether a field's type is a tuple, alone or with None."""
    return get_origin(annotation) is tuple or any(_takes_several(a) for a in get_args(annotation))


def _plain(schema: dict[str, Any]) -> dict[str, Any]:
    """A parameter's schema: one that may be left out is not one that may be null."""
    schema.pop("title", None)
    choices = [choice for choice in schema.get("anyOf", []) if choice != {"type": "null"}]
    if schema.get("default", "") is None:
        schema.pop("default")
    if len(choices) == 1:
        schema.pop("anyOf")
        schema |= choices[0]
    elif choices:
        schema["anyOf"] = choices
    return schema
