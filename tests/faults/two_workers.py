"""Two worker processes on one database: a write through one is in the lookups of the other within a second.

Run it as ``python tests/faults/two_workers.py``. In each round one worker takes a write, and the other is
asked for the same lookup until the written stock is in its answer; then the two change places.
"""

import argparse
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))  # it is run as a file, from anywhere

from tests.faults.databases import ENGINES, key_for, new_database, opened
from tests.faults.workers import client_of, worker

WITHIN_S = 1.0
PATIENCE_S = 10.0
LOOKUP = "/v1/fits?fastening=threaded_wall&outside_width_mm=36.4&bore_mm=8&thread=M8x1.25"
AXLE = {
    "name": "Threaded wall 8 x 36 mm, M8x1.25",
    "fastening": "threaded_wall",
    "shaft_mm": 8,
    "length_mm": 36,
    "thread": "M8x1.25",
    "thread_length_mm": 12,
    "stock": 0,
}
PATH = "/v1/axles/SEEN-1"


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """How long the other worker took [s] until a write was in its lookup, for each write."""

    seconds: list

    @property
    def agrees_in_time(self):
        return max(self.seconds) < WITHIN_S


def run(url, *, rounds):
    """Write through one worker and look up through the other, by turns."""
    with opened(url) as database:
        key = key_for(database)
    with worker(url) as one, worker(url) as two, client_of(one, key) as first, client_of(two, key) as second:
        assert first.send("PUT", PATH, AXLE, if_none_match="*")[0] == 201
        _seconds_until_seen(second, 0)
        seconds = []
        for stock in range(1, rounds + 1):
            writes, reads = (first, second) if stock % 2 else (second, first)
            assert writes.send("PATCH", PATH, {"stock": stock}, if_match="*")[0] == 200
            seconds.append(_seconds_until_seen(reads, stock))
    return Outcome(seconds=seconds)


def _seconds_until_seen(client, stock):
    """How long it takes until a lookup answers with this stock [s]."""
    begin = time.monotonic()
    while True:
        fits = client.send("GET", LOOKUP)[2]["fits"]
        passed = time.monotonic() - begin
        if [fit["axle"]["stock"] for fit in fits] == [stock]:
            return passed
        if passed > PATIENCE_S:
            raise RuntimeError(f"a write was not seen within {PATIENCE_S:g} s")
        time.sleep(0.01)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--engine", choices=ENGINES, action="append", help="both if left out")
    parser.add_argument("--rounds", type=int, default=50)
    arguments = parser.parse_args()
    lines = ["".join(f"{head:>13}" for head in ("engine", "writes", "median s", "longest s"))]
    in_time = True
    for engine in arguments.engine or ENGINES:
        with new_database(engine) as url:
            outcome = run(url, rounds=arguments.rounds)
        values = (
            engine,
            len(outcome.seconds),
            f"{median(outcome.seconds):.3f}",
            f"{max(outcome.seconds):.3f}",
        )
        lines.append("".join(f"{value:>13}" for value in values))
        in_time = in_time and outcome.agrees_in_time
    lines.append(f"each within {WITHIN_S:g} s" if in_time else "TOO LATE")
    sys.stdout.write("\n".join(lines) + "\n")
    return 0 if in_time else 1


if __name__ == "__main__":
    sys.exit(main())
