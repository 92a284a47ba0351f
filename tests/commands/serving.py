"""The service as its command starts it, in a process of its own."""

import os
import socket
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path
from urllib.error import HTTPError, URLError
from urllib.request import Request, urlopen

import pytest

ROOT = Path(__file__).resolve().parents[2]


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Served:
    """A service in a process of its own, and what it has written."""

    def __init__(self, url, **settings):
        self.base = f"http://127.0.0.1:{(port := free_port())}"
        given = {"database_url": url, "port": port, "log_level": "debug"} | settings
        self._process = subprocess.Popen(
            [sys.executable, "-m", "service", "serve"],
            env=os.environ
            | {"PYTHONPATH": str(ROOT)}
            | {f"AXLEFIT_{name.upper()}": str(value) for name, value in given.items()},
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline and self._process.poll() is None:
            with suppress(URLError):
                self.send("GET", "/health/ready")
                return
            time.sleep(0.1)
        pytest.fail(f"the service did not start: {self.end()}")

    def send(self, method, path, body=None, **headers):
        """The status of an answer, and its headers."""
        given = {name.replace("_", "-"): value for name, value in headers.items()}
        request = Request(self.base + path, data=body, method=method, headers=given)  # noqa: S310
        try:
            with urlopen(request, timeout=20) as answer:  # noqa: S310 (our own service on this machine)
                return answer.status, answer.headers
        except HTTPError as error:
            with error:
                return error.code, error.headers

    def end(self):
        """End the service; the lines that it wrote, to its output and to its errors."""
        self._process.terminate()
        try:
            return self._process.communicate(timeout=30)[0].splitlines()
        finally:
            self._process.kill()
