"""Slow connections through the proxy, held open by a process of their own.

Whoever measures beside it is not slowed by what that costs. Three kinds take turns: the header of a request
trickles in, its body does, or its answer is read a few bytes at a time. None is ever done with.
"""

import itertools
import resource
import socket
import ssl
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

from tests.deploy.reverse_proxy import Proxy
from tests.faults.forks import pipe, start

HEADERS = b"GET /v1/axles HTTP/1.1\r\nHost: shop\r\nX-Not-Ready: "
BODIES = (
    b"POST /v1/fits HTTP/1.1\r\nHost: shop\r\nContent-Type: application/json\r\n"
    b"Content-Length: 20000\r\n\r\n{"
)
ANSWERS = b"GET /openapi.json HTTP/1.1\r\nHost: shop\r\n\r\n"  # the longest answer to who has no key
BEGINNINGS = {"answers": ANSWERS, "bodies": BODIES, "headers": HEADERS}  # the headers, which end first, last
EACH_ADDRESS = 90  # nginx.conf lets 100 requests be under way from one
# Segments as over a network, and little room: else the kernel takes a whole answer off the proxy's hands.
_NARROW = ((socket.IPPROTO_TCP, socket.TCP_MAXSEG, 1400), (socket.SOL_SOCKET, socket.SO_RCVBUF, 4096))
_OPENED_AT_ONCE = 8
_ROOM = 200
_DRIP_EVERY_S = 1.0
_SIP_BYTES = 256
_PATIENCE_S = 120.0


class Slow:
    """One slow connection."""

    def __init__(self, proxy, address, kind):
        self.kind = kind
        self.status = None
        self.lasted_s = None
        self._begun = time.monotonic()
        self._socket = proxy.connect(address, _NARROW)
        self._socket.sendall(BEGINNINGS[kind])
        if (
            kind == "answers"
        ):  # they have begun when it is open: what comes after is slow by their reader alone
            self._notice(self._socket.recv(_SIP_BYTES))
        if self.lasted_s is None:
            self._socket.settimeout(0)

    def go_on(self):
        """Send one byte more, or read a few; or notice that the other side has had enough."""
        if self.lasted_s is not None:
            return
        try:
            if self.kind != "answers":
                self._socket.send(b" ")
            told = self._socket.recv(_SIP_BYTES)
        except (ssl.SSLWantReadError, ssl.SSLWantWriteError):
            return
        except OSError:
            told = b""
        self._notice(told)

    def _notice(self, told):
        """What came, of an answer or an end; only an answer that was asked for goes on."""
        self.status = self.status or (int(told.split()[1]) if told else None)
        if not told or (self.kind, self.status) != ("answers", 200):
            self.lasted_s = time.monotonic() - self._begun
            self._socket.close()

    def close(self):
        """Leave, with whatever is on its way."""
        self._socket.close()


class Held:
    """What a holder knows, asked for over its pipes."""

    def __init__(self, asking, answers):
        self._asking = asking
        self._answers = answers
        self.told()  # that all are open

    def told(self):
        """The kind, the status if an answer came, and the seconds until its end if it has ended, of each."""
        self._asking.send(True)
        if not self._answers.poll(_PATIENCE_S):
            raise RuntimeError("the slow connections could not be opened")
        return self._answers.recv()


@contextmanager
def held_open(proxy, addresses, kinds):
    """As many slow connections as there are addresses, of these kinds by turns."""
    (asked, asking), (answers, answering) = pipe(), pipe()
    process = start(_hold, str(proxy.folder), proxy.port, list(addresses), kinds, asked, answering)
    try:
        yield Held(asking, answers)
    finally:
        asking.send(False)
        process.join(_PATIENCE_S)
        process.kill()
        process.join()


def addresses(count):
    """Addresses of this machine for so many connections, no more from one than it may have."""
    return [f"127.0.0.{2 + number // EACH_ADDRESS}" for number in range(count)]


def open_at(port):
    """How many connections the kernel has open to a port from addresses other than 127.0.0.1."""
    lines = (line.split() for line in Path("/proc/net/tcp").read_text(encoding="utf-8").splitlines()[1:])
    ends = [(line[1], line[2].partition(":")[0]) for line in lines if line[3] == "01"]  # ESTABLISHED
    return sum(here.endswith(f":{port:04X}") and there != "0100007F" for here, there in ends)


def _hold(folder, port, sources, kinds, asked, answering):
    """Open the connections, and keep them slow until told to end."""
    _, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(most, len(sources) + _ROOM), most))
    proxy = Proxy(Path(folder), port, None)
    wanted = sorted(zip(sources, itertools.cycle(kinds)), key=lambda pair: list(BEGINNINGS).index(pair[1]))
    with ThreadPoolExecutor(_OPENED_AT_ONCE) as threads:
        held = list(threads.map(lambda pair: Slow(proxy, *pair), wanted))
    due = time.monotonic()
    while True:
        if asked.poll(max(0.0, due - time.monotonic())):
            if not asked.recv():
                break
            answering.send([(one.kind, one.status, one.lasted_s) for one in held])
        else:
            for one in held:
                one.go_on()
            due = max(due + _DRIP_EVERY_S, time.monotonic())
    for one in held:
        one.close()
