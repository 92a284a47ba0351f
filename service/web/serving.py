"""The server from its start to its stop: told to stop, it is out of the way within the time it is given.

First it is not ready any more and closes each connection with its next answer, so that a balancer turns to
others; after the pause it listens no more, finishes what it has, and ends. What is not finished then is cut
off: a transaction under way is rolled back by the database, so that nothing is ever half done.
"""

from __future__ import annotations

import asyncio
import logging
import os
import signal
import sys
import threading
import time
from contextlib import suppress
from types import FrameType

import uvicorn
from fastapi import FastAPI
from uvicorn.config import STARTUP_FAILURE

from service.settings import Settings
from service.web.server import PROTOCOL
from service.web.stopping import CutOffs, Stopping

_LOG = logging.getLogger("axlefit")
_TICK_SECONDS = 0.1
_TO_CLOSE_SECONDS = 1.5
"""For what stands around the requests: the last look at the catalogue, the database's connections."""
_LEAST_SECONDS = 0.1
_CUT_OFF = 1
"""The exit status of a stop that has cut something off."""


def serve(app: FastAPI, settings: Settings) -> None:
    """Serve until a signal comes, and stop."""
    config = uvicorn.Config(
        CutOffs(app),
        host=settings.host,
        port=settings.port,
        access_log=False,  # ours does not tell the query, where a key may stand
        log_config=None,
        proxy_headers=bool(settings.trusted_proxies),
        forwarded_allow_ips=settings.trusted_proxies,
        server_header=False,  # who serves is nobody's business
        headers=[("X-Content-Type-Options", "nosniff")],
        **PROTOCOL,
    )
    server = StoppingServer(config, app.state.stopping, settings)
    with suppress(KeyboardInterrupt):  # it has stopped already, and Python tells of the signal once more
        server.run()
    if not server.started:
        sys.exit(STARTUP_FAILURE)


class StoppingServer(uvicorn.Server):
    """The server, with a pause before it stops to listen, and an end to its stop."""

    def __init__(self, config: uvicorn.Config, stopping: Stopping, settings: Settings) -> None:
        super().__init__(config)
        self._stopping = stopping
        self._pause_seconds = settings.stop_pause_seconds
        self._stop_seconds = settings.stop_seconds
        self._begun_at = 0.0

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Begin the stop at the first signal; somebody at a terminal does not wait for a balancer."""
        if not self._stopping.begun:
            self._begin()
        if sig == signal.SIGINT:
            self._pause_seconds = 0
        super().handle_exit(sig, frame)

    async def main_loop(self) -> None:
        """Serve, and go on for the pause when the stop has begun."""
        await super().main_loop()
        self.config.encoded_headers.append((b"connection", b"close"))
        await self.on_tick(0)  # which hands the headers on
        counter = 0
        while self._left_seconds(self._pause_seconds) > 0 and not self.force_exit:
            await asyncio.sleep(_TICK_SECONDS)
            counter += 1
            await self.on_tick(counter)
        left = self._left_seconds(self._stop_seconds - _TO_CLOSE_SECONDS)
        # The type says whole seconds; the value goes to asyncio, which takes parts of one.
        self.config.timeout_graceful_shutdown = max(left, _LEAST_SECONDS)  # type: ignore[assignment]

    def _begin(self) -> None:
        self._begun_at = time.monotonic()
        self._stopping.begin()
        last_resort = threading.Timer(self._stop_seconds, _cut_off)
        last_resort.daemon = True
        last_resort.start()

    def _left_seconds(self, seconds: float) -> float:
        return self._begun_at + seconds - time.monotonic()


def _cut_off() -> None:
    """End the process although a thread hangs, on a database that does not answer or with an import."""
    _LOG.warning("stopped although something was under way; a transaction under way is rolled back")
    logging.shutdown()
    os._exit(_CUT_OFF)
