"""What became of each request: one log line, and its place in the metrics; never what was sent."""

from __future__ import annotations

import logging
import time

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.web.metrics import Metrics, known_method

_LOG = logging.getLogger("axlefit.access")
KEY_ID = "axlefit_key_id"
"""Where in a request's scope the identifier of its key is put, once that has been found valid."""
_NO_ROUTE = "none"


class Access:
    """Pure ASGI: logs and counts each request when its answer has ended."""

    def __init__(self, app: ASGIApp, metrics: Metrics) -> None:
        self._app = app
        self._metrics = metrics

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
            self._note(scope, status, size, time.perf_counter() - began)

    def _note(self, scope: Scope, status: int | None, size: int, seconds: float) -> None:
        method = known_method(scope["method"])
        # The template and never the path: a path is what a caller has sent, and there is no end of them.
        route = getattr(scope.get("route"), "path", None) or _NO_ROUTE
        self._metrics.observe(method, route, str(status or "none"), seconds)
        if not _LOG.isEnabledFor(logging.INFO):
            return
        fields = {
            "method": method,
            "route": route,
            "status": status,
            "duration_ms": round(seconds * 1000, 3),
            "bytes": 0 if method == "HEAD" else size,
        }
        if KEY_ID in scope:
            fields["key_id"] = scope[KEY_ID]
        _LOG.info("%s %s %s", method, route, status, extra=fields)
