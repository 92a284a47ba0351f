"""API4 (OWASP API Security, 2023): what is asked for has a bound: bodies, pages, work at the same time."""

import http.client
import json
import socket
import time

import pytest

from service.app import create_app
from service.partners.keys import Scope, issue_key
from service.settings import Settings
from service.store.database import Database
from tests.running_service import listening_service
from tests.security.conftest import by_name, operations
from tests.security.test_properties import media_type_of

DOCUMENT = create_app(Settings()).openapi()
WITH_A_BODY = [operation for operation in operations() if media_type_of(operation)]
LINE = b'{"id":1,"outside_width_mm":36.4,"bore_mm":8}\n'
MOST_ON_A_PAGE = 1000


@pytest.mark.parametrize("operation", WITH_A_BODY, ids=by_name)
def test_a_body_that_is_said_to_be_huge_is_refused_before_it_is_read(guarded, issued, operation):
    headers = {
        "Authorization": issued["admin"], "If-Match": "*", "Content-Type": media_type_of(operation),
        "Content-Length": str(10**10),
    }  # fmt: skip
    query = "?table=axles" if operation.path == "/v1/imports" else ""
    answer = guarded.request(operation.method, operation.filled + query, content=b"x", headers=headers)
    assert answer.status_code == 413


def test_every_page_has_a_most():
    limits = [
        parameter["schema"]
        for methods in DOCUMENT["paths"].values()
        for described in methods.values()
        for parameter in described.get("parameters", [])
        if parameter.get("name") == "limit"
    ]
    assert len(limits) > 3
    assert all(1 <= limit["maximum"] <= MOST_ON_A_PAGE for limit in limits)


class Slow:
    """A request whose body is held back at half of it, so that it takes up a place."""

    def __init__(self, port, path, media_type, half, **headers):
        self._connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        self._half = half
        given = {"Content-Type": media_type, "Content-Length": str(2 * len(half)), "Expect": "100-continue"}
        self._connection.putrequest("POST", path)
        for name, value in (given | headers).items():
            self._connection.putheader(name, value)
        self._connection.endheaders()
        # RFC 9110, 10.1.1: the server says 100 when it wants the body, and has a place for it then.
        assert self._connection.sock.recv(12, socket.MSG_PEEK) == b"HTTP/1.1 100"
        self._connection.send(half)

    def end(self):
        """Send the rest; the status of the answer and its content."""
        self._connection.send(self._half)
        answer = self._connection.getresponse()
        content = answer.read()
        self._connection.close()
        return answer.status, content

    def go_away(self):
        self._connection.close()


def status_of(port, path, media_type, body, **headers):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request("POST", path, body, {"Content-Type": media_type} | headers)
    answer = connection.getresponse()
    answer.read()
    connection.close()
    return answer.status, answer.headers.get("Retry-After")


def wait_until(condition):
    deadline = time.monotonic() + 30
    while not condition():
        assert time.monotonic() < deadline
        time.sleep(0.05)


BATCH = ("/v1/fits/batch", "application/x-ndjson")


@pytest.fixture
def port(demonstration_copy):
    """A service that answers two batches and takes one import at the same time."""
    with listening_service(demonstration_copy, batches_at_once=2, imports_at_once=1) as port:
        yield port


def test_one_batch_too_many_is_told_to_come_again_and_the_others_are_answered_whole(port):
    slow = [Slow(port, *BATCH, LINE * 3) for _ in range(2)]
    status, retry_after = status_of(port, *BATCH, LINE)
    assert (status, int(retry_after) > 0) == (503, True)
    for one in slow:
        status, content = one.end()
        assert (status, json.loads(content.splitlines()[-1])["count"]) == (200, 6)
    wait_until(lambda: status_of(port, *BATCH, LINE)[0] == 200)


def test_a_batch_whose_caller_goes_away_gives_its_place_back(port):
    for one in [Slow(port, *BATCH, LINE) for _ in range(2)]:
        one.go_away()
    wait_until(lambda: [status_of(port, *BATCH, LINE)[0] for _ in range(3)] == [200] * 3)


def test_one_import_too_many_is_told_to_come_again(port, demonstration_copy):
    database = Database(f"sqlite:///{demonstration_copy}")
    pepper = Settings().key_pepper.get_secret_value()
    key = issue_key(database, name="Till", scopes=frozenset({Scope.CATALOGUE}), pepper=pepper)
    database.close()
    given = {"Authorization": f"Bearer {key}"}
    path, media_type = "/v1/imports?table=axles", "text/csv"
    file = b"sku,name,fastening\nR-1,One,two_piece\n"
    slow = Slow(port, path, media_type, b"\n" * 10, **given)
    assert status_of(port, path, media_type, file, **given)[0] == 503
    # Who has no key finds that out first, and never takes up a place.
    assert status_of(port, path, media_type, file)[0] == 401
    assert slow.end()[0] == 422  # an empty file has no header
    wait_until(lambda: status_of(port, path, media_type, file, **given)[0] == 200)
