"""The two clients: they send, sleep and hand over, and decide nothing."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator, Iterator
from typing import Self

import httpx

from .calls import Calls
from .flow import Flow, Give, Items, Pause, Reply
from .wire import T


class AxleFit(Calls):
    """A client whose calls return when they are done; one client may be shared by threads."""

    _http_client = httpx.Client
    _http: httpx.Client

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections."""
        self._http.close()

    def _run(self, flow: Flow[T]) -> T:
        reply: Reply = None
        while True:
            try:
                step = flow.send(reply)
            except StopIteration as end:
                return end.value  # type: ignore[no-any-return]
            reply = self._do(step)

    def _iterate(self, flow: Items[T]) -> Iterator[T]:
        reply: Reply = None
        while True:
            try:
                step = flow.send(reply)
            except StopIteration:
                return
            if isinstance(step, Give):
                yield step.item
            reply = None if isinstance(step, Give) else self._do(step)

    def _do(self, step: httpx.Request | Pause) -> Reply:
        if isinstance(step, Pause):
            time.sleep(step.seconds)
            return None
        try:
            return self._http.send(step)
        except httpx.RequestError as error:
            return error


class AsyncAxleFit(Calls):
    """A client with the same calls, awaited; what lists is iterated with `async for`."""

    _http_client = httpx.AsyncClient
    _http: httpx.AsyncClient

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *_: object) -> None:
        await self.aclose()

    async def aclose(self) -> None:
        """Close the connections."""
        await self._http.aclose()

    async def _run(self, flow: Flow[T]) -> T:
        reply: Reply = None
        while True:
            try:
                step = flow.send(reply)
            except StopIteration as end:
                return end.value  # type: ignore[no-any-return]
            reply = await self._do(step)

    async def _iterate(self, flow: Items[T]) -> AsyncIterator[T]:
        reply: Reply = None
        while True:
            try:
                step = flow.send(reply)
            except StopIteration:
                return
            if isinstance(step, Give):
                yield step.item
            reply = None if isinstance(step, Give) else await self._do(step)

    async def _do(self, step: httpx.Request | Pause) -> Reply:
        if isinstance(step, Pause):
            await asyncio.sleep(step.seconds)
            return None
        try:
            return await self._http.send(step)
        except httpx.RequestError as error:
            return error
