"""The framework's application, with layers outside of its own error handling."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fastapi import APIRouter, FastAPI
from starlette.middleware import Middleware
from starlette.types import ASGIApp

from service.settings import Settings
from service.web.access import Access, AccessLog
from service.web.answer_cache import AnswerCache
from service.web.caching import NotKept
from service.web.cross_origin import CrossOrigin
from service.web.hot_lookups import HotLookups
from service.web.methods import Methods
from service.web.tracing import Tracing


class Application(FastAPI):
    """FastAPI; a middleware of `outside` sees every answer, that to an unexpected error too.

    What is added with `add_middleware` stands inside of the framework's handling of those, and misses it.
    """

    def __init__(self, *, outside: Sequence[Middleware] = (), **others: Any) -> None:
        super().__init__(**others)
        self.outside = list(outside)

    def build_middleware_stack(self) -> ASGIApp:
        """The framework's stack with the outside layers around it, the first of them outermost."""
        app = super().build_middleware_stack()
        for layer, args, kwargs in reversed(self.outside):
            app = layer(app, *args, **kwargs)
        return app


def install_outside_layers(app: Application, settings: Settings, *, writes: APIRouter, counted: bool) -> None:
    """Traces, the log, caching, other origins, methods: what every answer has to have."""
    state = app.state
    log = AccessLog(state.metrics)
    cache = AnswerCache(settings.answer_cache_bytes)
    # Where requests are counted, each goes the ordinary way, where the count is.
    hot = (
        []
        if counted
        else [Middleware(HotLookups, snapshots=state.snapshots, cursors=state.cursors, log=log, cache=cache)]
    )
    app.outside += [
        *hot,
        Middleware(Tracing),
        Middleware(Access, log=log),
        Middleware(NotKept),
        Middleware(CrossOrigin, router=app.router, writes=writes, origins=settings.cors_origins),
        Middleware(Methods, router=app.router),
    ]
