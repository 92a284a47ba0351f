"""Many writers edit the same rows over HTTP at the same time; none of their edits may be lost.

Run it as ``python tests/faults/concurrent_writers.py``. Each writer counts a row's stock up by one, again and
again: it reads the row and its ETag, and patches it with If-Match. Who is too late gets 412, and tries again.
"""

import argparse
import sys
import threading
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))  # it is run as a file, from anywhere

from tests.faults.databases import ENGINES, key_for, new_database, opened
from tests.faults.workers import client_of, worker

ROWS = 8
MOST_ATTEMPTS = 10_000
"""After so many attempts at one edit a writer gives up, and the edit counts as lost."""


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What came of it: edits wanted and acknowledged, answers by status, what the catalogue says."""

    wanted: int
    answers: Counter
    stock: int
    changes: int
    revisions: int
    broken_steps: int
    seconds: float

    @property
    def acknowledged(self):
        return self.answers[200]

    @property
    def is_whole(self):
        """Whether every edit was acknowledged, and each is in the stock and in the feed."""
        counts = {self.wanted, self.acknowledged, self.stock, self.changes, self.revisions}
        return len(counts) == 1 and not self.broken_steps and set(self.answers) <= {200, 412, 503}


def run(url, *, writers, edits):
    """Let the writers write, and look what came of it."""
    with opened(url) as database:
        key = key_for(database)
    with worker(url) as port:
        with client_of(port, key) as client:
            for row in range(ROWS):
                axle = {"name": "An axle", "fastening": "two_piece", "stock": 0}
                assert client.send("PUT", _path(row), axle, if_none_match="*")[0] == 201
        begin = time.monotonic()
        answers = _write_together(port, key, writers=writers, edits=edits)
        seconds = time.monotonic() - begin
        with client_of(port, key) as client:
            changes = _changes(client, since=ROWS)
            return Outcome(
                wanted=writers * edits,
                answers=answers,
                stock=sum(client.send("GET", _path(row))[2]["stock"] for row in range(ROWS)),
                changes=len(changes),
                revisions=client.send("GET", "/health/ready")[2]["catalogue_revision"] - ROWS,
                broken_steps=sum(c["after"]["stock"] != c["before"]["stock"] + 1 for c in changes),
                seconds=seconds,
            )


def _path(row):
    return f"/v1/axles/ROW-{row}"


def _write_together(port, key, *, writers, edits):
    """How often each status was answered to a patch."""
    found = [Counter() for _ in range(writers)]
    together = threading.Barrier(writers)

    def write(writer):
        with client_of(port, key) as client:
            together.wait()
            for edit in range(edits):
                _edit(client, _path((writer + edit) % ROWS), found[writer])

    threads = [threading.Thread(target=write, args=[writer]) for writer in range(writers)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sum(found, Counter())


def _edit(client, path, answers):
    """Count a row's stock up by one, and try until it is acknowledged."""
    for _ in range(MOST_ATTEMPTS):
        _, headers, axle = client.send("GET", path)
        patch = {"stock": axle["stock"] + 1}
        status, _, _ = client.send("PATCH", path, patch, if_match=headers["ETag"])
        answers[status] += 1
        if status == 200:
            return
        if status == 503:
            time.sleep(0.2)


def _changes(client, *, since):
    """All changes after a revision."""
    changes, cursor = [], ""
    while cursor is not None:
        page = client.send("GET", f"/v1/changes?since={since}&limit=1000{cursor}")[2]
        changes += page["items"]
        cursor = page["next_cursor"] and f"&cursor={page['next_cursor']}"
    return changes


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--engine", choices=ENGINES, action="append", help="both if left out")
    parser.add_argument("--writers", type=int, default=64)
    parser.add_argument("--rounds", type=int, default=50, help="edits of each writer")
    arguments = parser.parse_args()
    heads = ("engine", "writers", "edits", "acknowledged", "412", "503", "stock", "changes", "lost", "s")
    lines = ["".join(f"{head:>13}" for head in heads)]
    whole = True
    for engine in arguments.engine or ENGINES:
        with new_database(engine) as url:
            outcome = run(url, writers=arguments.writers, edits=arguments.rounds)
        values = (
            engine, arguments.writers, arguments.rounds, outcome.acknowledged, outcome.answers[412],
            outcome.answers[503], outcome.stock, outcome.changes, outcome.acknowledged - outcome.stock,
            f"{outcome.seconds:.1f}",
        )  # fmt: skip
        lines.append("".join(f"{value:>13}" for value in values))
        whole = whole and outcome.is_whole
    sys.stdout.write("\n".join([*lines, "none lost" if whole else "NOT WHOLE"]) + "\n")
    return 0 if whole else 1


if __name__ == "__main__":
    sys.exit(main())
