"""The reverse proxy in front of the service: what it lets through, and what it answers itself."""

import http.client
import json
import socket
import subprocess
import threading
from contextlib import ExitStack, closing
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest

from schemas.problems import Problem
from service.web.json_bodies import MOST_BYTES
from tests.deploy.reverse_proxy import ADDRESS, PATIENCE_S, command, running_proxy, set_up
from tests.deploy.tools import tool
from tests.faults.workers import worker

LOOKUP = {"fastening": "threaded_wall", "outside_width_mm": 36.4, "bore_mm": 8, "thread": "M8x1.25"}
JSON = {"Content-Type": "application/json"}
LIVE = "/health/live"


def assert_problem(answer, status, kind):
    """An answer is a problem document, and one of the proxy."""
    found, headers, body = answer
    assert (found, headers["Content-Type"]) == (status, "application/problem+json")
    assert headers["Server"] == "nginx"  # RFC 9110, 10.2.4: without its version
    problem = Problem.model_validate_json(body)
    assert (problem.status, problem.type) == (status, kind)
    assert headers["Cache-Control"] == "no-store"
    assert headers["Strict-Transport-Security"]


def test_nginx_finds_nothing_to_say_about_the_set_up(tmp_path):
    (tmp_path / "run").mkdir()
    set_up(tmp_path / "set-up", port=8443, services=[8000, 8001])
    done = subprocess.run(command(tmp_path, "-t"), capture_output=True, text=True, check=False)
    file = tmp_path / "set-up/nginx.conf"
    assert done.stderr.splitlines() == [
        f"nginx: the configuration file {file} syntax is ok",
        f"nginx: configuration file {file} test is successful",
    ]


def test_a_lookup_over_tls_is_the_one_of_the_service(proxy, service):
    path = "/v1/fits?fastening=threaded_wall&outside_width_mm=36.4&bore_mm=8&thread=M8x1.25"
    status, headers, body = proxy.send("GET", path)
    inside = http.client.HTTPConnection(ADDRESS, service, timeout=PATIENCE_S)
    with closing(inside):
        inside.request("GET", path)
        assert (status, body) == (200, inside.getresponse().read())
    assert headers["ETag"]
    assert headers["Strict-Transport-Security"] == "max-age=31536000"  # RFC 6797, 6.1


@pytest.mark.parametrize(("version", "taken"), [("-tls1_1", False), ("-tls1_2", True), ("-tls1_3", True)])
def test_tls_is_of_version_1_2_or_later(proxy, version, taken):
    # This side would take any version: RFC 8996 leaves 1.1 to whoever lowers its guard.
    asked = [tool("openssl"), "s_client", "-connect", f"{ADDRESS}:{proxy.port}", version]
    done = subprocess.run(
        [*asked, "-cipher", "DEFAULT:@SECLEVEL=0"], stdin=subprocess.DEVNULL, capture_output=True, check=False
    )
    assert (done.returncode == 0) == taken, done.stderr
    assert taken or b"alert protocol version" in done.stderr


def test_who_speaks_without_tls_is_told(proxy):
    with closing(http.client.HTTPConnection(ADDRESS, proxy.port, timeout=PATIENCE_S)) as plain:
        plain.request("GET", LIVE)
        answer = plain.getresponse()
        assert_problem((answer.status, answer.headers, answer.read()), 400, "/problems/not-http")


def test_a_body_may_be_as_large_as_the_service_takes_and_no_larger(proxy, wire):
    full = json.dumps(LOOKUP).ljust(MOST_BYTES)
    assert proxy.send("POST", "/v1/fits", full, headers=JSON)[0] == 200
    seen = len(wire.sent)
    answer = proxy.send("POST", "/v1/fits", full + " ", headers=JSON)
    assert_problem(answer, 413, "/problems/body-too-large")
    parts = (part.encode() for part in (full, " "))  # without a length
    answer = proxy.send("POST", "/v1/fits", parts, headers=JSON)
    assert_problem(answer, 413, "/problems/body-too-large")
    assert len(wire.sent) == seen


@pytest.mark.parametrize(("path", "status"), [("/v1/imports?table=axles", 401), ("/v1/fits/batch", 200)])
def test_an_import_and_a_batch_may_be_larger(proxy, path, status):
    lines = (json.dumps(LOOKUP | {"limit": 1}).ljust(10_000) + "\n") * 30
    assert len(lines) > MOST_BYTES
    assert proxy.send("POST", path, lines, headers={"Content-Type": "application/x-ndjson"})[0] == status


@pytest.mark.parametrize("path", ["/v1/imports?table=axles", "/v1/fits/batch"])
def test_they_too_have_the_limit_of_the_service(proxy, path):
    with closing(proxy.client()) as client:
        client.putrequest("POST", path)
        client.putheader("Content-Length", str(64 * 1024 * 1024 + 1))  # as settings.py has it
        client.endheaders()
        answer = client.getresponse()
        assert_problem((answer.status, answer.headers, answer.read()), 413, "/problems/body-too-large")


@pytest.mark.parametrize("path", ["/metrics", "/metrics?x=1", "//metrics", "/v1/../metrics", "/%6detrics"])
def test_metrics_are_not_published(proxy, wire, path):
    assert_problem(proxy.send("GET", path), 404, "/problems/no-such-path")
    assert wire.sent == b""


