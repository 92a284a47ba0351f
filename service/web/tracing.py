"""Which request this is: W3C trace context and a request identifier, in every answer and log line."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable
from contextvars import ContextVar
from typing import NamedTuple

from starlette.types import ASGIApp, Message, Receive, Scope, Send

# W3C Trace Context level 1, 3.2: lower-case hexadecimal; a later version may have more after a hyphen.
_TRACEPARENT = re.compile(rb"([0-9a-f]{2})-([0-9a-f]{32})-([0-9a-f]{16})-([0-9a-f]{2})(-.*)?", re.DOTALL)
_REQUEST_ID = re.compile(rb"[\x21-\x7e]{1,128}")
_SAMPLED = 1
_OCTETS = 16 + 8 + 16


class Trace(NamedTuple):
    """Where a request stands: in its trace, as our span of it, and under the caller's identifier."""

    trace_id: str
    span_id: str
    sampled: bool
    request_id: str

    @property
    def traceparent(self) -> str:
        """The trace as a header, our span in it (W3C Trace Context, 3.2.2)."""
        return f"00-{self.trace_id}-{self.span_id}-0{'1' if self.sampled else '0'}"

    @property
    def headers(self) -> list[tuple[bytes, bytes]]:
        """What an answer says of its request."""
        return [
            (b"traceparent", self.traceparent.encode("ascii")),
            (b"x-request-id", self.request_id.encode("ascii")),
        ]


_CURRENT: ContextVar[Trace | None] = ContextVar("axlefit_trace", default=None)


def current_trace() -> Trace | None:
    """The trace of the request that this code runs for, in threads that were started for it too."""
    return _CURRENT.get()


class within:  # noqa: N801 (it is used like a function)
    """Makes this the trace of the code that runs meanwhile; a generator would cost some times as much."""

    __slots__ = ("_token", "_trace")

    def __init__(self, trace: Trace) -> None:
        self._trace = trace

    def __enter__(self) -> None:
        self._token = _CURRENT.set(self._trace)

    def __exit__(self, *_: object) -> None:
        _CURRENT.reset(self._token)


def trace_of(headers: Iterable[tuple[bytes, bytes]]) -> Trace:
    """The trace that the headers of a request tell, or a new one; our span is new in either case."""
    parents: list[bytes] = []
    identifiers: list[bytes] = []
    for name, value in headers:
        if name == b"traceparent":
            parents.append(value)
        elif name == b"x-request-id":
            identifiers.append(value)
    trace_id, sampled = _parent(parents) if parents else (None, False)
    usable = len(identifiers) == 1 and _REQUEST_ID.fullmatch(identifiers[0]) is not None
    drawn = _drawn()
    return Trace(
        trace_id=trace_id or drawn[:32],
        span_id=drawn[32:48],
        sampled=sampled,
        request_id=identifiers[0].decode("ascii") if usable else _uuid(drawn[48:]),
    )


def _parent(values: list[bytes]) -> tuple[str | None, bool]:
    """The trace's identifier and whether the caller records it; None if there is no valid header."""
    found = _TRACEPARENT.fullmatch(values[0]) if len(values) == 1 else None
    if found is None:
        return None, False
    version, trace_id, span_id, flags, more = found.groups()
    if version == b"ff" or (version == b"00" and more is not None):
        return None, False
    if not trace_id.strip(b"0") or not span_id.strip(b"0"):  # nothing but zeroes is no identifier
        return None, False
    return trace_id.decode("ascii"), bool(int(flags, 16) & _SAMPLED)


def _drawn() -> str:
    """Random digits for a trace, a span and a request at once; none of the first two is all zeroes."""
    while True:
        drawn = os.urandom(_OCTETS).hex()
        if drawn[:32].strip("0") and drawn[32:48].strip("0"):
            return drawn


def _uuid(digits: str) -> str:
    """A UUID of random digits (RFC 9562, 5.4: version 4, and the variant in two bits)."""
    variant = "89ab"[int(digits[16], 16) & 3]
    return f"{digits[:8]}-{digits[8:12]}-4{digits[13:16]}-{variant}{digits[17:20]}-{digits[20:]}"


class Tracing:
    """Pure ASGI: sets the trace of each request, and adds it to the answer."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on within its trace."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        trace = trace_of(scope["headers"])
        told = trace.headers

        async def send_traced(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message.get("headers", ()), *told]
            await send(message)

        with within(trace):
            await self._app(scope, receive, send_traced)
