"""The one place of wiring: settings in, application out."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress

from fastapi import FastAPI

from service.catalogue.snapshot import SnapshotKeeper
from service.errors import ServiceError
from service.fitting.languages import read_every_language
from service.settings import Settings
from service.store.database import Database
from service.store.schema import require_current
from service.web.age import CatalogueAge
from service.web.batch import batch_router
from service.web.problems import install_problem_documents
from service.web.rockers import rocker_router
from service.web.routes import router
from service.web.writes import write_router

_LOG = logging.getLogger("axlefit")
_PATIENCE_SECONDS = 3.0


def create_app(settings: Settings) -> FastAPI:
    """The application on the database that the settings name; it is opened when the application starts."""
    database = Database(settings.database_url)
    # A look that is more than a few seconds late hangs on the database.
    snapshots = SnapshotKeeper(database, overdue_seconds=2 * settings.refresh_seconds + _PATIENCE_SECONDS)

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        require_current(database)
        read_every_language()
        snapshots.refresh()
        stopping = asyncio.Event()
        following = asyncio.create_task(_follow_revision(snapshots, settings.refresh_seconds, stopping))
        try:
            yield
        finally:
            stopping.set()
            with suppress(TimeoutError):  # a look under way ends before its connections are closed
                await asyncio.wait_for(following, timeout=_PATIENCE_SECONDS)
            database.close()

    app = FastAPI(
        title="Axle fit",
        version="1",
        description="Which replacement axle fits an inline skate frame as measured, ranked, with reasons.",
        lifespan=lifespan,
        redirect_slashes=False,  # the redirect would trust the Host header
        docs_url=None,  # the framework's pages load scripts from another host
        redoc_url=None,
    )
    app.state.snapshots = snapshots
    app.state.database = database
    app.state.settings = settings
    install_problem_documents(app)
    app.add_middleware(CatalogueAge, snapshots=snapshots)
    app.include_router(router)
    app.include_router(batch_router)
    app.include_router(rocker_router)
    app.include_router(write_router())
    return app


async def _follow_revision(snapshots: SnapshotKeeper, seconds: float, stopping: asyncio.Event) -> None:
    """Look at the catalogue's revision again and again; while the database is away, the last one stays."""
    while not stopping.is_set():
        with suppress(TimeoutError):
            await asyncio.wait_for(stopping.wait(), timeout=seconds)
            return
        try:
            await asyncio.to_thread(snapshots.refresh)
        except ServiceError as error:
            _LOG.warning("the catalogue cannot be read, the last snapshot stays: %s", error.detail)
        except Exception:  # noqa: BLE001 (whatever it was, the next look may succeed)
            _LOG.exception("the catalogue cannot be read, the last snapshot stays")
