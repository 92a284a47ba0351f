"""The lines of a body that is still arriving.

What comes is taken off the wire at once, and waits on disk until its turn. A caller that reads no answer
before it has sent everything would otherwise wait for the service, and the service for the caller.
"""

from __future__ import annotations

import asyncio
from tempfile import SpooledTemporaryFile
from types import TracebackType
from typing import NamedTuple, Self

from starlette.types import Receive

_IN_MEMORY_BYTES = 1024 * 1024
_PIECE_BYTES = 64 * 1024


class Line(NamedTuple):
    """A line without its end, and its number, 1 = first; no content where it was too long to be kept."""

    number: int
    content: bytes | None


class ArrivingLines:
    """The lines of a body in order, as they come."""

    def __init__(self, *, most_bytes: int, most_line_bytes: int) -> None:
        self._most_bytes = most_bytes
        self._received = 0
        self._queue = _BytesOnDisk()
        self._lines = LineSplitter(most_line_bytes)
        self._moved = asyncio.Event()
        self.complete = False
        """Whether all has come; a line that is not here then does not exist."""
        self.exceeded = False
        """Whether more came than is taken; then the lines end before that."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._queue.close()

    async def receive_from(self, receive: Receive) -> None:
        """Take what comes until the caller goes away; what is too much is let go."""
        while (message := await receive())["type"] == "http.request":
            if not self.complete:
                self._keep(message.get("body", b""))
                self.complete = self.exceeded or not message.get("more_body", False)
                self._moved.set()

    def _keep(self, body: bytes) -> None:
        kept = body[: self._most_bytes - self._received]
        self.exceeded = len(kept) < len(body)
        self._received += len(kept)
        self._queue.append(kept)

    def next_here(self) -> Line | None:
        """The next line, if all of it has come; the last one needs no end."""
        while (line := self._lines.next()) is None and (piece := self._queue.take(_PIECE_BYTES)):
            self._lines.feed(piece)
        if line is None and self.complete and not self.exceeded:
            return self._lines.rest()
        return line

    @property
    def next_number(self) -> int:
        """The number of the line after the last that was given out."""
        return self._lines.count + 1

    async def more(self) -> None:
        """Wait until something has come since the last wait."""
        await self._moved.wait()
        self._moved.clear()


class LineSplitter:
    """Cuts bytes into lines, and keeps no more of a line than it may have."""

    def __init__(self, most_bytes: int) -> None:
        self._most_bytes = most_bytes
        self._begun = bytearray()
        self._searched = 0
        self._too_long = False
        self.count = 0
        """How many lines were given out."""

    def feed(self, piece: bytes) -> None:
        """Add what came next."""
        self._begun += piece

    def next(self) -> Line | None:
        """The next line that has an end."""
        end = self._begun.find(b"\n", self._searched)
        if end >= 0:
            return self._cut(end, len(b"\n"))
        if len(self._begun) > self._most_bytes:
            self._too_long = True
            self._begun.clear()
        self._searched = len(self._begun)
        return None

    def rest(self) -> Line | None:
        """What stands after the last end of a line."""
        return self._cut(len(self._begun), 0) if self._begun or self._too_long else None

    def _cut(self, length: int, end: int) -> Line:
        content = None if self._too_long or length > self._most_bytes else bytes(self._begun[:length])
        del self._begun[: length + end]
        self._searched, self._too_long = 0, False
        self.count += 1
        return Line(self.count, content)


class _BytesOnDisk:
    """First in, first out; in memory as long as it is little, and no larger than what waits at its most."""

    def __init__(self) -> None:
        self._file = SpooledTemporaryFile(max_size=_IN_MEMORY_BYTES)  # noqa: SIM115 (closed by `close`)
        self._taken = self._written = 0

    def append(self, content: bytes) -> None:
        """Put at the end."""
        self._file.seek(self._written)
        self._written += self._file.write(content)

    def take(self, most: int) -> bytes:
        """Take from the beginning."""
        self._file.seek(self._taken)
        piece = self._file.read(most)
        self._taken += len(piece)
        if self._taken == self._written:
            self._file.seek(0)
            self._file.truncate()
            self._taken = self._written = 0
        return piece

    def close(self) -> None:
        """Forget what waits."""
        self._file.close()
