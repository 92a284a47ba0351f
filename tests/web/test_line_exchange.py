"""Lines in and out at the same time: nobody waits for the other, memory stays flat, others get a turn."""

import asyncio
import tracemalloc
import zlib
from tempfile import SpooledTemporaryFile

import pytest
from starlette.requests import Request

from service.web.arriving import ArrivingLines, Line, LineSplitter
from service.web.exchange import Limits, LineExchange


class Echo:
    """Answers each line with itself, and counts."""

    def __init__(self):
        self.lines = 0

    def answer(self, line):
        self.lines += 1
        return line.content + b"\n"

    def refuse_from(self, number):
        return b"none from %d on\n" % number

    def end(self):
        return b"end\n"


class Caller:
    """The other side of an exchange, as an ASGI server shows it."""

    def __init__(self, *pieces, accept_encoding="identity", most_lines=1000):
        self.echo = Echo()
        self.pieces = asyncio.Queue()
        for piece in pieces:
            self.send(piece)
        self.read = bytearray()
        self.moved = asyncio.Event()
        headers = [(b"accept-encoding", accept_encoding.encode())]
        self.scope = {"type": "http", "method": "POST", "path": "/", "query_string": b"", "headers": headers}
        limits = Limits(lines=most_lines, bytes=10**7, line_bytes=10**5)
        self.exchange = LineExchange(Request(self.scope), self.echo, limits)

    def send(self, piece, *, last=False):
        self.pieces.put_nowait({"type": "http.request", "body": piece, "more_body": not last})

    def leave(self):
        self.pieces.put_nowait({"type": "http.disconnect"})

    async def _send(self, message):
        self.read += message.get("body", b"")
        self.moved.set()

    async def talk(self, send=None):
        await self.exchange(self.scope, self.pieces.get, send or self._send)

    async def until_read(self, content):
        while bytes(self.read) != content:
            await self.moved.wait()
            self.moved.clear()


async def until(condition):
    """Let the exchange go on until this is true."""
    while not condition():  # noqa: ASYNC110 (there is no event in what is looked at)
        await asyncio.sleep(0)


def within(seconds, work):
    """Run this to its end, which comes soon."""

    async def run():
        await asyncio.wait_for(work, seconds)

    asyncio.run(run())


def test_a_line_is_answered_before_the_next_is_sent():
    async def talk():
        caller = Caller(b"one\ntw")
        talking = asyncio.create_task(caller.talk())
        await caller.until_read(b"one\n")
        caller.send(b"o\n")
        await caller.until_read(b"one\ntwo\n")
        caller.send(b"three", last=True)
        await talking
        assert bytes(caller.read) == b"one\ntwo\nthree\nend\n"

    within(5, talk())


def test_a_compressed_answer_is_not_held_back_either():
    async def talk():
        caller = Caller(b"one\n", accept_encoding="gzip")
        talking = asyncio.create_task(caller.talk())
        unpacker = zlib.decompressobj(zlib.MAX_WBITS | 16)
        while not caller.read:
            await caller.moved.wait()
            caller.moved.clear()
        assert unpacker.decompress(bytes(caller.read)) == b"one\n"
        caller.send(b"", last=True)
        await talking

    within(5, talk())


def test_a_last_part_that_comes_while_an_answer_is_on_its_way_is_answered_too():
    async def talk():
        caller = Caller(b"one\ntwo")

        async def send(message):
            caller.read += message.get("body", b"")
            if message.get("body") == b"one\n":
                caller.send(b"", last=True)
                await asyncio.sleep(0.01)  # it arrives before this is sent

        await caller.talk(send)
        assert bytes(caller.read) == b"one\ntwo\nend\n"

    within(5, talk())


def test_a_caller_who_does_not_read_can_send_all_and_little_is_answered_meanwhile():
    async def talk():
        line = b"x" * 1000 + b"\n"
        caller = Caller(*[line * 1000] * 9)  # 9 MB

        async def never_sent(message):
            if message.get("body"):
                await asyncio.Event().wait()

        talking = asyncio.create_task(caller.talk(never_sent))
        await until(caller.pieces.empty)
        assert caller.echo.lines < 100
        caller.leave()
        await talking

    within(20, talk())


def test_a_caller_who_goes_away_ends_the_work():
    async def talk():
        caller = Caller(b"line\n" * 100_000, most_lines=10**6)
        talking = asyncio.create_task(caller.talk())
        await until(lambda: caller.echo.lines)
        caller.leave()
        await talking
        assert 0 < caller.echo.lines < 100_000
        assert b"end" not in caller.read

    within(20, talk())


def test_lines_that_are_too_many_are_not_looked_at():
    async def talk():
        caller = Caller(b"line\n" * 5, most_lines=3)
        await caller.talk()
        assert caller.echo.lines == 3
        assert bytes(caller.read) == b"line\n" * 3 + b"none from 4 on\nend\n"

    within(5, talk())


def test_another_request_waits_for_one_line_at_most_in_all_its_turns(monkeypatch):
    # A request needs several turns of the loop; were a line answered in each, it would wait for several.
    async def talk():
        caller = Caller(b"line\n" * 50, most_lines=100)
        caller.send(b"", last=True)
        monkeypatch.setattr("service.web.exchange._SLICE_SECONDS", 0.0)
        talking = asyncio.create_task(caller.talk())
        answered = []
        while not talking.done():
            before = caller.echo.lines
            for _ in range(3):
                await asyncio.sleep(0)
            answered.append(caller.echo.lines - before)
        assert caller.echo.lines == 50
        assert max(answered) == 1

    within(10, talk())


# --- lines out of pieces -----------------------------------------------------------------------------


@pytest.mark.parametrize("size", [1, 2, 3, 7, 100])
def test_lines_are_the_same_however_they_are_cut_into_pieces(size):
    content = b"one\n\ntwo two\r\n" + b"x" * 9 + b"\n" + b"y" * 10 + b"\nlast"
    splitter, found = LineSplitter(9), []
    for start in range(0, len(content), size):
        splitter.feed(content[start : start + size])
        while line := splitter.next():
            found.append(line)
    found.append(splitter.rest())
    contents = [b"one", b"", b"two two\r", b"x" * 9, None, b"last"]
    assert found == [Line(number, content) for number, content in enumerate(contents, start=1)]
    assert splitter.rest() is None


def test_a_line_that_does_not_end_takes_no_memory():
    splitter, piece = LineSplitter(10_000), b"x" * 9_000
    tracemalloc.start()
    for _ in range(100):
        splitter.feed(piece)
        assert splitter.next() is None
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 4 * 10_000  # of 900,000
    assert splitter.rest() == Line(1, None)


def test_what_waits_on_disk_is_no_more_than_what_was_not_taken(monkeypatch):
    files = []

    def made(**settings):
        files.append(SpooledTemporaryFile(**settings))  # noqa: SIM115 (closed by the lines)
        return files[-1]

    monkeypatch.setattr("service.web.arriving.SpooledTemporaryFile", made)
    piece = {"type": "http.request", "body": b"line\n" * 100, "more_body": True}
    messages = iter([piece] * 200 + [{"type": "http.disconnect"}])

    async def take_all_at_once():
        with ArrivingLines(most_bytes=10**9, most_line_bytes=100) as arriving:

            async def receive():
                while arriving.next_here():
                    pass
                return next(messages)

            await arriving.receive_from(receive)
            assert files[0].seek(0, 2) <= len(piece["body"])
            assert arriving.next_number == 20_001
        assert files[0].closed

    within(20, take_all_at_once())
