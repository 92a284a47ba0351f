"""API8 (OWASP API Security, 2023): what every answer says to a browser, and what none gives away."""

import http.client
import re

import pytest

from tests.both_engines import with_demonstration
from tests.faults.workers import worker
from tests.security.conftest import by_name, operations

READS = [operation for operation in operations() if operation.method == "GET"]
STRANGER = "https://stranger.example"


@pytest.fixture(scope="module")
def port(tmp_path_factory):
    """The service in a process of its own, as the command starts it."""
    url = with_demonstration_file(tmp_path_factory)
    with worker(url) as port:
        yield port


def with_demonstration_file(tmp_path_factory):
    from service.store.database import Database  # noqa: PLC0415 (made here alone)

    url = f"sqlite:///{tmp_path_factory.mktemp('configuration') / 'shop.sqlite3'}"
    Database(url, create=True).close()
    return with_demonstration(url)


def answer_to(port, method, path, **headers):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request(method, path, None, {n.replace("_", "-"): v for n, v in headers.items()})
    answer = connection.getresponse()
    content = answer.read().decode(errors="replace")
    connection.close()
    return answer, content


@pytest.mark.parametrize("operation", operations(), ids=by_name)
def test_no_answer_is_guessed_at_or_says_who_serves(port, operation):
    answer, content = answer_to(port, operation.method, operation.filled)
    # Fetch standard, 3.6: nosniff.
    assert answer.headers["X-Content-Type-Options"].split(",")[0].strip() == "nosniff"
    assert answer.headers["Server"] is None
    assert answer.headers["X-Powered-By"] is None
    assert not re.search(r"Traceback|uvicorn|starlette|sqlalchemy|/site-packages/", content, re.IGNORECASE)


@pytest.mark.parametrize("operation", READS, ids=by_name)
def test_a_page_runs_nothing_but_its_own(guarded, operation):
    answer = guarded.get(operation.filled)
    if "html" not in answer.headers.get("content-type", ""):
        return
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy  # CSP level 3, 6.1.3
    assert "unsafe-inline" not in policy
    assert "unsafe-eval" not in policy
    assert "*" not in policy


@pytest.mark.parametrize("operation", operations(), ids=by_name)
def test_a_stranger_s_page_may_read_what_needs_no_key_and_nothing_else(guarded, operation):
    answer = guarded.request(operation.method, operation.filled, headers={"Origin": STRANGER})
    allowed = answer.headers.get("Access-Control-Allow-Origin")
    assert allowed == (None if answer.status_code == 401 else "*")
    assert "Access-Control-Allow-Credentials" not in answer.headers


def test_a_request_that_is_none_is_refused_without_a_banner_too(port):
    answer, content = answer_to(port, "GET", "/%", Host="shop", Transfer_Encoding="gzip")
    assert 400 <= answer.status < 500
    assert answer.headers["Server"] is None
    assert "uvicorn" not in content


@pytest.mark.parametrize("method", ["TRACE", "CONNECT", "DEBUG"])
def test_a_method_that_shows_or_forwards_a_request_is_not_there(guarded, method):
    assert guarded.request(method, "/v1/fits").status_code == 405


def test_the_host_that_a_caller_names_is_nowhere_in_an_answer(guarded):
    for operation in READS:
        answer = guarded.get(operation.filled, headers={"Host": "evil.example"})
        assert "evil.example" not in answer.text + str(answer.headers)
