"""How much of a request is read before its route is known: address, headers, a body that nobody wants."""

from __future__ import annotations

from fastapi import Request
from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Receive, Scope, Send

from schemas.problems import FaultOfField
from service.errors import ServiceError
from service.web.json_bodies import MOST_BYTES, body_too_large, require_length
from service.web.problems import problem_response
from service.web.refusals import AddressTooLongError, HeadersTooLargeError

MOST_ADDRESS_BYTES = 8192
"""A request line of 8000 octets should be read by everyone (RFC 9112, 3)."""
MOST_HEADER_BYTES = 16 * 1024
MOST_HEADERS = 100
_BESIDE = len(": \r\n")
_WITH_A_BODY = {"POST", "PUT", "PATCH"}
_ANNOUNCING = {b"content-length", b"transfer-encoding"}


class RequestSize:
    """Pure ASGI: refuses too long an address, too many headers, and too large a body where none is read.

    A body that a route reads is measured by the route itself, after the caller is known.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or answer it with the problem that it has."""
        if scope["type"] == "http":
            try:
                _require_sizes(scope)
                if scope["method"] not in _WITH_A_BODY and _has_body(scope):
                    await _require_small_body(Request(scope, receive))
            except ServiceError as error:
                await problem_response(error)(scope, receive, send)
                return
            except ClientDisconnect:  # in the middle of a body that nobody wants: there is nobody to answer
                return
        await self._app(scope, receive, send)


def _require_sizes(scope: Scope) -> None:
    address = len(scope.get("raw_path") or scope["path"].encode()) + len(scope["query_string"])
    if address > MOST_ADDRESS_BYTES:
        allowed = f"at most {MOST_ADDRESS_BYTES} bytes"
        fault = FaultOfField(path=(), found=f"{address} bytes", allowed=allowed, place="path")
        raise AddressTooLongError(f"An address has {allowed}.", [fault])
    headers = scope["headers"]
    size = size_of_headers(headers)
    if size > MOST_HEADER_BYTES or len(headers) > MOST_HEADERS:
        allowed = f"at most {MOST_HEADERS} headers of {MOST_HEADER_BYTES} bytes together"
        found = f"{len(headers)} headers of {size} bytes"
        fault = FaultOfField(path=(), found=found, allowed=allowed, place="header")
        raise HeadersTooLargeError(f"A request has {allowed}.", [fault])


def size_of_headers(headers: list[tuple[bytes, bytes]]) -> int:
    """How many bytes the headers have on the wire."""
    size = _BESIDE * len(headers)
    for name, value in headers:
        size += len(name) + len(value)
    return size


def _has_body(scope: Scope) -> bool:
    """Whether a body is announced (RFC 9112, 6); most requests of a lookup have none."""
    return any(name in _ANNOUNCING for name, _ in scope["headers"])


async def _require_small_body(request: Request) -> None:
    """Measure a body that no route reads; without a length it has to be read for that."""
    require_length(request, MOST_BYTES)
    if "transfer-encoding" not in request.headers:
        return
    size = 0
    async for part in request.stream():
        size += len(part)
        if size > MOST_BYTES:
            raise body_too_large(size, MOST_BYTES)