def test_too_long_an_address_and_too_many_headers_are_problem_documents(proxy):
    answer = proxy.send("GET", "/v1/axles?limit=" + "1" * 20_000)
    assert_problem(answer, 414, "/problems/address-too-long")
    answer = proxy.send("GET", LIVE, headers={"X-Long": "1" * 20_000})
    assert_problem(answer, 431, "/problems/headers-too-large")
    with proxy.connect() as wire:
        wire.sendall(b"GET / HTTP/1.1\r\n\r\n")  # RFC 9112, 3.2: without Host it is no request
        answer = http.client.HTTPResponse(wire)
        answer.begin()
        assert_problem((answer.status, answer.headers, answer.read()), 400, "/problems/not-http")


def test_a_client_is_counted_by_its_own_address_whatever_it_says(demonstration_file):
    with (
        worker(f"sqlite:///{demonstration_file}", limit_per_minute=1, trusted_proxies=ADDRESS) as port,
        running_proxy(port) as proxy,
    ):
        said = {"X-Forwarded-For": "192.0.2.77", "Forwarded": "for=192.0.2.78"}  # RFC 5737
        asked = [("127.0.0.2", {}), ("127.0.0.3", {}), ("127.0.0.2", said), ("127.0.0.4", said)]
        statuses = [
            proxy.send("GET", "/v1/axles?limit=1", address=address, headers=headers)[0]
            for address, headers in asked
        ]
    assert statuses == [200, 200, 429, 200]


def test_the_service_is_told_who_asks_how_and_nothing_that_the_client_says_of_it(proxy, wire):
    said = {"X-Forwarded-For": "192.0.2.77", "X-Forwarded-Proto": "http", "Forwarded": "for=192.0.2.78"}
    proxy.send("GET", LIVE, address="127.0.0.2", headers=said)
    lines = wire.sent.lower().split(b"\r\n")
    assert b"x-forwarded-for: 127.0.0.2" in lines
    assert b"x-forwarded-proto: https" in lines
    assert b"192.0.2" not in wire.sent


def test_connections_to_the_service_are_kept(proxy, wire):
    with closing(proxy.client()) as client:  # one connection, and so one process of the proxy
        for _ in range(20):
            client.request("GET", LIVE)
            assert client.getresponse().read()
    assert wire.sent.count(b"GET /health/live HTTP/1.1") == 20
    assert wire.connections <= 1


def test_a_result_of_a_batch_comes_before_the_next_line_is_sent(proxy):
    with closing(proxy.client()) as client:
        client.putrequest("POST", "/v1/fits/batch")
        client.putheader("Content-Type", "application/x-ndjson")
        client.putheader("Transfer-Encoding", "chunked")
        client.endheaders()
        answer = None
        for number in range(1, 4):
            line = json.dumps({"id": number} | LOOKUP).encode() + b"\n"
            client.send(b"%x\r\n%s\r\n" % (len(line), line))
            answer = answer or client.getresponse()
            assert json.loads(answer.readline())["id"] == number
        client.send(b"0\r\n\r\n")
        assert json.loads(answer.read())["count"] == 3


def test_who_has_no_key_is_refused_before_the_file_is_sent(proxy):
    with closing(proxy.client()) as client:
        client.putrequest("POST", "/v1/imports?table=axles")
        client.putheader("Content-Type", "text/csv")
        client.putheader("Content-Length", "1000000")
        client.endheaders(b"sku")  # and nothing more
        assert client.getresponse().status == 401


def test_a_worker_that_is_away_is_passed_over(service):
    with socket.socket() as nobody:
        nobody.bind((ADDRESS, 0))  # and does not listen
        with running_proxy(nobody.getsockname()[1], service) as proxy:
            post = json.dumps(LOOKUP)
            statuses = [proxy.send("POST", "/v1/fits", post, headers=JSON)[0] for _ in range(10)]
    assert statuses == [200] * 10


def test_where_no_worker_answers_the_proxy_says_so():
    with socket.socket() as nobody:
        nobody.bind((ADDRESS, 0))
        with running_proxy(nobody.getsockname()[1]) as proxy:
            answer = proxy.send("GET", LIVE)
    assert_problem(answer, 502, "about:blank")
    assert answer[1]["Retry-After"] == "1"


def test_the_log_tells_the_path_and_not_the_query(proxy):
    assert proxy.send("GET", "/v1/sleeves?fastening=axf_secret")[0] == 422
    line = proxy.line_about("/v1/sleeves")
    assert (line["client"], line["method"], line["status"]) == (ADDRESS, "GET", 422)
    assert line["request_id"]
    assert "axf_secret" not in proxy.log()


class _Refusing(BaseHTTPRequestHandler):
    """Serves reads and refuses writes, as a worker does whose database is away; none of ours is here."""

    asked = 0

    def do_GET(self):
        self._answer(200)

    def do_PUT(self):
        type(self).asked += 1
        self.rfile.read(int(self.headers["Content-Length"]))
        self._answer(503)

    def log_message(self, *_):
        """Say nothing."""

    def _answer(self, status):
        self.send_response(status)
        self.send_header("Content-Length", "0")
        self.end_headers()


def test_a_refused_write_is_not_sent_again_and_its_workers_go_on_to_be_asked():
    with ExitStack() as running:
        ports = []
        for _ in range(2):
            server = running.enter_context(ThreadingHTTPServer((ADDRESS, 0), _Refusing))
            threading.Thread(target=server.serve_forever, daemon=True).start()
            running.callback(server.shutdown)
            ports.append(server.server_address[1])
        proxy = running.enter_context(running_proxy(*ports))
        for count in range(1, 5):
            assert proxy.send("PUT", "/v1/axles/A-1", "{}", headers=JSON)[0] == 503
            assert _Refusing.asked == count
            assert proxy.send("GET", LIVE)[0] == 200
