"""Servers to measure: each a process of its own, pinned to a core, on a loopback port that was free."""

import http.client
import os
import socket
import subprocess
import sys
import time
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from driven import RefusedError

ROOT = Path(__file__).resolve().parents[2]
HERE = Path(__file__).resolve().parent
_READY_SECONDS = 600
_TICKS = os.sysconf("SC_CLK_TCK")


@dataclass(frozen=True, kw_only=True)
class Server:
    """A server that answers."""

    process: subprocess.Popen
    port: int

    @property
    def url(self):
        """Where it answers."""
        return f"http://127.0.0.1:{self.port}"

    def cpu_seconds(self):
        """The processor time that it has taken so far [s]; its clock has ticks of 10 ms."""
        fields = Path(f"/proc/{self.process.pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / _TICKS

    def memory_mb(self):
        """The most memory that it has had [MB]."""
        status = Path(f"/proc/{self.process.pid}/status").read_text(encoding="ascii")
        return int(status.partition("VmHWM:")[2].split()[0]) / 1024

    def get(self, path):
        """An answer's status and body."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        connection.request("GET", path)
        answer = connection.getresponse()
        body = answer.read()
        connection.close()
        return answer.status, body


def free_port():
    """A port that nobody has."""
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return asked.getsockname()[1]


def require_free(port):
    """Refuse a port that somebody answers on: what is measured would be theirs."""
    with socket.socket() as asked:
        try:
            asked.bind(("127.0.0.1", port))
        except OSError as error:
            raise RefusedError(f"the port {port} is taken: {error}") from None


@contextmanager
def service(database, *, core, log, port=None, **settings):
    """The service on this SQLite file, as `serve` serves it; its log goes to a file."""
    port = port or free_port()
    environment = {
        "AXLEFIT_DATABASE_URL": f"sqlite:///{database}",
        "AXLEFIT_PORT": str(port),
        **{f"AXLEFIT_{name.upper()}": str(value) for name, value in settings.items()},
    }
    with _running([sys.executable, "-m", "service", "serve"], environment, port, core, log) as started:
        yield started


@contextmanager
def competitor(name, *, core, log, port=None, **environment):
    """A competitor on uvicorn with its best settings: httptools, uvloop if there is one, no access log."""
    port = port or free_port()
    command = [sys.executable, "-m", "uvicorn", "--factory", f"competitors:{name}", "--app-dir", str(HERE)]
    command += ["--port", str(port), "--http", "httptools", "--loop", "auto", "--no-access-log"]
    command += ["--log-level", "warning", "--ws", "none"]
    with _running(command, environment, port, core, log) as started:
        yield started


@contextmanager
def _running(command, environment, port, core, log):
    require_free(port)
    with log.open("ab") as lines:
        process = subprocess.Popen(
            command,
            cwd=ROOT,
            env=os.environ | {"PYTHONPATH": str(ROOT)} | environment,
            stdout=lines,
            stderr=lines,
            preexec_fn=lambda: os.sched_setaffinity(0, {core}),  # noqa: PLW1509 (no thread runs here)
        )
    started = Server(process=process, port=port)
    try:
        _wait_for(started, log)
        yield started
    finally:
        process.terminate()
        process.wait(30)


def _wait_for(server, log):
    deadline = time.monotonic() + _READY_SECONDS
    while time.monotonic() < deadline:
        if server.process.poll() is not None:
            raise RefusedError(f"a server ended at its start: {log.read_text()[-2000:]}")
        try:
            if server.get("/health/ready")[0] == http.HTTPStatus.OK:
                return
        except OSError:
            pass
        time.sleep(0.05)
    raise RefusedError("a server does not answer")
