"""Where one message ends and the next begins, over real HTTP: nothing is read as what it is not."""

import http.client
import re
import socket
from contextlib import suppress

import pytest

LOOKUP = b"/v1/fits?outside_width_mm=36.4"
JSON = b"Content-Type: application/json\r\n"
BODY = b'{"outside_width_mm": 36.4}'
HIDDEN = b"GET /hidden HTTP/1.1\r\nHost: shop.example\r\n\r\n"


def request(method, path, headers=b"", body=b"", version=b"1.1"):
    return (
        method + b" " + path + b" HTTP/" + version + b"\r\nHost: shop.example\r\n" + headers + b"\r\n" + body
    )


STATUS = re.compile(rb"HTTP/1\.1 (\d{3}) ")


@pytest.fixture
def statuses(served):
    """Sends pieces, one after the other; the statuses of so many answers, and of any after them."""

    def send(*pieces, count):
        with socket.create_connection(("127.0.0.1", served), timeout=10) as connection:
            connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            for piece in pieces:
                connection.sendall(piece)
            read, more = b"", b" "
            while more and len(STATUS.findall(read)) < count:
                more = connection.recv(65536)
                read += more
            connection.settimeout(0.2)
            with suppress(TimeoutError):
                while more := connection.recv(65536):
                    read += more
        return [int(status) for status in STATUS.findall(read)]

    return send


@pytest.mark.parametrize(
    "headers",
    [
        pytest.param(b"Content-Length: 5\r\nTransfer-Encoding: chunked\r\n", id="a length and chunks"),
        pytest.param(b"Transfer-Encoding: chunked\r\nContent-Length: 5\r\n", id="chunks and a length"),
        pytest.param(b"Transfer-Encoding: chunked\r\nTransfer-Encoding: identity\r\n", id="two codings"),
        pytest.param(b"Transfer-Encoding: gzip, chunked\r\n", id="a coding that nobody undoes"),
        pytest.param(b"Transfer-Encoding: chunked, gzip\r\n", id="chunks within a coding"),
        pytest.param(b"Transfer-Encoding: \x0bchunked\r\n", id="a control character"),
        pytest.param(b"Transfer-Encoding : chunked\r\n", id="a space before the colon"),
        pytest.param(b"Content-Length: +5\r\n", id="a length with a sign"),
        pytest.param(b"Content-Length: 5, 5\r\n", id="a list of lengths"),
        pytest.param(b"Content-Length: 5\r\nContent-Length: 5\r\n", id="the same length twice"),
    ],
)
def test_a_body_whose_end_could_be_read_in_two_ways_is_refused(exchange, headers):
    # RFC 9112, 6.1 and 6.3; 11.2 (request smuggling).
    answer = exchange(request(b"POST", b"/v1/fits", JSON + headers, b"0\r\n\r\n" + HIDDEN))
    assert (answer.status, answer.problem["type"]) == (400, "/problems/not-http")
    assert answer.headers["connection"] == "close"


