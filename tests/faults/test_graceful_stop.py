"""A service that is told to stop finishes what it has, refuses new work, and ends in time; real processes."""

import hashlib
import http.client
import json
import os
import signal
import socket
import sqlite3
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager, suppress

import psycopg
import pytest

from service.partners.keys import Scope, issue_key
from service.settings import Settings
from service.store.database import Database
from tests.faults.workers import Worker

LOOKUP = b'{"outside_width_mm":36.4,"bore_mm":8}'
LINE = b'{"id":1,"outside_width_mm":36.4,"bore_mm":8}\n'
WITHIN_S = 10.0
"""The whole time of a stop [s], on a busy machine too; what is never finished would take longer."""
MANY = "sku,name,fastening\n" + "".join(f"M-{number},One,two_piece\n" for number in range(20_000))


@pytest.fixture
def serve():
    """Starts services; each is ended in the end, whatever a test has done to it."""
    started = []

    def start(url, **settings):
        started.append(Worker(url, settings))
        return started[-1]

    yield start
    for served in started:
        served.end()


@pytest.fixture
def url(sqlite):
    return sqlite.demonstration()


def send(served, method, path, body=None, **headers):
    """The status of an answer, and its headers."""
    connection = http.client.HTTPConnection("127.0.0.1", served.port, timeout=60)
    given = {name.replace("_", "-"): value for name, value in headers.items()}
    with closing(connection):
        connection.request(method, path, body, given)
        answer = connection.getresponse()
        answer.read()
        return answer.status, answer.headers


@contextmanager
def half_sent(served, path, media_type, first, *, more):
    """A request whose body is only begun; `more` bytes are said to follow."""
    head = f"POST {path} HTTP/1.1\r\nHost: shop\r\nContent-Type: {media_type}\r\n"
    with socket.create_connection(("127.0.0.1", served.port), timeout=60) as connection:
        length = len(first) + more
        connection.sendall(f"{head}Content-Length: {length}\r\n\r\n".encode() + first)
        time.sleep(0.3)  # until it has been taken up
        yield connection


def answer_on(connection):
    answer = http.client.HTTPResponse(connection)
    answer.begin()
    return answer, answer.read()


def is_listening(served):
    with suppress(OSError), socket.create_connection(("127.0.0.1", served.port), timeout=5):
        return True
    return False


def wait_until(condition):
    deadline = time.monotonic() + 30
    while not condition():
        assert time.monotonic() < deadline
        time.sleep(0.02)


def key_of(url):
    database = Database(url)
    pepper = Settings().key_pepper.get_secret_value()
    key = issue_key(database, name="Till", scopes=frozenset({Scope.CATALOGUE}), pepper=pepper)
    database.close()
    return key


def many_in(served):
    return send(served, "GET", "/v1/axles/M-0")[0], send(served, "GET", "/v1/axles/M-19999")[0]


def load_many(served, key):
    headers = {"Authorization": f"Bearer {key}", "Content_Type": "text/csv"}
    return send(served, "POST", "/v1/imports?table=axles", MANY.encode(), **headers)[0]


def test_at_rest_it_ends_at_once(serve, url):
    served = serve(url)
    served.tell_to_stop()
    assert served.seconds_until_end() < WITHIN_S


def test_before_it_ends_to_listen_it_is_not_ready_but_answers_and_closes_each_connection(serve, url):
    served = serve(url, stop_pause_seconds=3)
    waiting = http.client.HTTPConnection("127.0.0.1", served.port, timeout=60)
    waiting.connect()  # as a balancer keeps one
    begin = time.monotonic()
    served.tell_to_stop()
    wait_until(lambda: send(served, "GET", "/health/ready")[0] == 503)
    status, headers = send(served, "GET", "/health/ready")
    # RFC 9110, 10.2.3: whole seconds.
    assert (status, int(headers["Retry-After"]) > 0) == (503, True)
    assert send(served, "GET", "/health/live")[0] == 200
    wait_until(lambda: send(served, "GET", "/v1/axles?limit=1")[1]["Connection"] == "close")
    waiting.request("GET", "/v1/axles?limit=1")
    answer = waiting.getresponse()
    # RFC 9112, 9.6: who sends the option close ends the connection after this answer.
    assert (answer.status, answer.headers["Connection"]) == (200, "close")
    answer.read()
    wait_until(lambda: not is_listening(served))
    assert time.monotonic() - begin > 3
    served.seconds_until_end()


