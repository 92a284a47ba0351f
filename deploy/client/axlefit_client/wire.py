"""Between Python's values and the wire: fields of a request, answers, pages."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Generic, TypeAlias, TypeVar

import httpx
from pydantic import BaseModel, ValidationError

from .errors import AnswerError

T = TypeVar("T")
M = TypeVar("M", bound=BaseModel)
FieldValue: TypeAlias = str | float | bool | Sequence[str | float] | None
"""A field of a request: one value, several readings, or None for none."""


class Page(BaseModel, Generic[T]):
    """One page of a list."""

    items: list[T]
    next_cursor: str | None = None


def fields_of(request: BaseModel | None, more: Mapping[str, FieldValue]) -> dict[str, FieldValue]:
    """The fields that were set, in a request model and beside it.

    They are not checked here: the service checks them, and tells every fault at once.
    """
    given = {} if request is None else request.model_dump(mode="json", exclude_unset=True)
    return {name: value for name, value in (given | dict(more)).items() if value is not None}


def query_of(fields: Mapping[str, FieldValue]) -> httpx.QueryParams:
    """The fields as a query; several readings repeat their parameter."""
    return httpx.QueryParams([(name, text) for name, value in fields.items() for text in _texts(value)])


def _texts(value: FieldValue) -> Iterator[str]:
    if isinstance(value, bool):
        yield "true" if value else "false"
    elif isinstance(value, int | float):
        yield f"{Decimal(str(value)):f}"  # an exponent is no number for people
    elif isinstance(value, str):
        yield value
    else:
        for part in value or ():
            yield from _texts(part)


def decoded(model: type[M], content: bytes) -> M:
    """An answer as its model; fields that a later service has added are left out."""
    try:
        return model.model_validate_json(content, extra="ignore")
    except ValidationError as error:
        raise AnswerError(
            f"the answer is not the {model.__name__} that this client knows: {error}"
        ) from error


def next_url(response: httpx.Response, cursor: str | None) -> httpx.URL | None:
    """Where a list goes on: by its link (RFC 8288), else by its cursor; None at its end."""
    link = response.links.get("next", {}).get("url")
    if link is not None:
        url = response.url.join(link)
        if _origin(url) == _origin(response.url):  # the key is for no other server
            return url
    return None if cursor is None else response.url.copy_set_param("cursor", cursor)


def _origin(url: httpx.URL) -> tuple[str, str, int | None]:
    return url.scheme, url.host, url.port
