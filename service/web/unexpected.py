"""Answers what nobody has expected inside of the other layers, so that it gets what they add."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

ErrorAnswer = Callable[[Request, Exception], Awaitable[Response]]
"""What makes the problem document of an error."""


class UnexpectedErrors:
    """Pure ASGI: an error that no handler took is answered here, if no answer has begun."""

    def __init__(self, app: ASGIApp, answer: ErrorAnswer) -> None:
        self._app = app
        self._answer = answer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on; the framework's own layer for this stands outside of all others."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        begun = False

        async def send_noted(message: Message) -> None:
            nonlocal begun
            begun = True
            await send(message)

        try:
            await self._app(scope, receive, send_noted)
        except Exception as error:
            if begun:
                raise  # the server ends the connection: a cut answer must not look whole
            response = await self._answer(Request(scope, receive), error)
            await response(scope, receive, send)
