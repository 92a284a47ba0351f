"""Worker processes of the service on this machine's loopback, and a client of one."""

import http.client
import json
import os
import socket
import time
from contextlib import contextmanager

from tests.faults.forks import run_command, start

START_WITHIN_S = 60.0
END_WITHIN_S = 20.0


class Client:
    """One connection to one worker, kept open."""

    def __init__(self, port, key=None):
        self._connection = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
        self._key = {"Authorization": f"Bearer {key}"} if key else {}

    def send(self, method, path, body=None, **headers):
        """The status, the headers and the JSON of an answer; headers are named as Python can."""
        status, given, content = self.ask(method, path, body, **headers)
        return status, given, json.loads(content) if content else None

    def ask(self, method, path, body=None, **headers):
        """The same with the content as it is."""
        given = self._key | {name.replace("_", "-"): value for name, value in headers.items()}
        if body is not None:
            body = json.dumps(body)
            given["Content-Type"] = (
                "application/merge-patch+json" if method == "PATCH" else "application/json"
            )
        self._connection.request(method, path, body, given)
        answer = self._connection.getresponse()
        return answer.status, answer.headers, answer.read()

    def close(self):
        self._connection.close()


@contextmanager
def client_of(port, key=None):
    """A client, closed in the end."""
    client = Client(port, key)
    try:
        yield client
    finally:
        client.close()


class Worker:
    """A process of the service, and the port that it listens on."""

    def __init__(self, url, settings, port=None):
        self.port = port or free_port()
        self.process = start(serve, url, self.port, settings)
        _wait_until_ready(self.process, self.port)

    def tell_to_stop(self):
        """Send the signal with which an orchestrator ends a service."""
        self.process.terminate()

    def seconds_until_end(self, patience=END_WITHIN_S):
        """How long the process still lasts [s]; it is killed if that is longer than the patience."""
        begin = time.monotonic()
        self.process.join(patience)
        if self.process.is_alive():
            self.process.kill()
            self.process.join()
        return time.monotonic() - begin

    def end(self):
        """End the process, if it has not ended yet."""
        self.process.terminate()
        self.seconds_until_end()
        self.process.close()


@contextmanager
def worker(url, **settings):
    """A process of the service on the database of this URL; its port is given, and the process ended."""
    with worker_process(url, **settings) as (port, _process):
        yield port


@contextmanager
def worker_process(url, **settings):
    """The same, with the process."""
    started = Worker(url, settings)
    try:
        yield started.port, started.process
    finally:
        started.end()


def serve(url, port, settings):
    """What a worker does: serve, and say nothing."""
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)
    os.dup2(nothing, 2)
    run_command("serve", database_url=url, port=port, **settings)


def free_port():
    """A port of this machine that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def _wait_until_ready(process, port):
    deadline = time.monotonic() + START_WITHIN_S
    while time.monotonic() < deadline and process.is_alive():
        try:
            with client_of(port) as client:
                if client.send("GET", "/health/ready")[0] == 200:
                    break
        except OSError:
            time.sleep(0.05)
    if not process.is_alive() or time.monotonic() >= deadline:
        raise RuntimeError("the worker did not start")
