"""What is not measured like all else: batches, a snapshot that is replaced under load, two workers."""

import http.client
import json
import os
import time
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache
from statistics import median
from urllib.parse import parse_qs

from catalogues import change_stock
from driven import LOAD_CORE, SERVER_CORE, NoneAnsweredError, RefusedError, Round, drive

BATCH = 10_000
SWAPPED = 1_500
"""So many changed parts that the snapshot is read anew, and not changed in place."""
_MOST_SWAP_SECONDS = 600
_PIECE_BYTES, _END_BYTES = 1 << 16, 1000
_NUMBERS = {"outside_width_mm", "far_wall_mm", "head_wall_mm", "bore_mm", "recess_mm", "rider_mass_kg"}


def batch_round(server, file, *, first, seconds, core):
    """Batch after batch for so long; a lookup counts as a request, and its time is its share."""
    os.sched_setaffinity(0, {core})
    lines = _batch_lines(file)
    before, began, done, spent = server.cpu_seconds(), time.perf_counter(), 0, []
    while not spent or time.perf_counter() - began < seconds:
        start = (first + done) % len(lines)
        spent.append(_send_batch(server, lines[start : start + BATCH]))
        done += BATCH
    took = sum(spent)
    each = median(spent) / BATCH * 1000
    cpu = (server.cpu_seconds() - before) / done * 1e6
    return Round(requests=done, seconds=took, bytes=0, p50_ms=each, p99_ms=each, cpu_us=cpu)


@lru_cache(maxsize=1)
def _batch_lines(file):
    """The lookups of a file, each as a line of a batch."""
    found = []
    with file.open(encoding="ascii") as queries:
        for number, query in enumerate(queries):
            fields = {name: values[0] for name, values in parse_qs(query.strip()).items()}
            numbers = {name: float(value) for name, value in fields.items() if name in _NUMBERS}
            found.append(json.dumps({"id": str(number), **fields, **numbers}).encode() + b"\n")
    return found


def _send_batch(server, lines):
    """How long a batch takes [s]; each of its lines has to come to an answer."""
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=600)
    began = time.perf_counter()
    connection.request("POST", "/v1/fits/batch", b"".join(lines), {"Content-Type": "application/x-ndjson"})
    answer = connection.getresponse()
    end = b""
    while piece := answer.read1(_PIECE_BYTES):  # a batch has hundreds of megabytes: only its end is kept
        end = (end + piece)[-_END_BYTES:]
    took = time.perf_counter() - began
    connection.close()
    require_answered(answer.status, end, len(lines))
    return took


def require_answered(status, end, wanted):
    """Refuse a batch unless its last line counts an answer for every line of it."""
    if status != http.HTTPStatus.OK:
        raise RefusedError(f"a batch is answered with {status}")
    try:
        answered = json.loads(end.splitlines()[-1])["answered"]
    except (IndexError, KeyError, ValueError):
        raise RefusedError(f"a batch has not come to its end: {end[-200:]!r}") from None
    if answered != wanted:
        raise RefusedError(f"{answered} of {wanted} lookups of a batch are answered")


def swap_p99s(server, database, parts, load, *, seconds, rounds):
    """The 99th percentile [ms] as usual, and the worst of the rounds while the snapshot is read anew.

    No round is without the swap, and none of it without a round but the moment before the first one; so the
    99th percentile of all its requests together is at most the one told.
    """
    first, usual, swapped = 0, [], []

    def one_round(noted):
        nonlocal first
        found = drive(server, load.file, first=first, seconds=seconds, core=LOAD_CORE)
        noted.append(found.p99_ms)
        first += found.requests

    for _ in range(rounds):
        one_round(usual)
    before = _revision(server)
    change_stock(database, parts, most=SWAPPED)
    if _revision(server) != before:
        raise RefusedError("the snapshot was replaced before the load began: take more parts")
    while _revision(server) == before:
        if len(swapped) * seconds > _MOST_SWAP_SECONDS:
            raise RefusedError(f"the snapshot was not replaced within {_MOST_SWAP_SECONDS} s")
        try:
            one_round(swapped)
        except NoneAnsweredError:  # each request waited for longer than the round: that is what is sought
            swapped.append(seconds * 1000)
    return median(usual), max(swapped)


def _revision(server):
    return json.loads(server.get("/health/ready")[1])["catalogue_revision"]


def cores_of_two(cores):
    """The core of the first worker's load, that of the second worker, and that of its load.

    Where there are too few, each worker shares its core with its load.
    """
    others = [core for core in cores if core not in {SERVER_CORE, LOAD_CORE}]
    return (LOAD_CORE, *others[:2]) if len(others) >= 2 else (SERVER_CORE, LOAD_CORE, LOAD_CORE)


def two_workers(one, two, load, *, seconds, rounds):
    """The rate of two workers as a multiple of one's, whose load has a core of its own.

    `one` and `two` are workers, each with the core of its load when both work.
    """
    found = []
    for number in range(rounds):
        first = number * load.lines // (2 * rounds)
        single = drive(one[0], load.file, first=first, seconds=seconds, core=LOAD_CORE)
        again = first + load.lines // 2
        with ThreadPoolExecutor(2) as pool:
            both = [
                pool.submit(drive, server, load.file, first=again, seconds=seconds, core=core)
                for server, core in (one, two)
            ]
            found.append(sum(round_.result().rate for round_ in both) / single.rate)
    return median(found)
