"""Requests decoded into wire models: query parameters and JSON bodies, all faults at once."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterable
from typing import Any, TypeVar, get_args, get_origin

from fastapi import Depends, Request
from pydantic import BaseModel, ValidationError

from schemas.problems import MOST_FAULTS, FaultOfField, Place, faults_of, shown
from service.errors import InvalidRequestError
from service.web.json_bodies import json_object

M = TypeVar("M", bound=BaseModel)
_MOST_NAMES = 10


def from_query(
    model: type[M], *others: Callable[[Request], list[FaultOfField]]
) -> Callable[[Request], Awaitable[M]]:
    """A dependency that reads a model from the query; only measured fields may be repeated.

    What the others find fault with is told along with it.
    """
    repeatable = {name for name, field in model.model_fields.items() if _takes_several(field.annotation)}

    async def read(request: Request) -> M:
        given: dict[str, list[str]] = {}
        for name, value in request.query_params.multi_items():
            given.setdefault(name, []).append(value)
        # Of an unknown name it is enough to say that it is unknown; its value may be a secret.
        once = {name for name in given if name in model.model_fields and name not in repeatable}
        repeated = {name: values for name, values in given.items() if len(values) > 1 and name in once}
        values = {name: found if len(found) > 1 else found[0] for name, found in given.items()}
        # One of the values goes on, so that a field that is repeated is not told as missing too.
        values |= {name: found[-1] for name, found in repeated.items()}
        faults = [_repeated(name, found) for name, found in repeated.items()]
        for other in others:
            faults += other(request)
        return validated(model, values, faults, in_query=True, told=repeated)

    return read


def _repeated(name: str, found: list[str]) -> FaultOfField:
    choices = " or ".join(str(shown(value)) for value in dict.fromkeys(found[:_MOST_NAMES]))
    return FaultOfField(
        path=(name,), found=shown(found), allowed=f"one value; did you mean {choices}?", place="query"
    )


def from_body(model: type[M]) -> Callable[[Request], Awaitable[M]]:
    """A dependency that reads a model from a JSON object in the body; there are no query parameters then."""

    async def read(request: Request) -> M:
        values, faults = await json_object(request)
        return validated(model, values, faults_of_query(request) + faults)

    return read


def faults_of_query(request: Request) -> list[FaultOfField]:
    """The parameters of a request that takes none."""
    return [
        FaultOfField(path=(name,), found=shown(name), allowed="no parameter in the query here", place="query")
        for name in dict.fromkeys(request.query_params)
    ]


async def _no_query(request: Request) -> None:
    if faults := faults_of_query(request):
        raise invalid(faults)


NO_QUERY = Depends(_no_query)
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
    model: type[M],
    values: dict[str, Any],
    faults: Iterable[FaultOfField],
    *,
    in_query: bool = False,
    told: Iterable[str] = (),
) -> M:
    """The model of these values, or an error with every fault, those found before among them.

    Of the fields that are told already the model says nothing more.
    """
    found, known = list(faults), set(told)
    place: Place = "query" if in_query else "body"
    try:
        decoded = model.model_validate(values)
    except ValidationError as error:
        located = (
            fault.model_copy(update={"place": place, "path": _as_sent(fault.path, values)})
            for fault in faults_of(error, model)
        )
        found += [fault for fault in located if not fault.path or fault.path[0] not in known]
    if found:
        raise invalid(found)
    return decoded


def _as_sent(path: tuple[str | int, ...], values: Any) -> tuple[str | int, ...]:
    """The path of a fault in what was sent: a single reading is read as a list of one, and is none there."""
    for place, step in enumerate(path):
        if isinstance(step, int) and not isinstance(values, list):
            return path[:place]
        values = (
            values.get(step) if isinstance(values, dict) else values[step] if isinstance(step, int) else None
        )
    return path


def invalid(faults: list[FaultOfField]) -> InvalidRequestError:
    """The error that tells these faults, a hundred of them at most."""
    names = list(dict.fromkeys(str(shown(fault.path[0])) for fault in faults if fault.path))
    more = " and more" if len(names) > _MOST_NAMES else ""
    seen = ", ".join(names[:_MOST_NAMES]) + more
    return InvalidRequestError(f"The request cannot be answered as it is: see {seen}.", faults[:MOST_FAULTS])


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
