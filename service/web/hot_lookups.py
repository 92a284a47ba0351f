"""The hot route: a plain `GET /v1/fits` that has nothing unusual about it, answered before all layers.

It is the ordinary route and its layers in one, for requests that need no more than that: a query written
plainly, no condition, no body, a catalogue that is up to date. All others, and whatever is wrong, go the
ordinary way, which is the one that decides: what is answered here is to the byte what it answers (a test
compares them).
"""

from __future__ import annotations

import time

from starlette.types import ASGIApp, Receive, Scope, Send

from schemas.codes import Language
from schemas.lookup import LookupRequest
from service.catalogue.snapshot import Snapshot, SnapshotKeeper
from service.fitting.answer_bytes import ready_answer
from service.fitting.cursor import Cursors
from service.fitting.normal_form import edition_of, normal_fields
from service.web.access import AccessLog
from service.web.answer_cache import AnswerCache, KeptAnswer
from service.web.caching import OF_LOOKUPS, tag_of
from service.web.cross_origin import READ_BY_ANY
from service.web.languages import language_of
from service.web.links import LOOKUP_PATH, header_of, links_of
from service.web.plain_queries import plain_lookup
from service.web.request_size import MOST_ADDRESS_BYTES, MOST_HEADER_BYTES, MOST_HEADERS, size_of_headers
from service.web.tracing import trace_of, within

_UNUSUAL = frozenset(
    {b"content-length", b"transfer-encoding", b"if-none-match", b"if-modified-since", b"expect"}
)
"""Headers of requests that the ordinary layers have to see."""


class HotLookups:
    """Pure ASGI: answers plain lookups, and passes every other request on."""

    def __init__(
        self, app: ASGIApp, *, snapshots: SnapshotKeeper, cursors: Cursors, log: AccessLog, cache: AnswerCache
    ) -> None:
        self.app = app
        self._snapshots = snapshots
        self._cursors = cursors
        self._log = log
        self._cache = cache

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a plain lookup, if it can be answered."""
        if scope["type"] != "http" or scope["method"] != "GET" or scope["path"] != LOOKUP_PATH:
            await self.app(scope, receive, send)
            return
        began = time.perf_counter()
        trace = trace_of(scope["headers"])
        with within(trace):
            answer = self._answer_to(scope)
            if answer is not None:
                headers = [*answer.headers, *trace.headers]
                try:
                    await send({"type": "http.response.start", "status": 200, "headers": headers})
                    await send({"type": "http.response.body", "body": answer.body})
                finally:
                    seconds = time.perf_counter() - began
                    self._log.note("GET", LOOKUP_PATH, 200, size=len(answer.body), seconds=seconds)
        if answer is None:  # outside of this trace: the ordinary way begins its own
            await self.app(scope, receive, send)

    def _answer_to(self, scope: Scope) -> KeptAnswer | None:
        """The answer; None for what is not plain, and for what the ordinary way may have to refuse."""
        try:
            language = _language_if_usual(scope)
            if language is None or self._snapshots.age_seconds is not None:
                return None
            return self._found(scope["query_string"], self._snapshots.current, language)
        except Exception:  # noqa: BLE001 (the ordinary way meets it again, and tells it)
            return None

    def _found(self, query: bytes, snapshot: Snapshot, language: Language) -> KeptAnswer | None:
        asked = (query, language)
        kept = self._cache.of_query(asked, edition_of(snapshot))
        if kept is not None:
            return kept
        request = plain_lookup(query)
        if request is None:
            return None
        tag = tag_of(snapshot, LOOKUP_PATH, normal_fields(request), language)
        kept = self._cache.of_tag(tag) or self._made(request, tag, snapshot, language)
        self._cache.keep(asked, kept)
        return kept

    def _made(self, request: LookupRequest, tag: str, snapshot: Snapshot, language: Language) -> KeptAnswer:
        ready = ready_answer(request, snapshot, self._cursors, language=language)
        links = links_of(LOOKUP_PATH, request, ready.next_cursor)
        body = ready.body if links is None else ready.with_links(links.model_dump_json().encode())
        linked = [] if links is None else [(b"link", header_of(links).encode("latin-1"))]
        headers = (
            (b"content-length", b"%d" % len(body)),
            (b"content-type", b"application/json"),
            *linked,
            (b"etag", f'"{tag}"'.encode("ascii")),
            (b"cache-control", OF_LOOKUPS.encode("ascii")),
            (b"vary", b"Accept-Language"),
            (b"content-language", language.encode("ascii")),
            *READ_BY_ANY,
        )
        return KeptAnswer(tag, headers, body)


def _language_if_usual(scope: Scope) -> Language | None:
    """The language asked for; None if there is more to the request than its query and this."""
    headers, wanted = scope["headers"], []
    for name, value in headers:
        if name in _UNUSUAL:
            return None
        if name == b"accept-language":
            wanted.append(value.decode("latin-1"))
    address = len(LOOKUP_PATH) + len(scope["query_string"])
    if len(headers) > MOST_HEADERS or size_of_headers(headers) > MOST_HEADER_BYTES:
        return None
    if address > MOST_ADDRESS_BYTES or scope.get("raw_path", b"/v1/fits") != b"/v1/fits":
        return None
    return language_of(", ".join(wanted))
