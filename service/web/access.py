"""What became of each request: one log line, and its place in the metrics; never what was sent."""

from __future__ import annotations

import logging
import time
from typing import Any

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.web.logs import direct_lines
from service.web.metrics import Metrics, known_method

_LOG = logging.getLogger("axlefit.access")
KEY_ID = "axlefit_key_id"
"""Where in a request's scope the identifier of its key is put, once that has been found valid."""
_NO_ROUTE = "none"


class AccessLog:
    """Counts answers, and writes a line about each."""

    def __init__(self, metrics: Metrics) -> None:
        self._metrics = metrics

    def note(
        self,
        method: str,
        route: str,
        status: int | None,
        *,
        size: int,
        seconds: float,
        key_id: str | None = None,
    ) -> None:
        """Note an answer that has ended, with the time that it took [s] and its size [bytes]."""
        self._metrics.observe(method, route, str(status or "none"), seconds)
        if not _LOG.isEnabledFor(logging.INFO):
            return
        fields: dict[str, Any] = {
            "method": method,
            "route": route,
            "status": status,
            "duration_ms": round(seconds * 1000, 3),
            "bytes": 0 if method == "HEAD" else size,
        }
        if key_id is not None:
            fields["key_id"] = key_id
        message = f"{method} {route} {status}"
        lines = direct_lines(_LOG)
        if lines is None:
            _LOG.info("%s", message, extra=fields)
        else:
            lines.write(_LOG.name, message, fields)


class Access:
    """Pure ASGI: logs and counts each request when its answer has ended."""

    def __init__(self, app: ASGIApp, log: AccessLog) -> None:
        self._app = app
        self._log = log

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and look at the answer."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        began = time.perf_counter()
        status: int | None = None
        size = 0

        async def send_noted(message: Message) -> None:
            nonlocal status, size
            if message["type"] == "http.response.start":
                status = message["status"]
            elif message["type"] == "http.response.body":
                size += len(message.get("body", b""))
            await send(message)

        try:
            await self._app(scope, receive, send_noted)
        finally:
            # The template and never the path: a path is what a caller has sent, and there is no end of them.
            route = getattr(scope.get("route"), "path", None) or _NO_ROUTE
            seconds = time.perf_counter() - began
            method = known_method(scope["method"])
            self._log.note(method, route, status, size=size, seconds=seconds, key_id=scope.get(KEY_ID))
