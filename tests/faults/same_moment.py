"""One import sent to two workers at the same moment, with one Idempotency-Key: the work is done once.

Run it as ``python tests/faults/same_moment.py``. In each round threads send the same request to both workers
together; all must get one and the same answer, and the catalogue's revision may move by one alone.
"""

import argparse
import http.client
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))  # it is run as a file, from anywhere

from service.catalogue.transfer import current_revision
from tests.faults.databases import ENGINES, key_for, new_database, opened
from tests.faults.workers import worker

FILE = "sku,name,fastening\n" + "".join(f"S-{number},One,two_piece\n" for number in range(50))


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """How many requests were sent, the different answers of each round, and how often the work was done."""

    rounds: int
    sent: int
    answers: list
    revisions: int

    @property
    def is_once(self):
        return self.revisions == self.rounds and all(
            len(answers) == 1 and next(iter(answers))[0] == 200 for answers in self.answers
        )


def run(url, *, rounds, senders):
    """Send the same import from all senders at once, again and again with a new key."""
    with opened(url) as database:
        key = key_for(database)
        before = current_revision(database)
        with worker(url, imports_at_once=senders) as one, worker(url, imports_at_once=senders) as two:
            answers = [_round(f"round-{number}", (one, two), key, senders) for number in range(rounds)]
        revisions = current_revision(database) - before
    return Outcome(rounds=rounds, sent=rounds * senders, answers=answers, revisions=revisions)


def _round(name, ports, key, senders):
    """The different answers of one round."""
    together = threading.Barrier(senders)
    headers = {"Authorization": f"Bearer {key}", "Idempotency-Key": name, "Content-Type": "text/csv"}

    def send(number):
        connection = http.client.HTTPConnection("127.0.0.1", ports[number % len(ports)], timeout=60)
        connection.connect()
        together.wait()
        connection.request("POST", "/v1/imports?table=axles", FILE, headers)
        answer = connection.getresponse()
        content = answer.read()
        connection.close()
        return answer.status, content

    with ThreadPoolExecutor(senders) as threads:
        return set(threads.map(send, range(senders)))


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--engine", choices=ENGINES, action="append", help="both if left out")
    parser.add_argument("--rounds", type=int, default=20)
    parser.add_argument("--senders", type=int, default=8)
    arguments = parser.parse_args()
    lines = ["".join(f"{head:>13}" for head in ("engine", "rounds", "sent", "done"))]
    once = True
    for engine in arguments.engine or ENGINES:
        with new_database(engine) as url:
            outcome = run(url, rounds=arguments.rounds, senders=arguments.senders)
        values = (engine, outcome.rounds, outcome.sent, outcome.revisions)
        lines.append("".join(f"{value:>13}" for value in values))
        once = once and outcome.is_once
    lines.append("each once" if once else "NOT ONCE")
    sys.stdout.write("\n".join(lines) + "\n")
    return 0 if once else 1


if __name__ == "__main__":
    sys.exit(main())
