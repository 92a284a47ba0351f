"""Requests decoded into wire models: query parameters and JSON bodies, all faults at once."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Awaitable, Callable, Iterable
from typing import Any, TypeVar, get_args, get_origin

from fastapi import Depends, Request
from pydantic import BaseModel, ValidationError

from schemas.base import WireModel
from schemas.problems import FaultOfField, faults_of, shown
from service.errors import BodyTooLargeError, InvalidRequestError, MalformedRequestError

M = TypeVar("M", bound=BaseModel)
_MOST_NAMES = 10
MOST_BYTES = 256 * 1024


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
        unique = {name: value for name, value in values.items() if name not in repeated}
        return validated(model, unique, faults, in_query=True)

    return read


def from_body(model: type[M]) -> Callable[[Request], Awaitable[M]]:
    """A dependency that reads a model from a JSON object in the body."""

    async def read(request: Request) -> M:
        return validated(model, await json_object(request), [])

    return read


class NoParameters(WireModel):
    """A query that has to be empty."""


NO_QUERY = Depends(from_query(NoParameters))
"""A dependency of routes that take no query: a parameter that would be ignored is refused."""


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
    schema = model.model_json_schema()
    schema = _inlined(schema, schema.pop("$defs", {}))
    return {"requestBody": {"required": True, "content": {"application/json": {"schema": schema}}}}


def _inlined(schema: Any, definitions: dict[str, Any]) -> Any:
    """A schema with the definitions where they are referred to: only answers stand in the components."""
    if isinstance(schema, dict):
        if "$ref" in schema:
            name = schema["$ref"].rpartition("/")[2]
            rest = {key: value for key, value in schema.items() if key != "$ref"}
            return _inlined(definitions[name] | rest, definitions)
        return {key: _inlined(value, definitions) for key, value in schema.items()}
    return [_inlined(value, definitions) for value in schema] if isinstance(schema, list) else schema


def validated(
    model: type[M], values: dict[str, Any], faults: Iterable[FaultOfField], *, in_query: bool = False
) -> M:
    """The model of these values, or an error with every fault, those found before among them."""
    found = list(faults)
    try:
        decoded = model.model_validate(values)
    except ValidationError as error:
        found += faults_of(error, model)
    if found:
        names = list(dict.fromkeys(str(shown(fault.path[0])) for fault in found if fault.path))
        more = " and more" if len(names) > _MOST_NAMES else ""
        seen = ", ".join(names[:_MOST_NAMES]) + more
        detail = f"The request cannot be answered as it is: see {seen}."
        raise InvalidRequestError(detail, found, in_query=in_query)
    return decoded


async def json_object(request: Request) -> dict[str, Any]:
    """The JSON object in the body, which is not too large; a name that is repeated is refused."""
    body = bytearray()
    async for part in request.stream():
        body += part
        if len(body) > MOST_BYTES:
            raise BodyTooLargeError(f"A body has at most {MOST_BYTES} bytes here.")
    return object_in(bytes(body), kind="body")


def object_in(content: bytes, *, kind: str) -> dict[str, Any]:
    """The JSON object in a body or a line; a name that is repeated is refused."""
    try:
        # NaN and Infinity, which JSON does not have, are left to the field that they stand in.
        value = json.loads(content.decode("utf-8-sig"), object_pairs_hook=_no_repeated_names)
    except InvalidRequestError:
        raise
    except (ValueError, RecursionError):  # also what is not UTF-8
        raise MalformedRequestError(f"The {kind} is not JSON (RFC 8259), in UTF-8.") from None
    if not isinstance(value, dict):
        raise MalformedRequestError(f"The {kind} is JSON, but not an object.")
    return value


def _no_repeated_names(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    values = dict(pairs)
    if len(values) < len(pairs):
        counts = Counter(name for name, _ in pairs)
        faults = [
            FaultOfField(path=(name,), found="the name more than once", allowed="the name once")
            for name, count in counts.items()
            if count > 1
        ]
        raise InvalidRequestError("The body has a name more than once.", faults[:_MOST_NAMES])
    return values


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