@pytest.mark.parametrize(
    ("octets", "why"),
    [
        (b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", "two hosts, RFC 9112, 3.2"),
        (b"GET / HTTP/1.0\r\nHost: a\r\nHost: a\r\n\r\n", "two hosts"),
        (b"GET / HTTP/2.0\r\nHost: a\r\n\r\n", "another version"),
        (b"GET / HTTP/0.9\r\nHost: a\r\n\r\n", "another version"),
        (
            b"POST / HTTP/1.0\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
            "chunks of HTTP/1.0, RFC 9112, 6.1",
        ),
        (b"GET / HTTP/1.1\nHost: a\n\n", "lines without a carriage return"),
        (b"GET / HTTP/1.1\r\nHost: a\r\nX: b\r\n c\r\n\r\n", "a folded header, RFC 9112, 5.2"),
        (b"CONNECT shop.example:80 HTTP/1.1\r\nHost: a\r\n\r\n", "a method of proxies"),
        (b"\r\n\r\n\r\n", "empty lines, and nothing that follows"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_the_parser_lets_through_and_http_does_not_is_refused(exchange, octets, why):
    answer = exchange(octets)
    assert (answer.status, answer.problem["type"]) == (400, "/problems/not-http"), why


def test_one_empty_line_before_a_request_is_no_harm(exchange):  # RFC 9112, 2.2
    assert exchange(b"\r\n" + request(b"GET", LOOKUP)).status == 200


def test_http_1_0_needs_no_host(exchange):
    assert exchange(b"GET " + LOOKUP + b" HTTP/1.0\r\n\r\n").status == 200


@pytest.mark.parametrize("path", [b"*", b"//a/b", b"http://other.example"])
def test_an_address_of_another_form_is_answered(exchange, path):
    method = b"OPTIONS" if path == b"*" else b"GET"
    assert exchange(request(method, path)).status in {400, 404}


def test_an_absolute_address_is_that_of_its_path(exchange):  # RFC 9112, 3.2.2
    assert exchange(request(b"GET", b"http://shop.example" + LOOKUP)).status == 200


def test_spaces_around_a_header_are_none_of_its_value(exchange):  # RFC 9112, 5.1
    answer = exchange(request(b"GET", LOOKUP, b"X-Request-Id: \t order-7 \t\r\n"))
    assert answer.headers["x-request-id"] == "order-7"


def test_a_header_after_the_body_is_not_one_of_the_request(exchange):  # RFC 9112, 7.1.2
    chunked = b"%x\r\n%b\r\n0\r\nX-Request-Id: order-7\r\n\r\n" % (len(BODY), BODY)
    answer = exchange(request(b"POST", b"/v1/fits", JSON + b"Transfer-Encoding: chunked\r\n", chunked))
    assert answer.status == 200
    assert answer.headers["x-request-id"] != "order-7"


@pytest.mark.parametrize("wish", [b"websocket", b"h2c"])
def test_the_body_of_a_request_that_asks_for_an_upgrade_is_its_body(statuses, wish):
    # Else a body would be read as the next request.
    headers = JSON + b"Connection: Upgrade\r\nUpgrade: %b\r\nContent-Length: %d\r\n"
    asked = request(b"POST", b"/v1/fits", headers % (wish, len(BODY)), BODY)
    assert statuses(asked + request(b"GET", LOOKUP), count=2) == [200, 200]
    hidden = request(b"POST", b"/v1/fits", headers % (wish, len(HIDDEN)), HIDDEN)
    assert statuses(hidden + request(b"GET", LOOKUP), count=2) == [400, 200]


def test_a_request_that_asks_for_an_upgrade_can_come_in_pieces(statuses):
    headers = b"Connection: upgrade\r\nUpgrade: websocket\r\n"
    octets = request(b"GET", LOOKUP, headers) + request(b"GET", b"/nothing")
    assert statuses(*(octets[at : at + 7] for at in range(0, len(octets), 7)), count=2) == [200, 404]


def test_requests_that_come_at_once_are_answered_in_their_order(statuses):  # RFC 9112, 9.3.2
    paths = [LOOKUP, b"/nothing", b"/health/live", b"/v1/fits"]
    assert statuses(b"".join(request(b"GET", path) for path in paths), count=4) == [200, 404, 200, 422]


def test_what_is_no_request_is_refused_after_the_requests_before_it(statuses):
    before = request(b"GET", LOOKUP) + request(b"GET", b"/nothing")
    assert statuses(before + b"junk\r\n\r\n" + request(b"GET", LOOKUP), count=3) == [200, 404, 400]


def test_a_body_that_breaks_off_after_other_requests_is_refused_after_them(statuses):
    chunks = JSON + b"Transfer-Encoding: chunked\r\n"
    octets = request(b"GET", LOOKUP) + request(b"POST", b"/v1/fits", chunks, b"zz\r\n")
    assert statuses(octets, count=2) == [200, 400]


@pytest.mark.parametrize(
    "endless",
    [
        pytest.param(request(b"GET", b"/")[:-2] + b"X: ", id="a header"),
        pytest.param(b"GET /", id="an address"),
        pytest.param(
            request(b"POST", b"/v1/fits", JSON + b"Transfer-Encoding: chunked\r\n", b"0\r\nX: "),
            id="a trailer",
        ),
    ],
)
def test_what_never_ends_is_not_read_on_for_ever(served, endless):
    with socket.create_connection(("127.0.0.1", served), timeout=10) as connection:
        connection.sendall(endless)
        for _ in range(50):
            try:
                connection.sendall(b"a" * 65_536)
            except OSError:
                break
        answer = http.client.HTTPResponse(connection)
        answer.begin()
        assert answer.status == 431
