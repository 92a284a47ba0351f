"""Reads that a cache may keep: their entity tags, If-None-Match, Cache-Control and Vary.

A lookup may be ten seconds old in a cache: the prices and the stock on a page are older than that by the
time they are read, and a crowd that looks up the same frame costs one answer in ten seconds. A record is
asked for again each time, since its entity tag is what a write has to name. While the service cannot be
reached, either may be a day old (RFC 5861, 4): what fits does not change overnight.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import Depends, Request, Response
from pydantic import BaseModel
from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from schemas.base import WireModel
from schemas.codes import Language
from service.catalogue.records import Record
from service.catalogue.snapshot import Snapshot
from service.catalogue.writing import entity_tag
from service.fitting.normal_form import digest_of, edition_of, normal_fields
from service.web.answers import json_answer, lines_answer, takes_gzip
from service.web.dependencies import SnapshotDep
from service.web.links import Page, page_answer

OF_LOOKUPS = "public, max-age=10, stale-if-error=86400"
_OF_RECORDS = "public, max-age=0, stale-if-error=86400"
_OPAQUE_TAG = re.compile(r'"[\x21\x23-\x7e\x80-\xff]*"')
NOT_MODIFIED: dict[int | str, dict[str, Any]] = {304: {"description": "The caller has this answer already."}}
"""The OpenAPI entry for the answer to a read whose If-None-Match names the current entity tag."""


@dataclass(frozen=True, slots=True)
class ConditionalRead:
    """A read that is a pure function of what is asked and of the snapshot."""

    http: Request
    snapshot: Snapshot

    def page(self, asked: WireModel, make: Callable[[], Page], language: Language | None = None) -> Response:
        """A page of a list, made only for who does not have it; in a language if it has sentences."""
        return self._kept(asked, lambda: page_answer(self.http, asked, make()), language)

    def answer(
        self, asked: WireModel | None, make: Callable[[], BaseModel], language: Language | None = None
    ) -> Response:
        """An answer that is no list, made only for who does not have it; of a path alone if asked is None."""
        return self._kept(asked, lambda: json_answer(make()), language)

    def _kept(
        self, asked: WireModel | None, make: Callable[[], Response], language: Language | None
    ) -> Response:
        tag = self._tag({} if asked is None else normal_fields(asked), language)
        headers = {"ETag": f'"{tag}"', "Cache-Control": OF_LOOKUPS}
        if language is not None:
            headers |= {"Vary": "Accept-Language", "Content-Language": language}
        return unless_known(self.http, headers, make)

    def made(self, asked: WireModel, make: Callable[[], Response], language: Language) -> Response:
        """An answer that is no JSON, in a language, made only for who does not have it."""
        return self._kept(asked, make, language)

    def record(self, record: Record) -> Response:
        """A record with the entity tag of its content, which a write of it has to name."""
        headers = {"ETag": entity_tag(record), "Cache-Control": _OF_RECORDS}
        return unless_known(self.http, headers, lambda: json_answer(record))

    def lines(self, make: Callable[[], Iterator[bytes]]) -> Response:
        """Lines of JSON; compressed they are another representation, with a tag of its own.

        That tag is weak: not every build of the library makes the same bytes of them (RFC 9110, 8.8.1).
        """
        gzip = takes_gzip(self.http.headers.get("accept-encoding", ""))
        tag = f'W/"{self._tag("gzip")}"' if gzip else f'"{self._tag("identity")}"'
        headers = {"ETag": tag, "Cache-Control": OF_LOOKUPS, "Vary": "Accept-Encoding"}
        return unless_known(self.http, headers, lambda: lines_answer(self.http, make(), gzip=gzip))

    def _tag(self, *parts: object) -> str:
        return tag_of(self.snapshot, self.http.scope["path"], *parts)


def tag_of(snapshot: Snapshot, path: str, *parts: object) -> str:
    """The opaque tag of an answer, known before the answer is made."""
    return digest_of(edition_of(snapshot), path, *parts)


async def _conditional_read(http: Request, snapshot: SnapshotDep) -> ConditionalRead:
    return ConditionalRead(http, snapshot)


ReadDep = Annotated[ConditionalRead, Depends(_conditional_read)]


def unless_known(http: Request, headers: dict[str, str], make: Callable[[], Response]) -> Response:
    """The answer; or 304 for a caller who has it (RFC 9110, 13.1.2), mostly before it is made."""
    named = ", ".join(http.headers.getlist("if-none-match"))
    if _opaque(headers["ETag"]) in _OPAQUE_TAG.findall(named):
        return Response(status_code=304, headers=headers)
    response = make()  # `*` asks whether there is an answer at all: a refusal comes first (13.2.1)
    if named.strip() == "*":
        return Response(status_code=304, headers=headers)
    response.headers.update(headers)
    return response


def _opaque(tag: str) -> str:
    """What the weak comparison compares (RFC 9110, 8.8.3.2)."""
    return tag.removeprefix("W/")


class NotKept:
    """Pure ASGI: no cache keeps an answer that does not say that it may be kept: errors, writes, health."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and complete the answer's headers."""

        async def send_complete(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).setdefault("Cache-Control", "no-store")
            await send(message)

        await self._app(scope, receive, send_complete)
