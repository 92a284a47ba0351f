"""Whether the service is about to stop: then it is not ready, and a balancer sends new requests elsewhere."""

from __future__ import annotations

import asyncio
from contextlib import suppress

from fastapi import Depends, Request
from starlette.types import ASGIApp, Receive, Scope, Send

from service.web.problems import problem_response
from service.web.refusals import StoppingError


class Stopping:
    """Set once, when the stop begins."""

    def __init__(self) -> None:
        self.begun = False

    def begin(self) -> None:
        """From now on the service is not ready."""
        self.begun = True


async def _while_it_runs_on(request: Request) -> None:
    stopping: Stopping = request.app.state.stopping
    if stopping.begun:
        raise StoppingError("The service is about to stop.")


NOT_STOPPING = Depends(_while_it_runs_on)


class CutOffs:
    """Pure ASGI: who is cut off by the end of a stop is told so, if no answer has begun."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on."""
        try:
            await self._app(scope, receive, send)
        except asyncio.CancelledError:
            error = StoppingError(
                "The service has stopped before this was done; whether it was is not known."
            )
            with suppress(Exception):  # an answer that has begun ends with the connection
                await problem_response(error)(scope, receive, send)
