"""Links to the pages of a list: in the header Link (RFC 8288), and the same in the body."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any, TypeVar
from urllib.parse import quote

from fastapi import Request, Response

from schemas.answers import AxleListResponse, FitsResponse, FrameListResponse, Links, SleeveListResponse
from schemas.base import WireModel
from schemas.replacements import AxleFramesResponse, EquivalentsResponse
from service.fitting.normal_form import normal_fields
from service.web.answers import json_answer

Page = TypeVar(
    "Page",
    FitsResponse,
    AxleListResponse,
    FrameListResponse,
    SleeveListResponse,
    EquivalentsResponse,
    AxleFramesResponse,
)
LOOKUP_PATH = "/v1/fits"
_UNRESERVED = re.compile(r"[A-Za-z0-9._~-]+")
_MOST_DECIMALS = 15
"""As many as a query takes; a number in a JSON body may have more."""


def page_answer(http: Request, asked: WireModel, page: Page) -> Response:
    """A page of a list with its links; a page that was asked for by POST goes on by the equal GET."""
    linked = with_links(page, quote(http.scope["path"]), asked)
    response = json_answer(linked)
    if linked.links is not None:
        response.headers["Link"] = header_of(linked.links)
    return response


def header_of(links: Links) -> str:
    """The links as a header."""
    return ", ".join(f'<{target}>; rel="{relation}"' for relation, target in links if target is not None)


def with_links(page: Page, path: str, asked: WireModel) -> Page:
    """The page with its links; they have no host, since the header Host is what a stranger says it is."""
    return page.model_copy(update={"links": links_of(path, asked, page.next_cursor)})


def links_of(path: str, asked: WireModel, next_cursor: str | None) -> Links | None:
    """Where the list begins and goes on; None if a query cannot say what was asked for."""
    fields = {name: value for name, value in normal_fields(asked).items() if name != "cursor"}
    pairs = [(name, text) for name, value in fields.items() for text in _texts(value)]
    if any(len(text.partition(".")[2]) > _MOST_DECIMALS for name, text in pairs if _is_number(fields[name])):
        return None
    query = "&".join([f"{name}={_quoted(text)}" for name, text in pairs])
    first = f"{path}?{query}" if query else path
    if next_cursor is None:
        return Links(first=first)
    return Links(first=first, next=f"{first}{'&' if query else '?'}cursor={_quoted(next_cursor)}")


def _quoted(text: str) -> str:
    return text if _UNRESERVED.fullmatch(text) else quote(text, safe="")


def _is_number(value: Any) -> bool:
    return isinstance(value, float | list)


def _texts(value: Any) -> Iterator[str]:
    """A value as a query has it: digits and a point, true and false, a parameter for each reading."""
    if isinstance(value, list):
        for part in value:
            yield from _texts(part)
    elif isinstance(value, float):
        written = repr(value)
        yield format(Decimal(written), "f") if "e" in written else written.removesuffix(".0")
    else:
        yield str(value).lower() if isinstance(value, bool) else str(value)
