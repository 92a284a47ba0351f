"""What is refused before a route sees it is a problem document too, over real HTTP."""

import http.client
import json
import socket

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.web.json_bodies import MOST_BYTES
from service.web.request_size import MOST_ADDRESS_BYTES, MOST_HEADER_BYTES

LOOKUP = b"/v1/fits?outside_width_mm=36.4"
JSON = b"Content-Type: application/json\r\n"


def request(method, path, headers=b"", body=b""):
    return method + b" " + path + b" HTTP/1.1\r\nHost: shop.example\r\n" + headers + b"\r\n" + body


def chunks(size, body_byte=b" "):
    """A body of this size in one chunk (RFC 9112, 7.1)."""
    return b"%x\r\n" % size + body_byte * size + b"\r\n0\r\n\r\n"


@pytest.mark.parametrize(
    "octets",
    [
        pytest.param(b"\x16\x03\x01\x02\x00\x01junk\r\n\r\n", id="another protocol"),
        pytest.param(b"GET /health/live HTTP/1.1\r\n\r\n", id="no Host, RFC 9112, 3.2"),
        pytest.param(request(b"GET", b"/\xff"), id="an address that is not ASCII"),
        pytest.param(request(b"GET", b"/ a"), id="an address with a space"),
        pytest.param(request(b"GET", b"/", b"X : a\r\n"), id="a space before a colon, RFC 9112, 5.1"),
        pytest.param(request(b"GET", b"/", b"X: a\x00b\r\n"), id="NUL in a header"),
        pytest.param(request(b"GET", b"/", b"Content-Length: -1\r\n"), id="a length below nothing"),
        pytest.param(
            request(b"GET", b"/", b"Content-Length: 1\r\nContent-Length: 2\r\n"),
            id="two lengths, RFC 9112, 6.3",
        ),
    ],
)
def test_what_is_no_request_of_http_is_a_problem(exchange, octets):
    answer = exchange(octets)
    assert (answer.status, answer.problem["type"]) == (400, "/problems/not-http")
    assert answer.headers["connection"] == "close"


def test_a_body_that_breaks_off_in_its_chunks_is_a_problem(exchange):
    answer = exchange(request(b"POST", b"/v1/fits", JSON + b"Transfer-Encoding: chunked\r\n", b"zz\r\n"))
    assert (answer.status, answer.problem["type"]) == (400, "/problems/not-http")


def test_the_service_goes_on_after_a_caller_who_went_away(served, exchange):
    # `exchange` reads an answer; here nobody does.
    for _ in range(3):
        with socket.create_connection(("127.0.0.1", served)) as gone:
            gone.sendall(request(b"POST", b"/v1/fits", JSON + b"Content-Length: 100\r\n", b'{"outside'))
    assert exchange(request(b"GET", LOOKUP)).status == 200


@pytest.mark.parametrize(("size", "status"), [(MOST_ADDRESS_BYTES, 422), (MOST_ADDRESS_BYTES + 1, 414)])
def test_an_address_is_as_long_as_allowed_and_not_longer(exchange, size, status):
    # The question mark is part of neither the path nor the query.
    padding = b"a" * (size - len(b"/v1/fits"))
    answer = exchange(request(b"GET", b"/v1/fits?" + padding))
    assert answer.status == answer.problem["status"] == status


@pytest.mark.parametrize(("more", "status"), [(0, 200), (1, 431)])
def test_headers_are_as_large_as_allowed_and_not_larger(exchange, more, status):
    host = len(b"Host: shop.example\r\n")
    padding = MOST_HEADER_BYTES - host - len(b"X: \r\n") + more
    answer = exchange(request(b"GET", LOOKUP, b"X: " + b"a" * padding + b"\r\n"))
    assert answer.status == status
    assert status == 200 or answer.problem["type"] == "/problems/headers-too-large"


@pytest.mark.parametrize(("count", "status"), [(99, 200), (100, 431)])
def test_headers_are_as_many_as_allowed_and_not_more(exchange, count, status):
    assert exchange(request(b"GET", LOOKUP, b"X: a\r\n" * count)).status == status  # and Host


