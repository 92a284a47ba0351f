"""Problem documents (RFC 9457), and how a fault of a field is told."""

from __future__ import annotations

import reprlib
from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from .base import WireModel
from .fields import FORMS, is_decimal_comma

_SHOWN_CHARACTERS = 80
_MOST_FAULTS = 100


class FieldFault(WireModel):
    """One fault of a request: where it stands, what was found there and what is allowed.

    `parameter` names a query or path parameter, `pointer` is a JSON Pointer (RFC 6901) into the body.
    """

    parameter: str | None = None
    pointer: str | None = None
    found: str | None = None
    allowed: str


class Problem(WireModel):
    """A problem document: what went wrong, for people and for programs."""

    type: str
    title: str
    status: int
    detail: str
    errors: list[FieldFault] | None = None


class FaultOfField(WireModel):
    """A fault that a model found in its input: the path to the field, what was found, what is allowed."""

    path: tuple[str | int, ...]
    found: str | None
    allowed: str


def faults_of(error: ValidationError, model: type[BaseModel]) -> list[FaultOfField]:
    """The faults that a model found, in words; a hundred at most, since who sends more sends anything."""
    return [_fault(details, model) for details in error.errors(include_url=False)[:_MOST_FAULTS]]


def _fault(details: ErrorDetails, model: type[BaseModel]) -> FaultOfField:
    context: Mapping[str, Any] = details.get("ctx", {})
    path = details["loc"]
    if "field" in context:
        values, field = details["input"], str(context["field"])
        found = values.get(field) if isinstance(values, Mapping) else getattr(values, field, None)
        return FaultOfField(path=(*path, field), found=shown(found), allowed=str(context["allowed"]))
    found = None if details["type"] == "missing" else shown(details["input"])
    if details["type"] == "extra_forbidden":
        found = shown(path[-1])
    return FaultOfField(path=path, found=found, allowed=_allowed(details, context, model))


_PHRASES = {
    "missing": "a value is required",
    "float_parsing": "a number such as 36.4",
    "float_type": "a number such as 36.4",
    "decimal_parsing": "a number such as 4.90",
    "decimal_type": "a number such as 4.90",
    "finite_number": "a finite number",
    "multiple_of": "at most three digits after the decimal point",
    "greater_than": "greater than {gt:g}",
    "greater_than_equal": "at least {ge:g}",
    "less_than_equal": "at most {le:g}",
    "literal_error": "one of {expected}",
    "string_too_short": "at least {min_length} characters",
    "string_too_long": "at most {max_length} characters",
    "string_type": "text",
    "string_unicode": "text in Unicode",
    "too_short": "at least {min_length} values",
    "too_long": "at most {max_length} values",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_parsing_size": "a whole number of few digits",
    "int_from_float": "a whole number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
}


def _allowed(details: ErrorDetails, context: Mapping[str, Any], model: type[BaseModel]) -> str:
    """What the field takes, as a phrase; the library's own message where there is no better one."""
    if details["type"] == "extra_forbidden":
        return unknown_name(str(details["loc"][-1]), model.model_fields)
    if details["type"] in {"float_parsing", "decimal_parsing"} and is_decimal_comma(str(details["input"])):
        return f"a number with a decimal point: {str(details['input']).strip().replace(',', '.')}"
    if details["type"] == "string_pattern_mismatch":
        return FORMS.get(context["pattern"], f"text of the form {context['pattern']}")
    phrase = _PHRASES.get(details["type"])
    return phrase.format(**context) if phrase else details["msg"]


def unknown_name(name: str, names: Iterable[str]) -> str:
    """What to say of a name that does not exist."""
    close = get_close_matches(name, list(names), n=1)
    return f"a known name; did you mean {close[0]}?" if close else "a known name"


def shown(value: object) -> str | None:
    """A value as it can be shown again: short, printable, and safe to send."""
    if value is None:
        return None
    text = _plain(value)
    text = text.encode("utf-8", "backslashreplace").decode()
    text = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)
    return text if len(text) <= _SHOWN_CHARACTERS else text[: _SHOWN_CHARACTERS - 1] + "…"


def _plain(value: object) -> str:
    """A value as people write it; what is nested is cut short."""
    if isinstance(value, list | tuple) and not any(isinstance(part, list | tuple | dict) for part in value):
        return ", ".join(_plain(part) for part in value[:_SHOWN_CHARACTERS])
    if isinstance(value, float):
        return f"{value:g}"
    return value if isinstance(value, str) else reprlib.repr(value)
