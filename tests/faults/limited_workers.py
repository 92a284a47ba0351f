"""Two worker processes on one database: together they let through as many requests as the limit says.

Run it as ``python tests/faults/limited_workers.py``. Threads send requests to both workers at once until all
are answered, with a key and without one; each client gets exactly its limit, and 429 for the rest.
"""

import argparse
import sys
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))  # it is run as a file, from anywhere

from tests.faults.databases import ENGINES, key_for, new_database, opened
from tests.faults.workers import client_of, worker

WINDOW_S = 60.0
PATH = "/v1/axles?limit=1"
REFUSED = 429


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """How many answers of each status came without a key and with one, and what was allowed."""

    limit: int
    key_limit: int
    by_address: Counter
    by_key: Counter
    remaining: list
    seconds: float

    @property
    def is_exact(self):
        return (self.by_address[200], self.by_key[200]) == (self.limit, self.key_limit) and (
            sorted(self.remaining) == list(range(self.limit))
        )


def run(url, *, limit, key_limit, senders):
    """Send half as many again as are allowed, through both workers by turns, and count the answers."""
    settings = {"limit_per_minute": limit, "key_limit_per_minute": key_limit}
    with opened(url) as database:
        key = key_for(database)
    with worker(url, **settings) as one, worker(url, **settings) as two:
        begin = time.monotonic()
        by_address = _send((one, two), None, requests=limit * 3 // 2, senders=senders)
        by_key = _send((one, two), key, requests=key_limit * 3 // 2, senders=senders)
        seconds = time.monotonic() - begin
    if seconds > WINDOW_S:
        raise RuntimeError("the machine is too slow to send all that in one window")
    return Outcome(
        limit=limit,
        key_limit=key_limit,
        by_address=Counter(status for status, _ in by_address),
        by_key=Counter(status for status, _ in by_key),
        remaining=[left for status, left in by_address if status != REFUSED],
        seconds=seconds,
    )


def _send(ports, key, *, requests, senders):
    """The status of each answer, and how many requests it says to be left."""
    shares = [requests // senders + (number < requests % senders) for number in range(senders)]

    def send(number):
        with client_of(ports[number % len(ports)], key) as client:
            return [_answer(client) for _ in range(shares[number])]

    with ThreadPoolExecutor(senders) as threads:
        return [answer for answers in threads.map(send, range(senders)) for answer in answers]


def _answer(client):
    status, headers, _ = client.send("GET", PATH)
    left = headers["RateLimit"].partition(";r=")[2].partition(";")[0]
    return status, int(left)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--engine", choices=ENGINES, action="append", help="both if left out")
    parser.add_argument("--limit", type=int, default=1000)
    parser.add_argument("--senders", type=int, default=16)
    arguments = parser.parse_args()
    lines = [
        "".join(f"{head:>14}" for head in ("engine", "limit", "let through", "with a key", "refused", "s"))
    ]
    exact = True
    for engine in arguments.engine or ENGINES:
        with new_database(engine) as url:
            key_limit = arguments.limit // 2
            outcome = run(url, limit=arguments.limit, key_limit=key_limit, senders=arguments.senders)
        refused = outcome.by_address[REFUSED] + outcome.by_key[REFUSED]
        values = (
            engine,
            f"{outcome.limit}+{outcome.key_limit}",
            outcome.by_address[200],
            outcome.by_key[200],
            refused,
            f"{outcome.seconds:.1f}",
        )
        lines.append("".join(f"{value:>14}" for value in values))
        exact = exact and outcome.is_exact
    lines.append("exact" if exact else "NOT EXACT")
    sys.stdout.write("\n".join(lines) + "\n")
    return 0 if exact else 1


if __name__ == "__main__":
    sys.exit(main())
