"""Marks every answer with the catalogue's age while the database cannot be looked at."""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.catalogue.snapshot import SnapshotKeeper


class CatalogueAge:
    """Pure ASGI: a header `Catalogue-Age` in seconds, only while the snapshot may be behind."""

    def __init__(self, app: ASGIApp, snapshots: SnapshotKeeper) -> None:
        self._app = app
        self._snapshots = snapshots

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and add the header to the answer."""
        age = self._snapshots.age_seconds if scope["type"] == "http" else None
        if age is None:
            await self._app(scope, receive, send)
            return

        async def send_with_age(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message)["Catalogue-Age"] = f"{age:.0f}"
            await send(message)

        await self._app(scope, receive, send_with_age)
