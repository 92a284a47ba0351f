"""Limits over HTTP: the headers, the refusal, what is not counted, and lookups without a database."""

import re
import sqlite3
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing

import pytest
from starlette.requests import Request
from starlette.responses import Response
from starlette.testclient import TestClient

from service.partners.keys import Scope, issue_key
from service.partners.limits import Limits
from service.settings import Settings
from service.web.limiting import Limiting

PATH = "/v1/axles?limit=1"
# draft-ietf-httpapi-ratelimit-headers-11: both fields are lists of strings with parameters (RFC 9651).
POLICY = re.compile(r'"(key|address)";q=(\d+);w=60')
LEFT = re.compile(r'"(key|address)";r=(\d+);t=(\d+)')


def left(answer):
    return int(LEFT.fullmatch(answer.headers["ratelimit"])[2])


@pytest.fixture
def limited(start_client, demonstration_copy):
    """A client of a service with a limit."""
    return lambda limit, **settings: start_client(demonstration_copy, limit_per_minute=limit, **settings)


def test_every_counted_answer_says_the_policy_and_what_is_left(limited):
    client = limited(3)
    for path, remaining in [(PATH, 2), ("/v1/axles/NO", 1), ("/v1/fits?unknown=1", 0)]:
        answer = client.get(path)
        assert POLICY.fullmatch(answer.headers["ratelimit-policy"]).groups() == ("address", "3")
        assert left(answer) == remaining


def test_a_request_over_the_limit_is_refused_with_a_problem_that_says_when_to_go_on(limited, problem_in):
    client = limited(1)
    assert client.get(PATH).status_code == 200
    refused = client.get(PATH)
    problem = problem_in(refused)
    assert refused.status_code == 429
    assert problem["type"] == "/problems/quota-exceeded"
    # RFC 9110, 10.2.3: seconds; and RateLimit must not promise anything sooner.
    assert 1 <= int(refused.headers["retry-after"]) <= 60
    assert refused.headers["retry-after"] == LEFT.fullmatch(refused.headers["ratelimit"])[3]
    assert left(refused) == 0
    assert refused.headers["cache-control"] == "no-store"  # RFC 6585, 4
    assert refused.headers["x-request-id"]


def test_a_write_over_the_limit_is_not_done(limited, demonstration):
    key = issue_key(
        demonstration,
        name="Till",
        scopes=frozenset({Scope.CATALOGUE}),
        pepper=Settings().key_pepper.get_secret_value(),
    )
    client = limited(5, key_limit_per_minute=1)
    headers = {"Authorization": f"Bearer {key}", "If-Match": "*"}
    first = client.delete("/v1/axles/TW8-36-M8-BK", headers=headers)
    assert first.status_code == 204
    assert POLICY.fullmatch(first.headers["ratelimit-policy"]).groups() == ("key", "1")
    assert client.delete("/v1/axles/TW8-36-M8-HX6", headers=headers).status_code == 429
    assert client.get("/v1/axles/TW8-36-M8-HX6").status_code == 200
    assert client.get(PATH).status_code == 200  # the address is not the key


@pytest.mark.parametrize(
    "path", ["/health/live", "/health/ready", "/metrics", "/openapi.json", "/problems/cursor"]
)
def test_what_is_not_under_v1_is_not_counted(limited, path):
    client = limited(1)
    for _ in range(3):
        answer = client.get(path)
        assert answer.status_code in {200, 404}
        assert "ratelimit" not in answer.headers
    assert left(client.get(PATH)) == 0


def test_a_preflight_is_not_counted(limited):
    client = limited(1)
    headers = {"Origin": "https://shop.invalid", "Access-Control-Request-Method": "GET"}
    for _ in range(3):
        assert client.options(PATH, headers=headers).status_code != 429
    assert left(client.get(PATH)) == 0


def test_without_limits_nothing_is_counted_and_no_header_is_sent(client):
    answer = client.get(PATH)
    assert "ratelimit" not in answer.headers
    assert "ratelimit-policy" not in answer.headers


