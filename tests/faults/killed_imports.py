"""An importing process is killed at a random moment, again and again; no import may be half, none lost.

Run it as ``python tests/faults/killed_imports.py``. In each round a process runs the command `import` over
and over, each time with a file that gives every axle the same stock; it is ended with SIGKILL. Whatever the
database has then must be one whole file, and no older than the last import that the process acknowledged. The
processes are forked from a server that has loaded the program, so that they begin at once.
"""

import argparse
import os
import random
import signal
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))  # it is run as a file, from anywhere

from sqlmodel import text

from service.catalogue.records import record_json
from service.catalogue.snapshot import read_snapshot
from tests.faults.databases import ENGINES, new_database, opened
from tests.faults.forks import pipe, run_command, start

ROWS = 400
LATEST_KILL_S = 1.0
"""After the process has begun; an import takes about a tenth of this."""
SEED = 4


@dataclass(kw_only=True)
class Outcome:
    """What the rounds came to."""

    rounds: int = 0
    acknowledged: int = 0
    under_way: int = 0
    half: int = 0
    lost: int = 0
    unrecorded: int = 0
    unlike_feed: int = 0
    revision: int = 0

    @property
    def is_whole(self):
        return self.half == self.lost == self.unrecorded == self.unlike_feed == 0


def import_until_killed(url, folder, first_stock, acknowledgements):
    """What the killed process does: write a file, import it with the command, and so on."""
    os.dup2(acknowledgements.fileno(), 1)
    sys.stdout = os.fdopen(1, "w", buffering=1)
    print("begun")
    path = Path(folder) / "axles.csv"
    for stock in range(first_stock, first_stock + 1000):
        rows = "".join(f"A-{number},An axle,two_piece,{stock}\n" for number in range(ROWS))
        path.write_text("sku,name,fastening,stock\n" + rows, encoding="utf-8")
        run_command("import", "axles", str(path), database_url=url)


def run(url, *, rounds, seed=SEED):
    """Kill as many importing processes, and look at the database after each."""
    choice = random.Random(seed)  # noqa: S311 (the same moments on every machine)
    outcome = Outcome()
    with opened(url) as database, tempfile.TemporaryDirectory(prefix="axlefit-import-") as folder:
        for round_ in range(rounds):
            delay = choice.uniform(0, LATEST_KILL_S)
            acknowledged = _kill_one(url, folder, round_ * 1000 + 1, delay)
            _judge(database, acknowledged, outcome)
        outcome.unlike_feed = _unlike_feed(database)
    return outcome


def _kill_one(url, folder, first_stock, delay):
    """Start a process and kill it; the imports that it acknowledged are returned, by their revisions."""
    reading, writing = pipe()
    process = start(import_until_killed, url, folder, first_stock, writing)
    writing.close()
    with os.fdopen(os.dup(reading.fileno()), encoding="utf-8") as said, reading:
        assert said.readline() == "begun\n"
        time.sleep(delay)
        process.kill()
        process.join()
        lines = said.read().splitlines(keepends=True)
    assert process.exitcode == -signal.SIGKILL
    process.close()
    # A line that the kill cut off acknowledges nothing.
    return [int(line.rstrip(".\n").rpartition(" ")[2]) for line in lines if line.endswith(".\n")]


def _judge(database, acknowledged, outcome):
    """Count what is wrong with the database now, as one transaction sees it."""
    with database.reading() as session:
        ask = session.connection().execute
        revision = ask(text("SELECT revision FROM catalogue")).scalar_one()
        rows, stocks = ask(text("SELECT count(*), count(DISTINCT stock) FROM axle")).one()
        writes, last = ask(text("SELECT count(*), max(revision) FROM catalogue_write")).one()
        changes = ask(text("SELECT count(*) FROM catalogue_change")).scalar_one()
    outcome.rounds += 1
    outcome.acknowledged += len(acknowledged)
    known = outcome.revision + len(acknowledged)
    outcome.half += (rows, stocks) not in {(0, 0), (ROWS, 1)}
    outcome.lost += revision < max([outcome.revision, *acknowledged])
    outcome.unrecorded += (writes, changes) != (revision, revision * ROWS)
    outcome.unrecorded += (last or 0) != revision
    outcome.under_way += revision - known
    outcome.revision = revision


def _unlike_feed(database):
    """How many axles are not what the last change of the feed made them."""
    axles = {sku: record_json(axle) for sku, axle in read_snapshot(database).axles.items()}
    with database.reading() as session:
        found = session.connection().execute(
            text("SELECT record_key, record_after FROM catalogue_change ORDER BY revision, ordinal")
        )
        feed = {row.record_key: row.record_after for row in found}
    return sum(axles.get(key) != feed.get(key) for key in axles.keys() | feed.keys())


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--engine", choices=ENGINES, action="append", help="both if left out")
    parser.add_argument("--rounds", type=int, default=100)
    arguments = parser.parse_args()
    heads = (
        "engine",
        "kills",
        "acknowledged",
        "unheard",
        "revision",
        "half",
        "lost",
        "unrecorded",
        "unlike feed",
    )
    lines = ["".join(f"{head:>13}" for head in heads)]
    whole = True
    for engine in arguments.engine or ENGINES:
        with new_database(engine) as url:
            outcome = run(url, rounds=arguments.rounds)
        values = (
            engine, outcome.rounds, outcome.acknowledged, outcome.under_way, outcome.revision, outcome.half,
            outcome.lost, outcome.unrecorded, outcome.unlike_feed,
        )  # fmt: skip
        lines.append("".join(f"{value:>13}" for value in values))
        whole = whole and outcome.is_whole
    lines.append("never half, none lost" if whole else "NOT WHOLE")
    sys.stdout.write("\n".join(lines) + "\n")
    return 0 if whole else 1


if __name__ == "__main__":
    sys.exit(main())
