"""Clients that stop half way, or come in crowds: the proxy keeps them from the service."""

import socket
import time
from contextlib import ExitStack, suppress

import pytest

from tests.deploy.reverse_proxy import ADDRESS, PATIENCE_S

HEADER_HALF = b"GET /v1/axles HTTP/1.1\r\nHost: shop\r\nX-Not-Ready: "
BODY_HALF = (
    b"POST /v1/fits HTTP/1.1\r\nHost: shop\r\nContent-Type: application/json\r\n"
    b'Content-Length: 99\r\n\r\n{"fast'
)
CLOSED_AFTER_S = 10  # client_header_timeout and client_body_timeout of nginx.conf
MOST_CONNECTIONS = 100  # limit_conn of nginx.conf
MOST_STREAMS = 4
BATCH_HALF = (
    b"POST /v1/fits/batch HTTP/1.1\r\nHost: shop\r\nContent-Type: application/x-ndjson\r\n"
    b"Transfer-Encoding: chunked\r\n\r\n1\r\n{\r\n"
)


def sent_half(proxy, opened, part, address=ADDRESS):
    """A connection on which a part of a request has been sent."""
    connection = opened.enter_context(proxy.connect(address))
    connection.sendall(part)
    return connection


def closed_after(connection, begun):
    """How long after a moment a connection was closed [s]; an answer before that is passed over."""
    with suppress(OSError):
        while connection.recv(4096):
            pass
    return time.monotonic() - begun


def test_half_sent_requests_are_closed_and_the_service_never_hears_of_them(proxy, wire):
    with ExitStack() as opened:
        begun = time.monotonic()
        silent = opened.enter_context(socket.create_connection((ADDRESS, proxy.port), PATIENCE_S))
        halves = [sent_half(proxy, opened, part) for part in [HEADER_HALF, BODY_HALF] * 20]
        assert (wire.connections, wire.sent) == (0, b"")
        assert proxy.send("GET", "/health/live")[0] == 200  # the others are served meanwhile
        seen = len(wire.sent)
        for connection in [silent, *halves]:
            assert CLOSED_AFTER_S - 1 < closed_after(connection, begun) < CLOSED_AFTER_S + 5
        assert len(wire.sent) == seen


@pytest.mark.parametrize(
    ("part", "most"), [(BODY_HALF, MOST_CONNECTIONS), (BATCH_HALF, MOST_STREAMS)], ids=["bodies", "batches"]
)
def test_an_address_has_so_many_requests_under_way_and_no_more(proxy, part, most):
    with ExitStack() as opened:
        held = []
        for count in range(1, most + 1):
            held.append(sent_half(proxy, opened, part, "127.0.0.5"))
            if count % 10 == 0:  # on a busy machine the first would be closed before the last are open
                for one in held[:-1]:
                    one.sendall(b" ")
        one_more = sent_half(proxy, opened, part, "127.0.0.5")
        assert one_more.recv(4096).startswith(b"HTTP/1.1 429 ")
        assert proxy.send("GET", "/health/live", address="127.0.0.6")[0] == 200
        answer = sent_half(proxy, opened, part, "127.0.0.6")
        answer.settimeout(0.5)
        with suppress(TimeoutError):
            assert not answer.recv(4096).startswith(b"HTTP/1.1 429 ")


def test_a_drip_of_a_body_never_reaches_the_service(proxy, wire):
    with ExitStack() as opened:
        drip = sent_half(proxy, opened, BODY_HALF)
        for _ in range(5):
            drip.sendall(b" ")
            time.sleep(0.05)
        assert wire.sent == b""
        drip.sendall(b"x" * (99 - len(b'{"fast') - 5))
        assert drip.recv(4096).startswith(b"HTTP/1.1 4")
    assert wire.sent.startswith(b"POST /v1/fits HTTP/1.1\r\n")
