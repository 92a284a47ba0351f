"""Services behind nginx are restarted one after the other under load; no request may fail.

Run it as ``python tests/faults/rolling_restart.py``. Some processes of the service share one PostgreSQL.
Threads send lookups and writes through the proxy without an end, and never try anything twice themselves:
what a restart costs, the proxy has to make good. nginx turns to another process where it gets no connection
(`proxy_next_upstream error timeout`), and for a request that has been sent only if it may be repeated.
"""

import argparse
import http.client
import json
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))  # it is run as a file, from anywhere

from tests.faults.databases import key_for, new_database, opened
from tests.faults.two_workers import AXLE, LOOKUP
from tests.faults.workers import Worker, free_port

PAUSE_S = 1.0
"""How long a service goes on listening after it was told to stop."""
SETTLED_S = 1.0
CONFIGURATION = """
daemon off;
worker_processes 1;
pid {folder}/nginx.pid;
error_log {folder}/error.log warn;
events {{ worker_connections 1024; }}
http {{
    access_log off;
    client_body_temp_path {folder}/body;
    proxy_temp_path {folder}/proxy;
    fastcgi_temp_path {folder}/fastcgi;
    uwsgi_temp_path {folder}/uwsgi;
    scgi_temp_path {folder}/scgi;
    upstream services {{
        {servers}
        keepalive 16;
        keepalive_timeout 2s;
    }}
    server {{
        listen 127.0.0.1:{port};
        location / {{
            proxy_pass http://services;
            proxy_http_version 1.1;
            proxy_set_header Connection "";
            proxy_connect_timeout 1s;
            proxy_next_upstream error timeout;
            proxy_next_upstream_tries {tries};
        }}
    }}
}}
"""


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """How many answers of each status came, how many requests got none, and what the catalogue says."""

    restarts: int
    lookups: Counter
    writes: Counter
    stock: int
    seconds: float

    @property
    def failed(self):
        """The requests without the answer that they should have."""
        return sum((self.lookups + self.writes).values()) - self.lookups[200] - self.writes[200]

    @property
    def is_whole(self):
        return self.failed == 0 and self.stock == self.writes[200]


def nginx():
    """The proxy's program, or None."""
    return shutil.which("nginx", path="/usr/sbin:/usr/bin:/bin")


@contextmanager
def proxy(ports):
    """The port of a proxy before services on these ports."""
    with tempfile.TemporaryDirectory(prefix="axlefit-nginx-") as name:
        folder, port = Path(name), free_port()
        folder.chmod(0o755)
        # A service that refused a connection is tried again with the next request: it may be back.
        servers = "\n        ".join(f"server 127.0.0.1:{p} max_fails=0;" for p in ports)
        text = CONFIGURATION.format(folder=folder, servers=servers, port=port, tries=len(ports))
        (folder / "nginx.conf").write_text(text, encoding="utf-8")
        command = [nginx(), "-c", folder / "nginx.conf"]
        process = subprocess.Popen(command, stderr=subprocess.DEVNULL)
        try:
            _wait_for(port)
            yield port
        finally:
            process.terminate()
            process.wait(20)


def _wait_for(port):
    deadline = time.monotonic() + 30
    while time.monotonic() < deadline:
        try:
            _send(port, "GET", "/health/live")
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise RuntimeError("the proxy did not start")


def _send(port, method, path, body=None, **headers):
    """The status of one request on a connection of its own, and its JSON."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        connection.request(method, path, body, headers)
        answer = connection.getresponse()
        content = answer.read()
        return answer.status, json.loads(content) if content else None
    finally:
        connection.close()


class Load:
    """Threads that send requests until they are told to stop."""

    def __init__(self, port, key, *, readers):
        self._port = port
        self._stopped = threading.Event()
        self.lookups, self.writes = Counter(), Counter()
        self._given = {"Authorization": f"Bearer {key}", "If-Match": "*", "Content-Type": "application/json"}
        self._threads = [threading.Thread(target=self._look_up) for _ in range(readers)]
        self._threads.append(threading.Thread(target=self._write))  # one: its stocks follow one another

    def __enter__(self):
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(self, *_):
        self._stopped.set()
        for thread in self._threads:
            thread.join()

    def _look_up(self):
        while not self._stopped.is_set():
            self._count(self.lookups, "GET", LOOKUP)

    def _write(self):
        stock = 0
        while not self._stopped.is_set():
            stock += 1
            body = json.dumps({"stock": stock})
            self._count(self.writes, "PATCH", "/v1/axles/SEEN-1", body, **self._given)

    def _count(self, counter, *request, **headers):
        try:
            status, _ = _send(self._port, *request, **headers)
        except (OSError, http.client.HTTPException) as error:
            status = type(error).__name__
        counter[status] += 1


def run(url, *, services, rounds, readers):
    """Restart each service in turn, under load, and count what came of the requests."""
    with opened(url) as database:
        key = key_for(database)
    workers = [Worker(url, {"stop_pause_seconds": PAUSE_S}) for _ in range(services)]
    begin = time.monotonic()
    try:
        with proxy([worker.port for worker in workers]) as port:
            given = {
                "Authorization": f"Bearer {key}",
                "If-None-Match": "*",
                "Content-Type": "application/json",
            }
            assert _send(port, "PUT", "/v1/axles/SEEN-1", json.dumps(AXLE), **given)[0] == 201
            with Load(port, key, readers=readers) as load:
                for number in range(rounds * services):
                    time.sleep(SETTLED_S)
                    place = number % services
                    workers[place].tell_to_stop()
                    workers[place].seconds_until_end()
                    workers[place] = Worker(url, {"stop_pause_seconds": PAUSE_S}, workers[place].port)
                time.sleep(SETTLED_S)
            stock = _send(port, "GET", "/v1/axles/SEEN-1")[1]["stock"]
    finally:
        for worker in workers:
            worker.end()
    return Outcome(
        restarts=rounds * services,
        lookups=load.lookups,
        writes=load.writes,
        stock=stock,
        seconds=time.monotonic() - begin,
    )


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--services", type=int, default=3)
    parser.add_argument("--rounds", type=int, default=3, help="restarts of each service")
    parser.add_argument("--readers", type=int, default=4)
    arguments = parser.parse_args()
    with new_database("postgresql") as url:
        outcome = run(url, **vars(arguments))
    heads = ("services", "restarts", "lookups", "writes", "failed", "s")
    values = (
        arguments.services,
        outcome.restarts,
        sum(outcome.lookups.values()),
        sum(outcome.writes.values()),
        outcome.failed,
        f"{outcome.seconds:.0f}",
    )
    lines = ["".join(f"{cell:>11}" for cell in row) for row in (heads, values)]
    if outcome.failed:
        lines.append(f"lookups {dict(outcome.lookups)}, writes {dict(outcome.writes)}")
    lines.append("no request failed" if outcome.is_whole else "NOT WHOLE")
    sys.stdout.write("\n".join(lines) + "\n")
    return 0 if outcome.is_whole else 1


if __name__ == "__main__":
    sys.exit(main())
