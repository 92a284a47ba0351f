"""A batch over a real connection to a process of the service, with clients that go about it differently."""

import http.client
import json
import socket
import threading
from contextlib import closing

import pytest

from tests.faults.workers import worker

LOOKUP = {"fastening": "threaded_wall", "outside_width_mm": 36.4, "bore_mm": 8, "thread": "M8x1.25"}
PATIENCE_S = 60
NDJSON = {"Content-Type": "application/x-ndjson"}


@pytest.fixture(scope="module")
def port(demonstration_file):
    """A process of the service."""
    with worker(f"sqlite:///{demonstration_file}") as started:
        yield started


@pytest.fixture
def connection(port):
    """A connection to it."""
    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)) as opened:
        yield opened


def test_a_client_that_sends_all_before_it_reads_is_not_waited_for(connection):
    # 20 MB in and 40 MB out: more than any system holds for a connection in either direction.
    line = json.dumps(LOOKUP | {"limit": 5, "near_misses": 0}).encode().ljust(10_000) + b"\n"
    connection.request("POST", "/v1/fits/batch", line * 2000, NDJSON)
    answer = connection.getresponse()
    assert (answer.status, json.loads(answer.read().splitlines()[-1])["answered"]) == (200, 2000)


def test_a_client_that_reads_while_it_sends_has_each_result_at_once(connection):
    connection.putrequest("POST", "/v1/fits/batch", skip_accept_encoding=True)
    for name, value in NDJSON.items():
        connection.putheader(name, value)
    connection.putheader("Transfer-Encoding", "chunked")
    connection.endheaders()
    answer = None
    for number in range(1, 4):
        line = json.dumps({"id": number} | LOOKUP).encode() + b"\n"
        connection.send(b"%x\r\n%s\r\n" % (len(line), line))
        answer = answer or connection.getresponse()
        assert json.loads(answer.readline())["id"] == number
    connection.send(b"0\r\n\r\n")
    assert json.loads(answer.read())["count"] == 3


def test_a_client_that_asks_first_whether_to_send_is_told_to_go_on(port):
    # RFC 9110, 10.1.1: Expect: 100-continue is answered with 100 before the body is sent.
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE_S) as wire:
        wire.sendall(
            b"POST /v1/fits/batch HTTP/1.1\r\nHost: shop\r\nContent-Type: application/x-ndjson\r\n"
            b"Content-Length: 2\r\nExpect: 100-continue\r\nConnection: close\r\n\r\n"
        )
        first = wire.recv(1000)  # may hold the beginning of the answer as well
        wire.sendall(b"{}")
        answer = first + b"".join(iter(lambda: wire.recv(1000), b""))
    told, _, rest = answer.partition(b"\r\n\r\n")
    assert told.startswith(b"HTTP/1.1 100 ")
    assert rest.startswith(b"HTTP/1.1 200 ")
    assert b'"status":422' in rest


def test_a_connection_goes_on_after_a_batch_that_was_too_long(connection):
    connection.request("POST", "/v1/fits/batch", b"\n" * 200_000, NDJSON)
    *_, refused, end = connection.getresponse().read().splitlines()
    assert json.loads(refused)["status"] == 413
    assert json.loads(end)["refused"] == 1
    connection.request("GET", "/health/live")
    assert connection.getresponse().status == 200


def test_another_request_is_answered_during_a_batch(connection, port):
    lines = b"".join(
        json.dumps(LOOKUP | {"outside_width_mm": 30 + number / 1000}).encode() + b"\n" for number in range(60)
    )
    batch_over = threading.Event()

    def send_batch():
        with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)) as other:
            other.request("POST", "/v1/fits/batch", lines, NDJSON)
            other.getresponse().read()
            batch_over.set()

    sending = threading.Thread(target=send_batch)
    sending.start()
    answered = 0
    while not batch_over.is_set():
        connection.request("GET", "/health/live")
        answer = connection.getresponse()
        answer.read()
        answered += answer.status == 200
    sending.join()
    assert answered > 5
