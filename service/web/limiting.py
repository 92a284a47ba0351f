"""Limits over HTTP: RateLimit headers (draft-ietf-httpapi-ratelimit-headers-11), 429, and 304 for nothing.

What is under /v1/ is counted. A conditional request is counted when its answer begins, and only if that is
not 304; any other one before any work is done for it.
"""

from __future__ import annotations

from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.errors import QuotaExceededError
from service.partners.counting import CountingQueue
from service.partners.limits import WINDOW_SECONDS, Allowance, Asker, Limits
from service.web.access import KEY_ID
from service.web.unexpected import ErrorAnswer

_COUNTED = "/v1/"
_NOT_MODIFIED = 304


class Limiting:
    """Pure ASGI: counts requests, and refuses those over the limit; those that cannot be counted go on."""

    def __init__(self, app: ASGIApp, limits: Limits, refusal: ErrorAnswer) -> None:
        self._app = app
        self._queue = CountingQueue(limits)
        self._refusal = refusal

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on if its client has requests left."""
        if scope["type"] != "http" or scope["method"] == "OPTIONS" or not scope["path"].startswith(_COUNTED):
            await self._app(scope, receive, send)
        elif _is_conditional(scope):
            await self._count_by_answer(scope, receive, send)
        else:
            await self._count_first(scope, receive, send)

    async def _count_first(self, scope: Scope, receive: Receive, send: Send) -> None:
        allowance = await self._count(scope)
        if allowance is None:
            await self._app(scope, receive, send)
        elif not allowance.let_through:
            await self._refuse(allowance, scope, receive, send)
        else:
            told = _headers(allowance)

            async def send_told(message: Message) -> None:
                await send(_with(message, told))

            await self._app(scope, receive, send_told)

    async def _count_by_answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        refused = False

        async def send_counted(message: Message) -> None:
            nonlocal refused
            if refused:
                return  # the rest of an answer that is not given
            if message["type"] == "http.response.start" and message["status"] != _NOT_MODIFIED:
                allowance = await self._count(scope)
                if allowance is not None and not allowance.let_through:
                    refused = True
                    await self._refuse(allowance, scope, receive, send)
                    return
                message = _with(message, _headers(allowance) if allowance else [])
            await send(message)

        await self._app(scope, receive, send_counted)

    async def _count(self, scope: Scope) -> Allowance | None:
        """What the client has left after this request; None if it is not limited, or cannot be counted."""
        address = (scope.get("client") or (None,))[0]
        counted = await self._queue.count(Asker(key=_key(scope), address=address))
        if counted.key_id is not None:
            scope[KEY_ID] = counted.key_id
        return counted.allowance

    async def _refuse(self, allowance: Allowance, scope: Scope, receive: Receive, send: Send) -> None:
        error = QuotaExceededError(
            f"{allowance.quota} requests in {WINDOW_SECONDS} s are allowed for each {allowance.policy}; "
            f"go on in {allowance.seconds_left} s."
        )
        response = await self._refusal(Request(scope, receive), error)
        response.headers["Retry-After"] = str(allowance.seconds_left)
        response.raw_headers.extend(_headers(allowance))
        await response(scope, receive, send)


def _is_conditional(scope: Scope) -> bool:
    """Whether the answer may be 304 (RFC 9110, 15.4.5)."""
    return scope["method"] in {"GET", "HEAD"} and any(
        name in {b"if-none-match", b"if-modified-since"} for name, _ in scope["headers"]
    )


def _key(scope: Scope) -> str | None:
    for name, value in scope["headers"]:
        if name == b"authorization":
            scheme, _, key = value.decode("latin-1").partition(" ")
            return key.strip() if scheme.lower() == "bearer" else None
    return None


def _headers(allowance: Allowance) -> list[tuple[bytes, bytes]]:
    policy = f'"{allowance.policy}"'
    return [
        (b"ratelimit-policy", f"{policy};q={allowance.quota};w={WINDOW_SECONDS}".encode()),
        (b"ratelimit", f"{policy};r={allowance.remaining};t={allowance.seconds_left}".encode()),
    ]


def _with(message: Message, headers: list[tuple[bytes, bytes]]) -> Message:
    if message["type"] == "http.response.start":
        message["headers"] = [*message.get("headers", ()), *headers]
    return message
