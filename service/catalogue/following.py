"""Following the catalogue: a look at its revision at each notice of a write, and now and then without one.

Where no notices come, on SQLite and while the listening connection is lost, the looks alone have to do, and
come more often.
"""

from __future__ import annotations

import asyncio
import logging
import random
from contextlib import suppress

from service.catalogue.snapshot import SnapshotKeeper
from service.errors import DatabaseUnavailableError, ServiceError
from service.store.database import Database
from service.store.notices import gives_notices, listen

_LOG = logging.getLogger("axlefit")
_RARER = 4
"""How many times rarer the looks are where notices come."""
_FIRST_PAUSE_SECONDS = 0.5
_LONGEST_PAUSE_SECONDS = 10.0


def longest_wait_seconds(database: Database, refresh_seconds: float) -> float:
    """The longest time between two looks [s], where none hangs."""
    return refresh_seconds * (_RARER if gives_notices(database) else 1)


class Follower:
    """Keeps the snapshot of a process at the catalogue's revision."""

    def __init__(self, snapshots: SnapshotKeeper, database: Database, refresh_seconds: float) -> None:
        self._snapshots = snapshots
        self._database = database
        self._refresh_seconds = refresh_seconds
        self._wake = asyncio.Event()
        self._stopping = False
        self._away = False
        self.hears = False
        """Whether notices come through, by the last that is known."""

    async def run(self) -> None:
        """Look, wait, and look again, until it is to stop; the last snapshot stays where a look fails."""
        listening = asyncio.create_task(self._listen()) if gives_notices(self._database) else None
        try:
            while not self._stopping:
                with suppress(TimeoutError):
                    await asyncio.wait_for(self._wake.wait(), self._wait_seconds)
                self._wake.clear()  # before the look: what is heard during it is looked at again
                if not self._stopping:
                    await self._look()
        finally:
            if listening is not None:
                listening.cancel()
                await asyncio.wait([listening])

    def stop(self) -> None:
        """End after the look under way."""
        self._stopping = True
        self._wake.set()

    @property
    def _wait_seconds(self) -> float:
        return self._refresh_seconds * (_RARER if self.hears else 1)

    async def _look(self) -> None:
        try:
            await asyncio.to_thread(self._snapshots.refresh)
        except ServiceError as error:
            self._tell_away(error.detail)
        except Exception:  # noqa: BLE001 (whatever it was, the next look may succeed)
            _LOG.exception("the catalogue cannot be read, the last snapshot stays")
        else:
            if self._away:
                _LOG.info("the catalogue can be read again")
            self._away = False

    def _tell_away(self, reason: str) -> None:
        """Once for each absence: a look follows the other twice a second."""
        if not self._away:
            _LOG.warning("the catalogue cannot be read, the last snapshot stays: %s", reason)
        self._away = True

    async def _listen(self) -> None:
        """Listen again and again, with pauses that grow while it fails."""
        pause = _FIRST_PAUSE_SECONDS
        while True:
            try:
                await listen(self._database, self._hear)
            except DatabaseUnavailableError as error:
                if self.hears:
                    _LOG.warning("notices of writes are lost, looks go on: %s", error.detail)
            except Exception:  # noqa: BLE001 (without notices the looks go on)
                _LOG.exception("notices of writes cannot be heard, looks go on")
            if self.hears:
                pause, self.hears = _FIRST_PAUSE_SECONDS, False
                self._wake.set()  # the last notice may be among those that were lost
            # So that not all processes come back at the same moment.
            await asyncio.sleep(pause * random.uniform(0.5, 1))  # noqa: S311 (no secret)
            pause = min(2 * pause, _LONGEST_PAUSE_SECONDS)

    def _hear(self) -> None:
        self.hears = True
        self._wake.set()
