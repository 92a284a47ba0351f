"""What is not measured like all else: batches, a snapshot that is replaced under load, two workers."""

import http.client
import json
import os
import time
from concurrent.futures import ThreadPoolExecutor
from statistics import median
from urllib.parse import parse_qs

from catalogues import change_stock
from driven import LOAD_CORE, RefusedError, Round, drive

BATCH = 10_000
_SWAPPED = 1_500
"""So many changed parts that the snapshot is read anew, and not changed in place."""
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
    results = answer.read().splitlines()
    took = time.perf_counter() - began
    connection.close()
    answered = sum(b'"fits"' in line for line in results)
    if answer.status != 200 or answered != len(lines):
        raise RefusedError(f"{answered} of {len(lines)} lookups of a batch are answered")
    return took


def swap_rounds(server, database, parts, load, *, seconds):
    """The 99th percentile [ms] as usual, and while the snapshot is read anew after an import."""
    usual = drive(server, load.file, first=0, seconds=seconds, core=LOAD_CORE)
    before = _revision(server)
    with ThreadPoolExecutor(1) as pool:
        loading = pool.submit(drive, server, load.file, first=usual.requests, seconds=seconds, core=LOAD_CORE)
        change_stock(database, parts, most=_SWAPPED)
        swapped = loading.result()
    if _revision(server) == before:
        raise RefusedError("the snapshot was not replaced in time: take longer rounds")
    return usual.p99_ms, swapped.p99_ms


def _revision(server):
    return json.loads(server.get("/health/ready")[1])["catalogue_revision"]


def two_workers(one, two, load, *, seconds, rounds):
    """The rate of two workers as a multiple of one's; each shares its core with its own load.

    On two cores the load has no core left for itself, so that it stands beside the worker in both cases.
    """
    found = []
    for number in range(rounds):
        first = number * load.lines // (2 * rounds)
        (core_of_one, alone), (core_of_two, other) = one, two
        single = drive(alone, load.file, first=first, seconds=seconds, core=core_of_one)
        again = first + load.lines // 2
        with ThreadPoolExecutor(2) as pool:
            both = [
                pool.submit(drive, server, load.file, first=again, seconds=seconds, core=core)
                for server, core in ((alone, core_of_one), (other, core_of_two))
            ]
            found.append(sum(round_.result().rate for round_ in both) / single.rate)
    return median(found)
