"""The methods of a path: HEAD wherever there is GET, OPTIONS everywhere, and an Allow that names them all."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response
from starlette.routing import Match
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_ROUTED = ("GET", "POST", "PUT", "PATCH", "DELETE")
_ASKED_FOR_HEAD = "axlefit.asked_for_head"


def has_route(router: APIRouter, scope: Scope, method: str) -> bool:
    """Whether the router has a route for this path and method."""
    asked = {**scope, "method": method}
    return any(route.matches(asked)[0] is Match.FULL for route in router.routes)


def methods_of(router: APIRouter, scope: Scope) -> list[str]:
    """The methods of this path; none if there is no such path."""
    methods = [method for method in _ROUTED if has_route(router, scope, method)]
    if "GET" in methods:
        methods.insert(1, "HEAD")
    return [*methods, "OPTIONS"] if methods else []


def wants_body(request: Request) -> bool:
    """Whether the answer's content is sent; if not, what is costly to make can be left out."""
    return _ASKED_FOR_HEAD not in request.scope


class Methods:
    """Pure ASGI: HEAD is GET without the content (RFC 9110, 9.3.2), OPTIONS tells the methods (9.3.7).

    The framework knows the methods of one route, and a path may have several: Allow is made here.
    """

    def __init__(self, app: ASGIApp, router: APIRouter) -> None:
        self._app = app
        self._router = router

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer OPTIONS, and pass every other request on."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
        elif scope["method"] == "OPTIONS" and (methods := methods_of(self._router, scope)):
            answer = Response(status_code=204, headers={"Allow": ", ".join(methods)})
            await answer(scope, receive, send)
        else:
            await self._pass_on(scope, receive, send)

    async def _pass_on(self, scope: Scope, receive: Receive, send: Send) -> None:
        head = scope["method"] == "HEAD"

        async def send_fitting(message: Message) -> None:
            if message["type"] == "http.response.body" and head:
                message = {**message, "body": b""}
            await send(message)

        # A copy: to the server the request stays what it was, and it sends no content either.
        passed_on = {**scope, "method": "GET", _ASKED_FOR_HEAD: True} if head else scope
        try:
            await self._app(passed_on, receive, send_fitting)
        finally:  # what was found out about it, its route among that, is for the layers outside too
            scope.update({name: value for name, value in passed_on.items() if name not in scope})
