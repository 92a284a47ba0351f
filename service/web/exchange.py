"""Lines in and lines out at the same time: a line is answered while others are still on their way."""

from __future__ import annotations

import asyncio
import time
import zlib
from collections.abc import AsyncIterator
from typing import NamedTuple, Protocol

from fastapi import Request
from fastapi.responses import StreamingResponse
from starlette.types import Receive, Scope, Send

from service.web.answers import NDJSON, takes_gzip
from service.web.arriving import ArrivingLines, Line

_GATHERED_BYTES = 64 * 1024
_SLICE_SECONDS = 0.005
_TURNS = 8  # of the event loop: more than another request needs from its connection to its answer


class Limits(NamedTuple):
    """How much is taken in one exchange."""

    lines: int
    bytes: int
    line_bytes: int


class LineAnswerer(Protocol):
    """What is said to each line."""

    def answer(self, line: Line) -> bytes:
        """The line for a line; nothing for one that needs none."""

    def refuse_from(self, number: int) -> bytes:
        """What stands in place of the line of this number and all after it, of which there are too many."""

    def end(self) -> bytes:
        """The last line."""


class LineExchange(StreamingResponse):
    """Reads lines and sends what an answerer says to them; memory stays flat, however many there are.

    The work keeps pace with the caller's reading, not with its sending, and ends when the caller goes away.
    """

    def __init__(self, request: Request, answerer: LineAnswerer, limits: Limits) -> None:
        self._answerer = answerer
        self._limits = limits
        gzip = takes_gzip(request.headers.get("accept-encoding", ""))
        self._packer = _Packer(gzip=gzip)
        headers = {"Vary": "Accept-Encoding"} | ({"Content-Encoding": "gzip"} if gzip else {})
        super().__init__((), media_type=NDJSON, headers=headers)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:  # noqa: ARG002
        """Receive and answer side by side, until all is answered or the caller has gone."""
        limits = self._limits
        with ArrivingLines(most_bytes=limits.bytes, most_line_bytes=limits.line_bytes) as arriving:
            self.body_iterator = self._pieces(arriving)
            # Receiving begins first: whoever expects "100 Continue" must get it before the answer begins.
            receiving = asyncio.create_task(arriving.receive_from(receive))
            answering = asyncio.create_task(self.stream_response(send))
            try:
                done, _ = await asyncio.wait({receiving, answering}, return_when=asyncio.FIRST_COMPLETED)
                for task in done:
                    task.result()
            finally:
                receiving.cancel()
                answering.cancel()
                await asyncio.wait({receiving, answering})

    async def _pieces(self, arriving: ArrivingLines) -> AsyncIterator[bytes]:
        """The answer, some lines at a time, and all that is ready before a wait for the caller."""
        gathered = bytearray()
        slice_began = time.monotonic()
        while (line := arriving.next_here()) is not None or not arriving.complete:
            if line is None:
                if gathered:
                    yield self._packer.pack(gathered, zlib.Z_SYNC_FLUSH)
                    gathered.clear()
                await arriving.more()
                continue
            if line.number > self._limits.lines:
                break
            gathered += self._answerer.answer(line)
            if len(gathered) >= _GATHERED_BYTES:
                yield self._packer.pack(gathered)
                gathered.clear()
            if time.monotonic() - slice_began > _SLICE_SECONDS:
                await _give_way()
                slice_began = time.monotonic()
        if line is not None or arriving.exceeded:
            gathered += self._answerer.refuse_from(line.number if line else arriving.next_number)
        yield self._packer.pack(gathered + self._answerer.end(), zlib.Z_FINISH)


async def _give_way() -> None:
    """Let other requests have some turns: after one, each of their steps would wait for a line of ours."""
    for _ in range(_TURNS):
        await asyncio.sleep(0)


class _Packer:
    """Compresses what is sent, or leaves it as it is."""

    def __init__(self, *, gzip: bool) -> None:
        self._gzip = zlib.compressobj(6, zlib.DEFLATED, zlib.MAX_WBITS | 16) if gzip else None  # 16: gzip's

    def pack(self, content: bytes | bytearray, flush: int = zlib.Z_NO_FLUSH) -> bytes:
        """What can be sent of this and all before; after a flush, that is all."""
        if self._gzip is None:
            return bytes(content)
        return self._gzip.compress(content) + self._gzip.flush(flush)