@pytest.mark.parametrize("size", [70_000, 400_000])
def test_headers_without_measure_are_the_same_problem(exchange, size):
    # RFC 6585, 5. The server may stop reading on its own; that is a problem document too.
    answer = exchange(request(b"GET", LOOKUP, b"X: " + b"a" * size + b"\r\n"))
    assert (answer.status, answer.problem["type"]) == (431, "/problems/headers-too-large")


EACH = [
    pytest.param(b"GET", LOOKUP, id="GET"),
    pytest.param(b"GET", b"/health/live", id="GET of a path without fields"),
    pytest.param(b"GET", b"/nothing", id="GET of no path"),
    pytest.param(b"DELETE", b"/v1/axles/X", id="DELETE"),
    pytest.param(b"POST", b"/v1/fits", id="POST"),
]


@pytest.mark.parametrize(("method", "path"), EACH)
def test_a_body_that_is_announced_as_too_large_is_refused_before_it_is_sent(exchange, method, path):
    # RFC 9110, 10.1.1: a final answer in place of 100 (Continue).
    headers = JSON + b"Content-Length: %d\r\nExpect: 100-continue\r\n" % (MOST_BYTES + 1)
    answer = exchange(request(method, path, headers))
    assert answer.first == "HTTP/1.1 413"
    assert answer.problem["type"] == "/problems/body-too-large"
    (fault,) = answer.problem["errors"]
    assert (fault["pointer"], fault["found"]) == ("#", f"{MOST_BYTES + 1} bytes")


@pytest.mark.parametrize(("method", "path"), EACH)
def test_a_body_without_a_length_is_refused_when_it_has_become_too_large(exchange, method, path):
    headers = JSON + b"Transfer-Encoding: chunked\r\n"
    answer = exchange(request(method, path, headers, chunks(MOST_BYTES + 1)))
    assert (answer.status, answer.problem["type"]) == (413, "/problems/body-too-large")


@pytest.mark.parametrize(
    "headers", [b"Content-Length: %d\r\n" % MOST_BYTES, b"Transfer-Encoding: chunked\r\n"]
)
def test_a_body_that_a_get_has_for_nothing_does_no_harm(exchange, headers):
    body = b" " * MOST_BYTES if b"Length" in headers else chunks(MOST_BYTES)
    assert exchange(request(b"GET", LOOKUP, headers, body)).status == 200


def test_a_connection_is_used_again_after_a_refusal(exchange, served):
    connection = http.client.HTTPConnection("127.0.0.1", served, timeout=10)
    for path, status in (("/nothing", 404), ("/v1/fits", 422), (LOOKUP.decode(), 200)):
        connection.request("GET", path)
        answer = connection.getresponse()
        answer.read()
        assert answer.status == status
    connection.close()


def test_an_upgrade_is_not_taken_up(exchange):
    # RFC 9110, 7.8: a server may ignore Upgrade.
    answer = exchange(request(b"GET", LOOKUP, b"Connection: upgrade\r\nUpgrade: websocket\r\n"))
    assert answer.status == 200


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.binary(max_size=40)
    | st.builds(
        request,
        st.sampled_from([b"GET", b"POST", b"DELETE", b"BREW"]),
        st.text("/v1fits?%&=0aFe.é \x00", max_size=20).map(lambda text: b"/" + text.encode()),
        st.sampled_from([b"", JSON, b"If-Match: \xff\r\n", b"Accept-Language: \xe9\r\n"]),
    )
)
def test_whatever_bytes_come_are_answered_or_a_problem(exchange, octets):
    answer = exchange(octets + b"\r\n\r\n")
    assert answer.status < 500
    if answer.status >= 400:
        assert answer.problem["type"].startswith("/problems/")
    elif answer.headers["content-type"].startswith("text/html"):
        assert answer.body.startswith(b"<!DOCTYPE html>")  # the start page
    else:
        assert json.loads(answer.body)
