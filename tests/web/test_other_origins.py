"""A page of any shop reads lookups, their headers and their errors (Fetch standard, CORS protocol)."""

import pytest
from starlette.exceptions import HTTPException

from service.app import create_app
from service.settings import Settings

ORIGIN = "https://shop.example"
LISTED = "https://till.example"
LOOKUP = "/v1/fits?outside_width_mm=36.4"
NEEDED = {"etag", "link", "ratelimit", "retry-after"}
"""What the issue wants a page to read."""
PATHS = create_app(Settings()).openapi()["paths"]
WRITES = [
    (method.upper(), path.replace("{sku}", "NEW-1").replace("{code}", "NEW-1"))
    for path, item in PATHS.items()
    for method, operation in item.items()
    if operation.get("security")
]


def names_in(answer, header):
    return {name.strip().lower() for name in answer.headers.get(header, "").split(",")} - {""}


def assert_readable(answer, origin="*"):
    assert answer.headers["access-control-allow-origin"] == origin
    assert names_in(answer, "access-control-expose-headers") >= NEEDED
    assert "access-control-allow-credentials" not in answer.headers


def preflight(client, method, path, *, origin=ORIGIN, headers=""):
    asked = {"Origin": origin, "Access-Control-Request-Method": method}
    if headers:
        asked["Access-Control-Request-Headers"] = headers
    return client.options(path, headers=asked)


def lets_follow(answer, method, *headers):
    """Whether a browser lets the request follow (Fetch standard, CORS-preflight fetch, 7)."""
    return (
        answer.status_code in range(200, 300)
        and "access-control-allow-origin" in answer.headers
        and (
            method in {"GET", "HEAD", "POST"}
            or method.lower() in names_in(answer, "access-control-allow-methods")
        )
        and {name.lower() for name in headers} <= names_in(answer, "access-control-allow-headers")
    )


@pytest.mark.parametrize("origin", [ORIGIN, "null", "http://localhost:3000", None])
@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", LOOKUP, 200),
        ("HEAD", LOOKUP, 200),
        ("GET", "/v1/snapshot", 200),
        ("GET", "/v1/fits", 422),
        ("POST", "/v1/fits", 415),
        ("GET", f"{LOOKUP}&cursor=junk", 400),
        ("GET", "/nothing", 404),
        ("GET", "/v1/axles/NOTHING", 404),
        ("DELETE", "/v1/fits", 405),
    ],
)
def test_a_page_of_any_origin_reads_answers_and_errors(client, method, path, status, origin):
    # Without an Origin too: a cache hands the answer to pages later (CORS protocol and HTTP caches).
    answer = client.request(method, path, headers={"Origin": origin} if origin else {})
    assert answer.status_code == status
    assert_readable(answer)
    assert "origin" not in names_in(answer, "vary")


def test_a_page_reads_304(client):
    tag = client.get(LOOKUP).headers["etag"]
    answer = client.get(LOOKUP, headers={"Origin": ORIGIN, "If-None-Match": tag})
    assert answer.status_code == 304
    assert_readable(answer)


def test_a_page_reads_that_the_service_is_not_ready(client_of, demonstration_copy):
    app = create_app(Settings(database_url=f"sqlite:///{demonstration_copy}"))
    answer = client_of(app).get(LOOKUP, headers={"Origin": ORIGIN})  # it has not been started
    assert (answer.status_code, answer.headers["retry-after"]) == (503, "1")
    assert_readable(answer)


@pytest.fixture
def broken_client(client_of):
    """A client of an application with routes that fail, as limits and faults make them."""
    app = create_app(Settings())

    @app.get("/limited")
    async def limited():
        raise HTTPException(429, headers={"Retry-After": "7", "RateLimit": '"default";r=0;t=7'})

    @app.get("/broken")
    async def broken():
        raise RuntimeError("broken")

    return client_of(app, raise_server_exceptions=False)


@pytest.mark.parametrize(("path", "status"), [("/limited", 429), ("/broken", 500)])
def test_a_page_reads_that_it_is_limited_and_that_the_service_has_a_fault(broken_client, path, status):
    # The framework answers an unexpected error outside of every middleware that is added to it.
    answer = broken_client.get(path, headers={"Origin": ORIGIN})
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.headers["cache-control"] == "no-store"
    assert_readable(answer)


@pytest.mark.parametrize(
    ("method", "path", "headers"),
    [
        ("POST", "/v1/fits", "content-type"),  # application/json is not safelisted (Fetch, 2.2.2)
        ("POST", "/v1/fits", "content-type, x-request-id, traceparent"),
        ("GET", "/v1/fits", "if-none-match"),
        ("HEAD", "/v1/axles/TW8-36-M8-BK", "if-none-match"),
        ("POST", "/nothing", "content-type"),  # so that the page reads 404
    ],
)
def test_a_page_of_any_origin_may_send_a_lookup(client, method, path, headers):
    answer = preflight(client, method, path, headers=headers)
    assert (answer.status_code, answer.content) == (204, b"")
    assert lets_follow(answer, method, *headers.split(", "))
    assert answer.headers["access-control-allow-origin"] == "*"
    assert int(answer.headers["access-control-max-age"]) >= 600
    assert "access-control-allow-credentials" not in answer.headers


@pytest.fixture
def listing_client(start_client, demonstration_copy):
    """A service whose settings list an origin that may write."""
    return start_client(demonstration_copy, cors_origins=f"{LISTED}, http://localhost:3000")


def test_there_are_writes_to_refuse():
    assert ("POST", "/v1/imports") in WRITES
    assert {method for method, _ in WRITES} == {"POST", "PUT", "PATCH", "DELETE"}


@pytest.mark.parametrize(("method", "path"), WRITES)
def test_a_write_is_for_pages_of_the_listed_origins_alone(listing_client, method, path):
    sent = ("authorization", "content-type", "if-match", "idempotency-key")
    listed = preflight(listing_client, method, path, origin=LISTED, headers=", ".join(sent))
    assert lets_follow(listed, method, *sent)
    assert listed.headers["access-control-allow-origin"] == LISTED
    for origin in (ORIGIN, "https://till.example.evil.example", "http://till.example", "null"):
        other = preflight(listing_client, method, path, origin=origin, headers="content-type")
        assert not lets_follow(other, method)
        answer = listing_client.request(method, path, headers={"Origin": origin})
        assert answer.status_code == 401
        assert "access-control-allow-origin" not in answer.headers
        assert "origin" in names_in(answer, "vary")


@pytest.mark.parametrize(("method", "path"), WRITES)
def test_without_the_setting_no_page_of_another_origin_writes(client, method, path):
    assert not lets_follow(preflight(client, method, path, origin=LISTED), method)


def test_a_page_of_a_listed_origin_reads_what_came_of_its_write(listing_client):
    answer = listing_client.put("/v1/axles/NEW-1", headers={"Origin": LISTED})
    assert answer.status_code == 401
    assert_readable(answer, LISTED)
    assert "origin" in names_in(answer, "vary")


def test_a_key_is_sent_from_pages_of_the_listed_origins_alone(listing_client):
    for origin, may in ((LISTED, True), (ORIGIN, False)):
        answer = preflight(listing_client, "GET", LOOKUP, origin=origin, headers="authorization")
        assert lets_follow(answer, "GET", "authorization") is may
        assert lets_follow(answer, "GET")
