"""The one place of wiring: settings in, application out."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager, suppress
from typing import cast

from fastapi import FastAPI

from service import API_VERSION
from service.catalogue.following import Follower, longest_wait_seconds
from service.catalogue.snapshot import SnapshotKeeper
from service.errors import ServiceError
from service.fitting.cursor import cursors_of
from service.fitting.languages import read_every_language
from service.fitting.ready.lookup import ready_lookup
from service.partners.limits import Limits
from service.partners.wrong_keys import KeyCheck
from service.settings import Settings
from service.store.database import Database
from service.store.schema import require_current
from service.web.age import CatalogueAge
from service.web.application import Application, install_outside_layers
from service.web.batch import batch_router
from service.web.counter import counter_page
from service.web.described_problems import describe_problems
from service.web.document import complete_document, document_details
from service.web.documentation import documentation_pages
from service.web.drawings import drawing_router
from service.web.embedded import embed_router
from service.web.kits import kit_router
from service.web.limiting import Limiting
from service.web.metrics import Metrics
from service.web.metrics import router as metrics_router
from service.web.places import WorkPlaces
from service.web.problem_pages import problem_pages
from service.web.problems import install_problem_documents
from service.web.replacements import replacement_router
from service.web.request_size import RequestSize
from service.web.rockers import rocker_router
from service.web.routes import router
from service.web.stopping import Stopping
from service.web.unexpected import ErrorAnswer, UnexpectedErrors
from service.web.writes import write_router

_PATIENCE_SECONDS = 3.0
_READS = (
    router,
    batch_router,
    replacement_router,
    kit_router,
    rocker_router,
    drawing_router,
    metrics_router,
)


def _snapshots(database: Database, settings: Settings) -> SnapshotKeeper:
    # A look that is more than a few seconds late hangs on the database.
    wait = longest_wait_seconds(database, settings.refresh_seconds)
    return SnapshotKeeper(database, overdue_seconds=2 * wait + _PATIENCE_SECONDS, prepare=ready_lookup)


def create_app(settings: Settings) -> FastAPI:
    """The application on the database that the settings name; it is opened when the application starts."""
    database = Database(settings.database_url)
    snapshots = _snapshots(database, settings)
    app = Application(
        title="Axle fit",
        version=API_VERSION,
        description="Which replacement axle fits an inline skate frame as measured, ranked, with reasons.",
        lifespan=_lifespan(database, snapshots, settings.refresh_seconds),
        redirect_slashes=False,  # the redirect would trust the Host header
        docs_url=None,  # the framework's pages load scripts from another host
        redoc_url=None,
        # To ask for each request whether others are wanted costs as much as our own do.
        telemetry={"tracing": False, "metrics": False, "logs": False},
        **document_details(),
    )
    app.state.database, app.state.settings = database, settings
    app.state.snapshots, app.state.metrics = snapshots, Metrics(snapshots)
    app.state.cursors = cursors_of(settings)
    _add_guards(app, database, settings)
    install_problem_documents(app)
    limits = Limits(database, settings)
    _add_layers(app, snapshots, limits)
    writes = write_router()
    for routes in (*_READS, writes, problem_pages(), embed_router(), documentation_pages(), counter_page()):
        app.include_router(routes)
    install_outside_layers(app, settings, writes=writes, counted=limits.on)
    describe_problems(app)
    complete_document(app)
    return app


def _add_guards(app: FastAPI, database: Database, settings: Settings) -> None:
    """What routes ask before they begin: the key's check, a place, whether the service runs on."""
    app.state.key_check = KeyCheck(database, settings)
    app.state.places = WorkPlaces(settings)
    app.state.stopping = Stopping()


def _lifespan(
    database: Database, snapshots: SnapshotKeeper, refresh_seconds: float
) -> Callable[[FastAPI], AbstractAsyncContextManager[None]]:
    """From the first snapshot to the last look at the catalogue."""

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        require_current(database)
        read_every_language()
        snapshots.refresh()
        follower = Follower(snapshots, database, refresh_seconds)
        following = asyncio.create_task(follower.run())
        try:
            yield
        finally:
            follower.stop()
            with suppress(TimeoutError):  # a look under way ends before its connections are closed
                await asyncio.wait_for(following, timeout=_PATIENCE_SECONDS)
            database.close()

    return lifespan


def _add_layers(app: FastAPI, snapshots: SnapshotKeeper, limits: Limits) -> None:
    """The layers, from the inside out: each stands around those that were added before it."""
    app.add_middleware(UnexpectedErrors, answer=_answer_to(app, Exception))
    if limits.on:
        app.add_middleware(Limiting, limits=limits, refusal=_answer_to(app, ServiceError))
    app.add_middleware(RequestSize)
    app.add_middleware(CatalogueAge, snapshots=snapshots)


def _answer_to(app: FastAPI, error: type[Exception]) -> ErrorAnswer:
    """The problem document that has been installed for an error."""
    return cast("ErrorAnswer", app.exception_handlers[error])
