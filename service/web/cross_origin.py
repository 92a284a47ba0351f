"""Which pages of other origins may read what (the CORS protocol of the Fetch standard).

Reads are open to a page of any origin: they need no key, and no cookie exists that a page could abuse.
Writes, and sending a key at all, are for the origins that the settings list.

The headers of a read do not depend on who asks. The framework's middleware leaves them out for a request
without an Origin, and a cache that kept that answer would hand it to a page, which could not read it
(Fetch standard, CORS protocol and HTTP caches).
"""

from __future__ import annotations

from collections.abc import Collection

from fastapi import APIRouter, Response
from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.web.methods import has_route, methods_of

_EXPOSED = (
    "Catalogue-Age, Catalogue-Revision, Content-Language, ETag, Link, "
    "RateLimit, RateLimit-Policy, Retry-After, X-Request-Id"
)
_READABLE = {"Access-Control-Allow-Origin": "*", "Access-Control-Expose-Headers": _EXPOSED}
READ_BY_ANY = tuple((name.lower().encode(), value.encode()) for name, value in _READABLE.items())
"""The headers of every read."""
_SENT_BY_ANY = "Content-Type, If-None-Match, X-Request-Id, traceparent, tracestate"
_SENT_BY_LISTED = f"{_SENT_BY_ANY}, Authorization, Idempotency-Key, If-Match"
_MAX_AGE = "7200"
"""Two hours [s]: browsers do not believe in more for long; common practice, no source."""


class CrossOrigin:
    """Pure ASGI: answers preflights, and says on every answer, errors too, who may read it.

    `router` has all routes, `writes` those that write; the origins listed may use these too.
    """

    def __init__(
        self, app: ASGIApp, *, router: APIRouter, writes: APIRouter, origins: Collection[str]
    ) -> None:
        self._app = app
        self._router = router
        self._write_routes = writes
        self._origins = frozenset(origins)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a preflight; pass every other request on."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        asked_for = headers.get("access-control-request-method")
        if scope["method"] == "OPTIONS" and "origin" in headers and asked_for is not None:
            answer = Response(status_code=204, headers=self._preflight(scope, headers["origin"], asked_for))
            await answer(scope, receive, send)
            return
        readable = self._readable(headers.get("origin"), writes=self._writes(scope, scope["method"]))

        async def send_readable(message: Message) -> None:
            if message["type"] == "http.response.start":
                answered = MutableHeaders(scope=message)
                for name, value in readable.items():
                    if name == "Vary":
                        answered.add_vary_header(value)
                    else:
                        answered[name] = value
            await send(message)

        await self._app(scope, receive, send_readable)

    def _writes(self, scope: Scope, method: str) -> bool:
        return method not in {"GET", "HEAD"} and has_route(self._write_routes, scope, method)

    def _readable(self, origin: str | None, *, writes: bool) -> dict[str, str]:
        """The headers of an answer that a page may read."""
        if not writes:
            return _READABLE
        if origin not in self._origins:
            return {"Vary": "Origin"}
        return {
            "Access-Control-Allow-Origin": str(origin),
            "Access-Control-Expose-Headers": _EXPOSED,
            "Vary": "Origin",
        }

    def _preflight(self, scope: Scope, origin: str, method: str) -> dict[str, str]:
        """The headers that let the request follow, or none of them."""
        listed = origin in self._origins
        # A request to a path that is not there is let through, so that the page can read that it is not.
        methods = methods_of(self._router, scope) or ["GET", "HEAD", "POST"]
        if not listed:
            methods = [known for known in methods if not self._writes(scope, known)]
        if method not in methods:
            return {"Vary": "Origin"}
        return {
            "Access-Control-Allow-Origin": origin if listed else "*",
            "Access-Control-Allow-Methods": ", ".join(methods),
            "Access-Control-Allow-Headers": _SENT_BY_LISTED if listed else _SENT_BY_ANY,
            "Access-Control-Max-Age": _MAX_AGE,
            "Vary": "Origin",
        }
