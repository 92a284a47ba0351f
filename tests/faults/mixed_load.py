"""An hour of mixed load: memory, open files and connections must not grow.

Run it as ``python tests/faults/mixed_load.py``. Four clients ask a worker for everything that it has, right
and wrong, in a seeded order, and write; its memory, file handles and database connections are looked at
every ten seconds. The last fifth of the time is compared with the fifth after the first, in which
caches fill.
"""

import argparse
import itertools
import json
import os
import random
import statistics
import sys
import threading
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))  # it is run as a file, from anywhere

import psycopg

from tests.both_engines import with_demonstration
from tests.faults.databases import key_for, opened
from tests.faults.workers import client_of, worker_process
from tests.postgresql_server import binaries, running_server

CLIENTS = 4
LOOK_EVERY_S = 10.0
PAUSE_S = 0.4
GROWTH = 0.02
SEED = 8


def _lookup(choice):
    fields = [
        ("fastening", choice.choice(["threaded_wall", "two_piece", "bolt_and_nut", ""])),
        ("outside_width_mm", f"{choice.uniform(25, 60):.2f}"),
        ("bore_mm", choice.choice(["8", "6.3", "6", "7.9", ""])),
        ("far_wall_mm", choice.choice(["", "4", "5.5", "6", f"{choice.uniform(3, 8):.2f}"])),
        ("thread", choice.choice(["", "M8x1.25", "M6"])),
    ]
    return "&".join(f"{name}={value}" for name, value in fields if value)


def _any_request(choice, number):
    """Method, path, body and headers of a request of any kind."""
    lookup = _lookup(choice)
    body = {"outside_width_mm": round(choice.uniform(25, 60), 2), "limit": choice.randint(1, 100)}
    language = {"Accept_Language": choice.choice(["en", "de", "fr", "nl", "es", "it", "la", "*;q=0"])}
    kinds = [
        ("GET", f"/v1/fits?{lookup}", None, language),
        ("GET", f"/v1/fits?{lookup}&limit=100", None, language),
        ("GET", f"/v1/facets?{lookup}", None, {}),
        ("GET", f"/v1/fits/drawing.svg?{lookup}&sku=TW8-36-M8-HX", None, language),
        ("POST", "/v1/fits", body, language),
        ("POST", "/v1/fits", {"outside_width_mm": "36,4", f"unknown_{number}": 1}, {}),
        ("POST", "/v1/kits", {"frame": "QH-ALDER", "brake": "right"}, language),
        ("POST", "/v1/axles/identify", {"overall_length_mm": body["outside_width_mm"]}, language),
        ("GET", f"/v1/axles?outside_width_mm={body['outside_width_mm']}&limit=100", None, {}),
        ("GET", "/v1/axles/TW8-36-M8-HX/equivalents", None, language),
        ("GET", f"/v1/axles/NONE-{number}", None, {}),
        ("GET", "/v1/changes?since=0&limit=100", None, {}),
        ("GET", "/counter", None, language),
        ("GET", "/documentation", None, {}),
        ("GET", "/v1/rockers/drawing.svg?frame=QH-ALDER&wheel_diameters_mm=76", None, language),
        ("GET", "/openapi.json", None, {}),
        ("GET", "/metrics", None, {}),
        ("GET", f"/nowhere/{number}", None, {}),
        ("PUT", f"/v1/axles/NONE-{number}", {"sku": "other"}, {}),
    ]
    return choice.choice(kinds)


def _load(port, key, seed, answered, over):
    """One client: anything in a seeded order, each twentieth time a write of a stock."""
    choice = random.Random(seed)  # noqa: S311 (the same load on every machine)
    with client_of(port, key) as client:
        for number in itertools.count():
            if over.wait(PAUSE_S):
                return
            if number % 20 == 0:
                path = "/v1/axles/TW8-36-M8-HX"
                tag = client.ask("GET", path)[1]["ETag"]
                request = ("PATCH", path, {"stock": number % 90}, {"If_Match": tag})
            else:
                request = _any_request(choice, number)
            method, path, body, headers = request
            status = client.ask(method, path, body, **headers)[0]
            answered[status] += 1


def _look(process, url):
    """Memory [MiB], open files, and connections to the database."""
    proc = Path("/proc") / str(process.pid)
    pages = int((proc / "statm").read_text().split()[1])
    with psycopg.connect(url, autocommit=True) as connection:
        (connections,) = connection.execute(
            "SELECT count(*) - 1 FROM pg_stat_activity WHERE datname = current_database()"  # but for this one
        ).fetchone()
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20, len(list((proc / "fd").iterdir())), connections


def run(*, minutes):
    """The looks, in order, and how often each status was answered."""
    answered, over, looks = Counter(), threading.Event(), []
    with running_server(binaries()) as server:
        url = with_demonstration(server.new_database())
        with opened(url) as database:
            key = key_for(database)
        with worker_process(url, limit_per_minute=1_000_000) as (port, process):
            clients = [
                threading.Thread(target=_load, args=(port, key, SEED + number, answered, over))
                for number in range(CLIENTS)
            ]
            for client in clients:
                client.start()
            try:
                end = time.monotonic() + 60 * minutes
                while time.monotonic() < end:
                    time.sleep(min(LOOK_EVERY_S, 6 * minutes))
                    looks.append(_look(process, url))
            finally:
                over.set()
                for client in clients:
                    client.join()
    return looks, answered


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--minutes", type=float, default=60.0)
    arguments = parser.parse_args()
    looks, answered = run(minutes=arguments.minutes)
    fifth = len(looks) // 5
    flat = True
    for name, values in zip(
        ("memory [MiB]", "open files", "connections"), zip(*looks, strict=True), strict=True
    ):
        early, late = statistics.median(values[fifth : 2 * fifth]), statistics.median(values[-fifth:])
        growth = late / early - 1
        flat = flat and growth <= GROWTH
        print(
            f"{name:14} {early:9.1f} then {late:9.1f} at the end: {growth:+.1%} (largest {max(values):.1f})"
        )
    unexpected = sum(count for status, count in answered.items() if status >= 500)
    print(f"{sum(answered.values()):,} answers: {json.dumps(dict(sorted(answered.items())))}")
    print("flat" if flat and not unexpected else "NOT FLAT" if not flat else "FAILED ANSWERS")
    return 0 if flat and not unexpected else 1


if __name__ == "__main__":
    sys.exit(main())