def test_a_request_that_is_half_sent_is_answered_when_the_rest_comes_and_no_new_one_is(serve, url):
    served = serve(url)
    with half_sent(served, "/v1/fits", "application/json", LOOKUP[:10], more=len(LOOKUP) - 10) as slow:
        served.tell_to_stop()
        wait_until(lambda: not is_listening(served))
        slow.sendall(LOOKUP[10:])
        answer, _ = answer_on(slow)
        assert answer.status == 200
        assert slow.recv(1) == b""  # and that was the last answer on this connection
    assert served.seconds_until_end() < WITHIN_S


def test_a_batch_that_is_under_way_is_answered_to_its_last_line(serve, url):
    served = serve(url)
    with half_sent(served, "/v1/fits/batch", "application/x-ndjson", LINE * 20, more=len(LINE) * 20) as batch:
        served.tell_to_stop()
        wait_until(lambda: not is_listening(served))
        batch.sendall(LINE * 20)
        answer, body = answer_on(batch)
    lines = body.splitlines(keepends=True)
    end = json.loads(lines[-1])
    assert (answer.status, end["count"]) == (200, 40)
    assert end["sha256"] == hashlib.sha256(b"".join(lines[:-1])).hexdigest()
    assert served.seconds_until_end() < WITHIN_S


@pytest.mark.parametrize(
    ("path", "media_type", "first"),
    [
        ("/v1/fits", "application/json", LOOKUP[:10]),
        ("/v1/fits/batch", "application/x-ndjson", LINE * 20),
    ],
)
def test_who_never_sends_the_rest_does_not_hold_it_up(serve, url, path, media_type, first):
    served = serve(url, stop_seconds=3)
    with half_sent(served, path, media_type, first, more=1):
        served.tell_to_stop()
        assert served.seconds_until_end() < WITHIN_S


def test_who_reads_no_answer_does_not_hold_it_up(serve, url):
    served = serve(url, stop_seconds=3)
    with half_sent(served, "/v1/fits/batch", "application/x-ndjson", LINE * 20_000, more=0):
        served.tell_to_stop()
        assert served.seconds_until_end() < WITHIN_S


def test_an_import_that_is_under_way_is_finished(serve, engine):
    url = engine.demonstration()
    served, key = serve(url, stop_seconds=60), key_of(url)
    with ThreadPoolExecutor(1) as beside:
        importing = beside.submit(load_many, served, key)
        time.sleep(0.3)
        served.tell_to_stop()
        assert importing.result() == 200
    served.seconds_until_end()
    assert many_in(serve(url)) == (200, 200)


def test_an_import_for_which_there_is_no_time_is_taken_back_whole(serve, engine):
    url = engine.demonstration()
    served, key = serve(url, stop_seconds=0.5), key_of(url)
    with ThreadPoolExecutor(1) as beside, held_back(url):
        importing = beside.submit(load_many, served, key)
        time.sleep(1)
        served.tell_to_stop()
        assert served.seconds_until_end() < WITHIN_S
        assert importing.result() == 503
    assert many_in(serve(url)) == (404, 404)


@contextmanager
def held_back(url):
    """Another writer, who does not come to an end."""
    if url.startswith("sqlite"):
        other = sqlite3.connect(url.removeprefix("sqlite:///"), isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
    else:
        other = psycopg.connect(url, autocommit=True)
        other.execute("SELECT pg_advisory_lock(hashtext('axlefit_writer'))")
    try:
        yield
    finally:
        other.close()


@contextmanager
def hung(url):
    """The server's processes for this database stand still: the connections last, and nothing answers."""
    with psycopg.connect(url, autocommit=True) as connection:
        found = connection.execute(
            "SELECT pid FROM pg_stat_activity WHERE datname = current_database()"
            " AND backend_type = 'client backend' AND pid <> pg_backend_pid()"
        ).fetchall()
    for (pid,) in found:
        os.kill(pid, signal.SIGSTOP)
    try:
        yield
    finally:
        for (pid,) in found:
            os.kill(pid, signal.SIGCONT)


def test_a_database_that_hangs_does_not_hold_it_up(serve, postgresql):
    url = postgresql.demonstration()
    served, key = serve(url, stop_seconds=3), key_of(url)
    write = {"Authorization": f"Bearer {key}", "If_None_Match": "*", "Content_Type": "application/json"}
    new = b'{"name":"One","fastening":"two_piece"}'
    assert send(served, "PUT", "/v1/axles/H-1", new, **write)[0] == 201
    with ThreadPoolExecutor(1) as beside, hung(url):
        writing = beside.submit(send, served, "PUT", "/v1/axles/H-2", new, **write)
        time.sleep(0.5)
        served.tell_to_stop()
        assert served.seconds_until_end() < WITHIN_S
        assert writing.result()[0] == 503
