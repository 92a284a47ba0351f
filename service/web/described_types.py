"""The schemas of the OpenAPI document in words: types with their limits, and the fields of objects."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any, NamedTuple

from markupsafe import Markup

from schemas.lengths import LENGTH_FORM
from service.web.pages import paragraphs

SAID = frozenset(
    {
        "$ref", "additionalProperties", "anyOf", "default", "description", "enum", "examples",
        "exclusiveMinimum", "items", "maximum", "maxItems", "maxLength", "minimum", "minItems", "minLength",
        "pattern", "properties", "required", "title", "type",
    }
)  # fmt: skip
"""The keywords of JSON Schema that the page can say; a test holds the document to them."""
_NAMED = {f"^{LENGTH_FORM}$": Markup('<a href="#length-with-unit">length with its unit</a>')}
"""Patterns that are said better in words, once for all."""
_BOUNDS = (
    ("exclusiveMinimum", "more than {}"),
    ("minimum", "at least {}"),
    ("maximum", "at most {}"),
    ("minLength", "at least {} characters"),
    ("maxLength", "at most {} characters"),
    ("minItems", "at least {} of them"),
    ("maxItems", "at most {} of them"),
)


class Field(NamedTuple):
    """A field of an object or a parameter of an operation; `fields` are those of an object that it holds."""

    name: str
    anchor: str
    required: bool
    kind: Markup
    description: Markup
    place: str
    fields: list[Field]


def fields_of(schema: dict[str, Any], anchor: str) -> list[Field]:
    """The fields of an object, with anchors below this one."""
    required = schema.get("required", [])
    return [
        Field(
            name=name,
            anchor=f"{anchor}.{name}",
            required=name in required,
            kind=type_of(field),
            description=paragraphs(field.get("description", "")),
            place="",
            fields=_inner_fields(field, f"{anchor}.{name}"),
        )
        for name, field in schema.get("properties", {}).items()
    ]


def type_of(schema: dict[str, Any]) -> Markup:
    """A schema as one says it: what it is, its limits, what it is when left out, examples."""
    if schema.get("pattern") in _NAMED:
        return _NAMED[schema["pattern"]]
    parts = [_kind(schema), *_limits(schema)]
    if schema.get("default") is not None:
        parts.append(Markup("{} if left out").format(_code(schema["default"])))
    if "examples" in schema:
        parts.append(Markup("such as {}").format(_listed(schema["examples"])))
    return Markup(", ").join(parts)


def _kind(schema: dict[str, Any]) -> Markup:
    if "$ref" in schema:
        name = schema["$ref"].rpartition("/")[2]
        return Markup('<a href="#schema-{0}">{0}</a>').format(name)
    if "enum" in schema:
        return _listed(schema["enum"])
    if "anyOf" in schema:
        return _choices(schema["anyOf"])
    kind = schema.get("type", "anything")
    if kind == "array":
        return Markup("list of {}").format(type_of(schema.get("items", {})))
    if kind == "object" and isinstance(schema.get("additionalProperties"), dict):
        return Markup("object whose values are {}").format(type_of(schema["additionalProperties"]))
    return Markup("{}").format("text" if kind == "string" else kind)


def _choices(choices: list[dict[str, Any]]) -> Markup:
    """One of several; a list of the same is said as that."""
    single = [choice for choice in choices if choice.get("items") != {"anyOf": choices[:-1]}]
    said = list(dict.fromkeys(type_of(choice) for choice in single))
    if len(single) < len(choices):
        said.append(Markup(", ").join([Markup("list of such"), *_limits(choices[-1])]))
    return Markup("; or ").join(said)


def _limits(schema: dict[str, Any]) -> Iterator[Markup]:
    for keyword, words in _BOUNDS:
        if keyword in schema:
            yield Markup("{}").format(words.format(schema[keyword]))
    if "pattern" in schema:
        yield Markup("of the form <code>{}</code>").format(schema["pattern"])


def _inner_fields(schema: dict[str, Any], anchor: str) -> list[Field]:
    """The fields of the objects that stand in a schema itself, not behind a reference."""
    inner = [schema, *schema.get("anyOf", [])]
    inner += [item for choice in inner if isinstance(item := choice.get("items"), dict)]
    return [field for choice in inner for field in fields_of(choice, anchor)]


def _listed(values: list[Any]) -> Markup:
    return Markup(" or ").join(_code(value) for value in values)


def _code(value: Any) -> Markup:
    said = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    return Markup("<code>{}</code>").format(said)
