"""Counts requests together: those that come while one transaction runs go into the next one.

So a process has one count under way, however many requests wait, and pays once for the transaction.
"""

from __future__ import annotations

import asyncio
import contextvars
import logging
import time
from collections import deque

import anyio
from anyio.to_thread import run_sync

from service.errors import DatabaseUnavailableError
from service.partners.limits import Asker, Counted, Limits

_LOG = logging.getLogger("axlefit")
_MOST = 200
_THREADS = 4
_PATIENCE_SECONDS = 2.0
_PAUSE_SECONDS = 1.0


class CountingQueue:
    """Counts requests in a thread, so that the loop goes on; while the database is away it counts none."""

    def __init__(self, limits: Limits) -> None:
        self._limits = limits
        self._waiting: deque[tuple[Asker, asyncio.Future[Counted]]] = deque()
        self._working: asyncio.Task[None] | None = None
        # Threads that hang on the database are left to it, but no more than these.
        self._threads = anyio.CapacityLimiter(_THREADS)
        self._paused_until = 0.0

    async def count(self, asker: Asker) -> Counted:
        """Count a request; nothing is known of it if it cannot be counted."""
        if time.monotonic() < self._paused_until:
            return Counted()
        done: asyncio.Future[Counted] = asyncio.get_running_loop().create_future()
        self._waiting.append((asker, done))
        if self._working is None:
            # In a context of its own: what is logged there is not of the request that came first.
            self._working = asyncio.create_task(self._work(), context=contextvars.Context())
        return await done

    async def _work(self) -> None:
        try:
            while self._waiting:
                batch = [self._waiting.popleft() for _ in range(min(_MOST, len(self._waiting)))]
                counted = await self._count_all([asker for asker, _ in batch])
                for (_, done), result in zip(batch, counted, strict=True):
                    if not done.done():  # a caller may have gone
                        done.set_result(result)
        finally:
            self._working = None

    async def _count_all(self, askers: list[Asker]) -> list[Counted]:
        try:
            with anyio.fail_after(_PATIENCE_SECONDS):
                return await run_sync(
                    self._limits.count_all, askers, abandon_on_cancel=True, limiter=self._threads
                )
        except DatabaseUnavailableError as error:
            self._pause(error.detail)
        except TimeoutError:
            self._pause("The database does not answer in time.")
        except Exception:  # noqa: BLE001 (whatever it was, a lookup does not fail for want of a count)
            _LOG.exception("requests could not be counted")
            self._pause("It met an error of its own.")
        return [Counted()] * len(askers)

    def _pause(self, reason: str) -> None:
        """Not every request shall wait for a database that is away."""
        self._paused_until = time.monotonic() + _PAUSE_SECONDS
        _LOG.warning("requests go on without limits for %g s: %s", _PAUSE_SECONDS, reason)
