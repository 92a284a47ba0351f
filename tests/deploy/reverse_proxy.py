"""The reverse proxy as deploy/proxy sets it up, on loopback, and a wire between it and the service."""

import http.client
import json
import os
import re
import shutil
import socket
import socketserver
import ssl
import subprocess
import tempfile
import threading
import time
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from tests.deploy.tools import ROOT, tool

FILES = ROOT / "deploy/proxy"
PATIENCE_S = 30
ADDRESS = "127.0.0.1"


def certificate(folder):
    """A self-signed certificate and its key, as tls.crt and tls.key."""
    folder.mkdir()
    subprocess.run(
        [
            *(tool("openssl"), "req", "-x509", "-nodes", "-days", "2", "-subj", "/CN=localhost"),
            *("-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1"),
            *("-addext", "subjectAltName=DNS:localhost,IP:127.0.0.1"),
            *("-keyout", folder / "tls.key", "-out", folder / "tls.crt"),
        ],
        check=True,
        capture_output=True,
    )


def set_up(folder, *, port, services):
    """The files of deploy/proxy in a folder, with a port, services and a certificate of the test's own."""
    shutil.copytree(FILES, folder)
    place = (folder / "place.conf").read_text(encoding="utf-8")
    there = re.sub(r"(?m)^listen .*\n", "", place) + f"listen {ADDRESS}:{port} ssl;\n"
    (folder / "place.conf").write_text(there)
    where = (ROOT / "deploy/compose/upstream.conf").read_text(encoding="utf-8")
    head, _, rest = where.partition("    server ")
    options = rest.partition(";")[0].partition(" ")[2]
    tail = rest.rpartition("    server ")[2].partition("\n")[2]
    servers = "".join(f"    server {ADDRESS}:{one} {options};\n" for one in services)
    (folder / "upstream.conf").write_text(head + servers + tail)
    certificate(folder / "certificate")


def command(folder, *more):
    """The command that starts nginx, as RUNBOOK.md and compose.yaml have it."""
    run_as = "user root; " if os.geteuid() == 0 else ""  # so that its workers can write where root can
    rest = f"daemon off; {run_as}"
    return [tool("nginx"), "-p", f"{folder}/run/", "-c", f"{folder}/set-up/nginx.conf", "-g", rest, *more]


class Proxy:
    """A running proxy."""

    def __init__(self, folder, port, log):
        self.folder = folder
        self.port = port
        self._context = ssl.create_default_context(cafile=folder / "set-up/certificate/tls.crt")
        self._log = log

    def connect(self, address=ADDRESS, options=()):
        """A connection over TLS from an address of this machine, to be closed by who opened it."""
        plain = socket.socket()
        for option in options:
            plain.setsockopt(*option)
        plain.settimeout(PATIENCE_S)
        plain.bind((address, 0))
        plain.connect((ADDRESS, self.port))
        return self._context.wrap_socket(plain, server_hostname="localhost")

    def send(self, method, path, body=None, *, address=ADDRESS, headers=None):
        """The status, headers and body of an answer."""
        with closing(self.client(address)) as client:
            client.request(method, path, body, headers or {})
            answer = client.getresponse()
            return answer.status, answer.headers, answer.read()

    def client(self, address=ADDRESS):
        """A client of HTTP from an address of this machine."""
        return http.client.HTTPSConnection(
            ADDRESS, self.port, timeout=PATIENCE_S, context=self._context, source_address=(address, 0)
        )

    def line_about(self, path):
        """The line of the log about a request, which is written after its answer."""
        deadline = time.monotonic() + PATIENCE_S
        while time.monotonic() < deadline:
            for line in self.log().splitlines():
                if line.startswith("{") and (told := json.loads(line))["path"] == path:
                    return told
            time.sleep(0.02)
        raise AssertionError(self.log())

    def log(self):
        """What the proxy has written so far."""
        return self._log.read_text(encoding="utf-8")


@contextmanager
def running_proxy(*services):
    """A proxy in front of the services on these ports."""
    with tempfile.TemporaryDirectory(prefix="axlefit-proxy-") as name, socket.socket() as probe:
        folder = Path(name)
        (folder / "run").mkdir()
        probe.bind((ADDRESS, 0))
        port = probe.getsockname()[1]
        probe.close()
        set_up(folder / "set-up", port=port, services=services)
        log = folder / "log"
        with log.open("ab") as out:
            process = subprocess.Popen(command(folder), stdout=out, stderr=out)
        try:
            _wait_for(port, process, log)
            yield Proxy(folder, port, log)
        finally:
            process.terminate()
            process.wait(PATIENCE_S)


def _wait_for(port, process, log):
    deadline = time.monotonic() + PATIENCE_S
    while time.monotonic() < deadline and process.poll() is None:
        with suppress(OSError):
            socket.create_connection((ADDRESS, port), 1).close()
            return
        time.sleep(0.02)
    raise AssertionError(log.read_text())


class Wire(socketserver.ThreadingTCPServer):
    """Passes connections on to a service, and tells how many there were and what went over them."""

    daemon_threads = True
    request_queue_size = 128

    def __init__(self, port):
        self.onward = (ADDRESS, port)
        self.forget()
        super().__init__((ADDRESS, 0), _Passing)

    @property
    def port(self):
        return self.server_address[1]

    def forget(self):
        """Begin to tell anew."""
        self.connections = 0
        self.sent = b""


class _Passing(socketserver.BaseRequestHandler):
    def handle(self):
        self.server.connections += 1
        with socket.create_connection(self.server.onward, PATIENCE_S) as onward:
            back = threading.Thread(target=_pass_on, args=(onward, self.request), daemon=True)
            back.start()
            _pass_on(self.request, onward, self._seen)
            back.join()

    def _seen(self, part):
        self.server.sent += part


def _pass_on(source, target, seen=len):
    with suppress(OSError):
        while part := source.recv(65536):
            seen(part)
            target.sendall(part)
    with suppress(OSError):
        target.shutdown(socket.SHUT_WR)


@contextmanager
def running_wire(port):
    """A wire to the service on a port."""
    with Wire(port) as wire:
        threading.Thread(target=wire.serve_forever, daemon=True).start()
        try:
            yield wire
        finally:
            wire.shutdown()