def test_an_address_that_a_proxy_tells_is_believed_only_where_the_server_has_put_it(limited):
    # The server puts it into the scope if the proxy is trusted; the header itself says nothing here.
    client = limited(1)
    assert client.get(PATH, headers={"X-Forwarded-For": "192.0.2.1"}).status_code == 200
    assert client.get(PATH, headers={"X-Forwarded-For": "192.0.2.2"}).status_code == 429


def test_lookups_go_on_without_limits_while_the_database_is_away(limited, demonstration_copy):
    client = limited(1)
    assert client.get(PATH).status_code == 200
    demonstration_copy.rename(demonstration_copy.with_name("away.sqlite3"))
    for _ in range(3):
        answer = client.get(PATH)
        assert answer.status_code == 200
        assert "ratelimit" not in answer.headers


def test_lookups_go_on_even_if_the_count_meets_an_error_that_nobody_expected(limited, demonstration):
    client = limited(1)
    with demonstration.engine.begin() as connection:
        connection.exec_driver_sql("DROP TABLE request_count")
    assert [client.get(PATH).status_code for _ in range(3)] == [200] * 3


def test_a_database_that_hangs_holds_up_no_lookup_for_long_and_nothing_else_at_all(
    limited, demonstration_copy
):
    client = limited(1)
    with closing(sqlite3.connect(demonstration_copy, isolation_level=None)) as hanging:
        hanging.execute("BEGIN EXCLUSIVE")  # nobody reads or writes
        with ThreadPoolExecutor(1) as thread:
            begin = time.monotonic()
            held_up = thread.submit(client.get, PATH)
            assert client.get("/health/live").status_code == 200
            assert time.monotonic() - begin < 0.9  # the loop goes on while the count waits
            assert held_up.result().status_code == 200
        assert 0.9 < time.monotonic() - begin < 5
        begin = time.monotonic()
        assert client.get(PATH).status_code == 200
        assert time.monotonic() - begin < 0.9  # the next one does not wait at all


ETAG = '"current"'


@pytest.fixture
def cached(demonstration):
    """A client of a path that answers 304 if the entity tag is the current one, with a limit of two."""
    worked = []

    async def path(scope, receive, send):
        request = Request(scope, receive)
        same = request.headers.get("if-none-match") == ETAG
        worked.append(scope["method"])
        answer = Response(status_code=304) if same else Response("whole " * 1000, headers={"ETag": ETAG})
        await answer(scope, receive, send)

    async def refusal(_request, error):
        return Response(error.detail, status_code=error.status)

    limits = Limits(demonstration, Settings(limit_per_minute=2))
    client = TestClient(Limiting(path, limits=limits, refusal=refusal))
    client.worked = worked
    return client


CURRENT, STALE = {"If-None-Match": ETAG}, {"If-None-Match": '"old"'}


def test_an_answer_that_is_not_modified_is_free(cached):
    for _ in range(5):
        answer = cached.get("/v1/path", headers=CURRENT)
        assert answer.status_code == 304
        assert "ratelimit" not in answer.headers
    assert [left(cached.get("/v1/path")) for _ in range(2)] == [1, 0]


def test_an_answer_that_is_not_modified_is_free_when_nothing_is_left(cached):
    assert [cached.get("/v1/path").status_code for _ in range(3)] == [200, 200, 429]
    assert cached.get("/v1/path", headers=CURRENT).status_code == 304


@pytest.mark.parametrize("method", ["GET", "HEAD"])
def test_a_conditional_request_whose_answer_is_whole_is_counted_like_any_other(cached, method):
    answers = [cached.request(method, "/v1/path", headers=STALE) for _ in range(3)]
    assert [answer.status_code for answer in answers] == [200, 200, 429]
    assert [left(answer) for answer in answers] == [1, 0, 0]
    assert answers[2].headers["retry-after"]
    assert "whole" not in answers[2].text


def test_a_request_that_cannot_be_304_is_refused_before_any_work(cached):
    for _ in range(2):
        cached.get("/v1/path")
    del cached.worked[:]
    assert cached.get("/v1/path").status_code == 429
    assert cached.post("/v1/path", headers=CURRENT).status_code == 429
    assert cached.worked == []
