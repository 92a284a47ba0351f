"""How much of what takes long is done at the same time: who finds no place is told to come again."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from contextlib import contextmanager

from fastapi import Depends, Request

from service.settings import Settings
from service.web.refusals import BusyError


class Places:
    """So many places for one kind of work in this process; used in its event loop alone."""

    def __init__(self, most: int, work: str) -> None:
        self._most = most
        self._work = work
        self.taken = 0

    @contextmanager
    def one(self) -> Iterator[None]:
        """A place, until the work is done.

        Raises
        ------
        BusyError
            If none is free.
        """
        if self.taken >= self._most:
            raise BusyError(f"{self._most} {self._work} are under way, and no more are taken on at once.")
        self.taken += 1
        try:
            yield
        finally:
            self.taken -= 1


class WorkPlaces:
    """The places of a process, by kind of work."""

    def __init__(self, settings: Settings) -> None:
        self.batches = Places(settings.batches_at_once, "batches")
        self.imports = Places(settings.imports_at_once, "imports")


async def _place_of_batch(request: Request) -> AsyncIterator[None]:
    places: WorkPlaces = request.app.state.places
    with places.batches.one():
        yield


async def _place_of_import(request: Request) -> AsyncIterator[None]:
    places: WorkPlaces = request.app.state.places
    with places.imports.one():
        yield


BATCH_PLACE = Depends(_place_of_batch)
IMPORT_PLACE = Depends(_place_of_import)
