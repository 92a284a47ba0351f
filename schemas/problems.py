"""Problem documents (RFC 9457), and how a fault of a field is told."""

from __future__ import annotations

import re
import reprlib
from collections.abc import Iterable, Iterator, Mapping
from difflib import get_close_matches
from typing import Any, Literal, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from .base import WireModel
from .fields import FORMS, is_decimal_comma

_SHOWN_CHARACTERS = 80
MOST_FAULTS = 100
_LONGEST_COMPARED = 200
# An API key, the scheme of a credential with what follows it, and the rest of any address, since that of a
# database holds its password.
_SECRETS = re.compile(r"(axf_|(?:bearer|basic)\s+|://)\S*", re.IGNORECASE)


class FieldFault(WireModel):
    """One fault of a request: where it stands, what was found there and what is allowed.

    `parameter` names a query or path parameter, `header` a header, `pointer` is a JSON Pointer (RFC 6901)
    into the body, written as a URI fragment.
    """

    parameter: str | None = None
    header: str | None = None
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


Place = Literal["body", "file", "query", "path", "header"]
"""Where in a request a field can stand; the path is that of the address."""


class FaultOfField(WireModel):
    """A fault that a model found in its input: the path to the field, what was found, what is allowed.

    Without a place, it is where the fields of the request are: in its query or in its body.
    """

    path: tuple[str | int, ...]
    found: str | None
    allowed: str
    place: Place | None = None


def faults_of(error: ValidationError, model: type[BaseModel]) -> list[FaultOfField]:
    """The faults that a model found, in words; a hundred at most, since who sends more sends anything."""
    return [_fault(details, model) for details in error.errors(include_url=False)[:MOST_FAULTS]]


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
        return unknown_name(str(details["loc"][-1]), _names_at(details["loc"][:-1], model))
    if details["type"] in {"float_parsing", "decimal_parsing"} and is_decimal_comma(str(details["input"])):
        return f"a number with a decimal point: {str(details['input']).strip().replace(',', '.')}"
    if details["type"] == "string_pattern_mismatch":
        return FORMS.get(context["pattern"], f"text of the form {context['pattern']}")
    phrase = _PHRASES.get(details["type"])
    allowed = phrase.format(**context) if phrase else details["msg"]
    if details["type"] == "literal_error":
        codes = re.findall(r"'([^']*)'", str(context["expected"]))
        return allowed + _did_you_mean(str(details["input"]), codes)
    return allowed


def _names_at(path: tuple[str | int, ...], model: type[BaseModel]) -> Iterable[str]:
    """The names of the fields of the object that a path leads to."""
    for step in path:
        field = model.model_fields.get(str(step))
        if field is not None:
            model = next(_models_in(field.annotation), model)
    return model.model_fields


def _models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """The models that a field's type is made of."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from _models_in(part)


def unknown_name(name: str, names: Iterable[str]) -> str:
    """What to say of a name that does not exist."""
    known = list(names)
    return "a known name" + _did_you_mean(name, known) if known else "nothing: no name is known here"


def _did_you_mean(found: str, known: Iterable[str]) -> str:
    """The known name that is most like what was found, as the end of a sentence; nothing if none is."""
    written = found[:_LONGEST_COMPARED].strip().lower()
    close = get_close_matches(written, list(known), n=1)
    return f"; did you mean {close[0]}?" if close else ""


def shown(value: object) -> str | None:
    """A value as it can be shown again: short, printable, and safe to send."""
    if value is None:
        return None
    text = without_secrets(_plain(value))
    text = text.encode("utf-8", "backslashreplace").decode()
    text = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)
    return text if len(text) <= _SHOWN_CHARACTERS else text[: _SHOWN_CHARACTERS - 1] + "…"


def without_secrets(text: str) -> str:
    """The text without keys, credentials and the inside of addresses, whatever field they were put in."""
    return _SECRETS.sub(r"\1…", text)


def _plain(value: object) -> str:
    """A value as people write it; what is nested is cut short."""
    if isinstance(value, list | tuple) and not any(isinstance(part, list | tuple | dict) for part in value):
        return ", ".join(_plain(part) for part in value[:_SHOWN_CHARACTERS])
    if isinstance(value, float):
        return f"{value:g}"
    return value if isinstance(value, str) else reprlib.repr(value)
