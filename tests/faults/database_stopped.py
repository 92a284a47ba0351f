"""PostgreSQL is stopped under load for minutes: lookups go on and say their age, writes are told to wait.

Run it as ``python tests/faults/database_stopped.py``. Two threads look up, one writes; the database is
stopped as a failure would stop it, and started again. Counted is what each got before, meanwhile, and after.
"""

import argparse
import sys
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))  # it is run as a file, from anywhere

from tests.both_engines import with_demonstration
from tests.faults.databases import key_for, opened
from tests.faults.workers import client_of, worker
from tests.postgresql_server import binaries, running_server

LOOKUP = "/v1/fits?fastening=threaded_wall&outside_width_mm={width:.2f}&bore_mm=8&limit=3"
AXLE = "/v1/axles/TW8-36-M8-HX"
NOTICED_WITHIN_S = 5.0
"""How long after the stop answers may not say their age yet: two looks at the revision and patience."""
RECOVERED_WITHIN_S = 5.0
PAUSE_S = 0.02


@dataclass(kw_only=True)
class Outcome:
    """What was answered while the database was away, and how soon all was well again."""

    before: Counter = field(default_factory=Counter)
    lookups: Counter = field(default_factory=Counter)
    unmarked: int = 0
    writes: Counter = field(default_factory=Counter)
    first_write_s: float | None = None
    first_fresh_lookup_s: float | None = None

    @property
    def is_well(self):
        recovered = [self.first_write_s, self.first_fresh_lookup_s]
        return (
            set(self.lookups) == {200}
            and self.unmarked == 0
            and set(self.writes) == {503}
            and all(seconds is not None and seconds <= RECOVERED_WITHIN_S for seconds in recovered)
        )


class _Stage:
    """Which stage the load is in; each answer is noted with the stage that it was asked in."""

    def __init__(self):
        self.name = "before"
        self.began = time.monotonic()
        self.outcome = Outcome()
        self._lock = threading.Lock()
        self.over = threading.Event()

    def enter(self, name):
        with self._lock:
            self.name, self.began = name, time.monotonic()

    def looked_up(self, asked_in, status, headers):
        with self._lock:
            since = time.monotonic() - self.began
            if asked_in != self.name:
                return
            if self.name == "away":
                self.outcome.lookups[status] += 1
                self.outcome.unmarked += since > NOTICED_WITHIN_S and "Catalogue-Age" not in headers
            elif self.name == "after" and status == 200 and "Catalogue-Age" not in headers:
                self.outcome.first_fresh_lookup_s = self.outcome.first_fresh_lookup_s or since
            elif self.name == "before":
                self.outcome.before[f"lookup {status}"] += 1

    def wrote(self, asked_in, status):
        with self._lock:
            if asked_in != self.name:
                return
            if self.name == "away":
                self.outcome.writes[status] += 1
            elif self.name == "after" and status == 200:
                self.outcome.first_write_s = self.outcome.first_write_s or time.monotonic() - self.began
            elif self.name == "before":
                self.outcome.before[f"write {status}"] += 1


def _look_up(port, stage):
    with client_of(port) as client:
        number = 0
        while not stage.over.wait(PAUSE_S):
            number += 1
            asked_in = stage.name
            status, headers, _ = client.send("GET", LOOKUP.format(width=30 + number % 1000 / 100))
            stage.looked_up(asked_in, status, headers)


def _write(port, key, stage):
    """Change the stock of an axle again and again, as it is read."""
    with client_of(port, key) as client:
        number = 0
        while not stage.over.wait(PAUSE_S):
            number += 1
            asked_in = stage.name
            tag = client.send("GET", AXLE)[1]["ETag"]
            status, _, _ = client.send("PATCH", AXLE, {"stock": number % 50}, If_Match=tag)
            stage.wrote(asked_in, status)


def run(*, seconds):
    """Stop the database under load for so long, and start it again."""
    with running_server(binaries()) as server:
        url = with_demonstration(server.new_database())
        with opened(url) as database:
            key = key_for(database)
        with worker(url) as port:
            stage = _Stage()
            load = [threading.Thread(target=_look_up, args=(port, stage)) for _ in range(2)]
            load.append(threading.Thread(target=_write, args=(port, key, stage)))
            for thread in load:
                thread.start()
            try:
                time.sleep(3)
                server.stop()
                stage.enter("away")
                time.sleep(seconds)
                stage.enter("starting")
                server.start()
                stage.enter("after")
                time.sleep(RECOVERED_WITHIN_S + 2)
            finally:
                stage.over.set()
                for thread in load:
                    thread.join()
    return stage.outcome


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=300.0)
    arguments = parser.parse_args()
    outcome = run(seconds=arguments.seconds)
    print(f"before: {dict(outcome.before)}")
    print(f"away for {arguments.seconds:g} s: lookups {dict(outcome.lookups)}, writes {dict(outcome.writes)}")
    print(f"  {outcome.unmarked} lookups without their age after {NOTICED_WITHIN_S:g} s")
    print(f"after: the first write came through in {outcome.first_write_s} s")
    print(f"  the first lookup without an age in {outcome.first_fresh_lookup_s} s")
    print("as it should be" if outcome.is_well else "NOT AS IT SHOULD BE")
    return 0 if outcome.is_well else 1


if __name__ == "__main__":
    sys.exit(main())
