"""The memory of the server during batches, and how fast they are beside single requests.

    python tests/performance/batch_memory.py [--lines N ...] [--different N] [--singles N]

A new server for each number of lines, on the demonstration catalogue and this machine's loopback. The
client sends the whole batch before it reads, which is what fills memory if anything does; count and digest
of the answer are checked. Meanwhile another client asks for a small answer again and again. `--different`
says how many of a batch's lookups differ: those that are equal may share their work. Linux only.
"""

import argparse
import hashlib
import http.client
import itertools
import json
import os
import socket
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median, quantiles

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import httpx

from service.commands.serve import load_demonstration
from service.store.database import Database
from service.store.schema import upgrade

ROOT = Path(__file__).resolve().parents[2]
HOST = "127.0.0.1"
PATIENCE_S = 60.0
NDJSON = {"Content-Type": "application/x-ndjson", "Accept-Encoding": "identity"}


def lookup(number):
    """A lookup; those of different numbers differ."""
    return {
        "fastening": "threaded_wall",
        "outside_width_mm": round(30 + number * 0.0001, 4),
        "far_wall_mm": 6,
        "bore_mm": 8,
        "thread": "M8x1.25",
    }


def batch(lines, different):
    """The lines of a batch, some at a time."""
    bodies = [json.dumps(lookup(number))[1:] for number in range(different)]
    numbered = zip(range(lines), itertools.cycle(bodies), strict=False)
    while piece := "".join(f'{{"id":{n},{body}\n' for n, body in itertools.islice(numbered, 500)):
        yield piece.encode()


@contextmanager
def server(folder):
    """A process of the service on the demonstration catalogue: its port and its id."""
    path = Path(folder) / "demonstration.sqlite3"
    if not path.exists():
        database = Database(f"sqlite:///{path}", create=True)
        upgrade(database)
        load_demonstration(database)
        database.close()
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port = probe.getsockname()[1]
    settings = {"AXLEFIT_DATABASE_URL": f"sqlite:///{path}", "AXLEFIT_PORT": str(port)}
    command = [sys.executable, "-m", "service", "serve"]
    with subprocess.Popen(command, cwd=ROOT, env=os.environ | settings, stderr=subprocess.DEVNULL) as process:
        try:
            wait_until_ready(process, port)
            yield port, process.pid
        finally:
            process.terminate()


def wait_until_ready(process, port):
    """Wait for the first answer."""
    deadline = time.monotonic() + PATIENCE_S
    while time.monotonic() < deadline and process.poll() is None:
        try:
            if httpx.get(f"http://{HOST}:{port}/health/ready").status_code == 200:
                return
        except httpx.TransportError:
            time.sleep(0.05)
    raise RuntimeError("the server did not start")


def memory_mb(pid, name):
    """What the system says of a process's memory: VmRSS now, VmHWM at its highest [MB]."""
    status = Path(f"/proc/{pid}/status").read_text(encoding="ascii")
    (line,) = [line for line in status.splitlines() if line.startswith(f"{name}:")]
    return int(line.split()[1]) / 1024


@dataclass(kw_only=True)
class Outcome:
    """What a batch took."""

    seconds: float = 0.0
    bytes_out: int = 0
    idle_mb: float = 0.0
    peak_mb: float = 0.0
    get_ms: list = field(default_factory=list)


def run_batch(port, pid, *, lines, different):
    """One batch, checked as it comes."""
    outcome = Outcome(idle_mb=memory_mb(pid, "VmRSS"))
    over = threading.Event()
    other = threading.Thread(target=ask_again_and_again, args=(port, over, outcome.get_ms))
    other.start()
    try:
        began = time.perf_counter()
        end, digest, outcome.bytes_out = sent_and_read(port, batch(lines, different))
        outcome.seconds = time.perf_counter() - began
    finally:
        over.set()
        other.join()
    outcome.peak_mb = memory_mb(pid, "VmHWM")
    if (end["count"], end["answered"], end["sha256"]) != (lines, lines, digest):
        raise RuntimeError(f"not what was asked for: {end}")
    return outcome


def sent_and_read(port, pieces):
    """All that is sent, and then all that is read: the last line, the digest before it, how many bytes."""
    url = f"http://{HOST}:{port}/v1/fits/batch"
    kept, digest, size = bytearray(), hashlib.sha256(), 0
    with httpx.stream("POST", url, content=pieces, headers=NDJSON, timeout=None) as answer:  # noqa: S113
        answer.raise_for_status()
        for piece in answer.iter_raw():
            kept += piece
            before_last = kept.rfind(b"\n", 0, len(kept) - 1) + 1
            digest.update(kept[:before_last])
            size += len(piece)
            del kept[:before_last]
    return json.loads(kept), digest.hexdigest(), size


def ask_again_and_again(port, over, times_ms):
    """GET a part of the catalogue over one connection, 20 times a second, and note how long each took."""
    with closing(http.client.HTTPConnection(HOST, port, timeout=PATIENCE_S)) as connection:
        while not over.wait(0.05):
            began = time.perf_counter()
            connection.request("GET", "/v1/axles/TW8-36-M8-HX6")
            answer = connection.getresponse()
            answer.read()
            times_ms.append((time.perf_counter() - began) * 1000)
            if answer.status != 200:
                raise RuntimeError(f"the other request was answered with {answer.status}")


def singles_per_second(port, singles, different):
    """How many of the same lookups are answered one by one over one connection."""
    bodies = [json.dumps(lookup(number)) for number in range(different)]
    headers = {"Content-Type": "application/json"}
    with closing(http.client.HTTPConnection(HOST, port, timeout=PATIENCE_S)) as connection:
        began = time.perf_counter()
        for body in itertools.islice(itertools.cycle(bodies), singles):
            connection.request("POST", "/v1/fits", body, headers)
            answer = connection.getresponse()
            answer.read()
            if answer.status != 200:
                raise RuntimeError(f"a single request was answered with {answer.status}")
        return singles / (time.perf_counter() - began)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--lines", type=int, action="append", help="1000 and 100000 if left out")
    parser.add_argument("--different", type=int, default=200)
    parser.add_argument("--singles", type=int, default=500)
    arguments = parser.parse_args()
    heads = ("lines", "idle MB", "peak MB", "s", "MB out", "lines/s", "singles/s", "GET ms", "p99", "max")
    print("".join(f"{head:>11}" for head in heads))
    for lines in arguments.lines or (1000, 100_000):
        with tempfile.TemporaryDirectory() as folder, server(folder) as (port, pid):
            singles = singles_per_second(port, arguments.singles, arguments.different)
            outcome = run_batch(port, pid, lines=lines, different=arguments.different)
        times = outcome.get_ms or [float("nan")] * 2
        values = (
            outcome.idle_mb,
            outcome.peak_mb,
            outcome.seconds,
            outcome.bytes_out / 1e6,
            lines / outcome.seconds,
            singles,
            median(times),
            quantiles(times, n=100)[98],
            max(times),
        )
        print(f"{lines:>11}" + "".join(f"{value:>11.1f}" for value in values), flush=True)


if __name__ == "__main__":
    main()
