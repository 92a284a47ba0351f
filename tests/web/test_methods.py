"""HEAD wherever there is GET, OPTIONS everywhere, and an Allow that names all methods of a path."""

import asyncio
import http.client
import threading
import time

import pytest
import uvicorn

from service.app import create_app
from service.settings import Settings

LOOKUP = "/v1/fits?outside_width_mm=36.4"
OPERATIONS = create_app(Settings()).openapi()["paths"]
METHODS = {"get", "put", "post", "delete", "options", "head", "patch", "trace"}  # OpenAPI 3.1, 4.8.9.1
PATHS = {
    path.replace("{sku}", "TW8-36-M8-BK").replace("{code}", "QH-HEATHER"): set(item) & METHODS
    for path, item in OPERATIONS.items()
}
PATHS["/v1/axles/identify"] |= PATHS["/v1/axles/TW8-36-M8-BK"]  # an axle may have this for its SKU
QUERIES = {"/v1/fits": LOOKUP, "/v1/changes": "/v1/changes?since=0"}
READABLE = sorted(QUERIES.get(path, path) for path, methods in PATHS.items() if "get" in methods)
READABLE = [path for path in READABLE if not path.startswith("/v1/sleeves/")] + ["/openapi.json"]


def methods_in(answer):
    return [method.strip() for method in answer.headers["allow"].split(",")]


def expected_methods(described):
    """What Allow has to name (RFC 9110, 10.2.1): HEAD goes with GET, OPTIONS with all."""
    return {m.upper() for m in described} | ({"HEAD"} if "get" in described else set()) | {"OPTIONS"}


@pytest.mark.parametrize("path", [*READABLE, "/nothing", "/v1/axles/NOTHING", "/v1/fits", "/v1/imports"])
def test_head_has_the_status_and_headers_of_get_and_no_content(client, path):
    # RFC 9110, 9.3.2
    sent = {"X-Request-Id": "one-of-two"}
    got, head = client.get(path, headers=sent), client.head(path, headers=sent)
    assert head.status_code == got.status_code
    if path == "/metrics":  # which count the first request when the second comes
        del head.headers["content-length"], got.headers["content-length"]
    assert without_trace(head.headers) == without_trace(got.headers)
    assert head.content == b""
    assert got.content
    if path not in {"/v1/snapshot", "/metrics"}:  # the first is sent as it is made, without a length
        assert int(head.headers["content-length"]) == len(got.content)


def without_trace(headers):
    return {name: value for name, value in headers.items() if name != "traceparent"}


@pytest.mark.parametrize("path", ["/v1/axles", "/v1/snapshot", "/nothing"])
def test_head_sends_no_content_to_a_server_that_would_pass_it_on(client, path):
    # RFC 9110, 9.3.2: client and server of the other tests leave content out by themselves.
    sent = []

    async def receive():
        await asyncio.sleep(3600)

    async def send(message):
        sent.append(message)

    scope = {
        "type": "http", "asgi": {"spec_version": "2.4"}, "method": "HEAD", "path": path, "query_string": b"",
        "headers": [],
    }  # fmt: skip
    asyncio.run(client.app(scope, receive, send))
    assert [message["type"] for message in sent[:1]] == ["http.response.start"]
    assert sent[1:]
    assert b"".join(message.get("body", b"") for message in sent[1:]) == b""
    assert scope["method"] == "HEAD"


def test_there_are_paths_to_ask_with_head():
    assert len(READABLE) >= 10


def test_head_with_the_current_entity_tag_is_304(client):
    tag = client.head(LOOKUP).headers["etag"]
    assert client.head(LOOKUP, headers={"If-None-Match": tag}).status_code == 304


def test_head_of_the_snapshot_does_not_make_its_lines(client, monkeypatch):
    taken = []
    monkeypatch.setattr("service.web.answers._LINES", 1)
    monkeypatch.setattr("service.web.routes.snapshot_lines", lambda _: map(taken.append, range(10**6)))
    assert client.head("/v1/snapshot").status_code == 200
    assert taken == []


@pytest.mark.parametrize(("path", "described"), PATHS.items(), ids=PATHS)
def test_options_tells_the_methods_of_a_path(client, path, described):
    # RFC 9110, 9.3.7; the description of the API says what there is.
    answer = client.options(path)
    assert (answer.status_code, answer.content) == (204, b"")
    assert sorted(methods_in(answer)) == sorted(expected_methods(described))


@pytest.mark.parametrize(("path", "described"), PATHS.items(), ids=PATHS)
def test_a_method_that_is_not_allowed_is_told_all_that_are(client, path, described):
    # RFC 9110, 15.5.6
    for method in {"POST", "PUT", "PATCH", "DELETE", "TRACE", "SOMETHING"} - expected_methods(described):
        answer = client.request(method, path)
        assert answer.status_code == 405
        assert answer.headers["content-type"] == "application/problem+json"
        assert sorted(methods_in(answer)) == sorted(expected_methods(described))


def test_options_of_a_path_that_is_not_there_is_not_found(client, problem_in):
    answer = client.options("/nothing")
    assert problem_in(answer)["status"] == 404
    assert "allow" not in answer.headers


def test_the_description_of_the_api_has_neither_head_nor_options():
    assert not {method for methods in PATHS.values() for method in methods} & {"head", "options"}


@pytest.fixture
def connection(demonstration_copy):
    """A connection to the real server, kept open from one request to the next."""
    app = create_app(Settings(database_url=f"sqlite:///{demonstration_copy}", refresh_seconds=60))
    server = uvicorn.Server(uvicorn.Config(app, port=0, log_level="error", access_log=False))
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        deadline = time.monotonic() + 30
        while not server.started and time.monotonic() < deadline:
            time.sleep(0.01)
        port = server.servers[0].sockets[0].getsockname()[1]
        opened = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        yield opened
        opened.close()
    finally:
        server.should_exit = True
        thread.join(30)


def test_on_the_wire_head_is_followed_by_the_next_answer_and_by_no_content(connection):
    # RFC 9112, 6.3: an answer to HEAD ends with its headers; anything after would spoil the next.
    def asked(method, path):
        connection.request(method, path)
        answer = connection.getresponse()
        return answer.status, answer.headers, answer.read()

    for path in (LOOKUP, "/v1/snapshot", "/nothing"):
        got, head = asked("GET", path), asked("HEAD", path)
        assert (head[0], head[2]) == (got[0], b"")
        assert head[1]["content-length"] == got[1]["content-length"]
        assert head[1]["etag"] == got[1]["etag"]
    status, _, content = asked("GET", "/health/live")
    assert (status, content[:10]) == (200, b'{"status":')
