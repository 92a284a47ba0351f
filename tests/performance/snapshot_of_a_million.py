"""What the snapshot of a large catalogue costs: built, followed, and replaced under lookups.

    python tests/performance/snapshot_of_a_million.py [--axles N] [--file FILE]

Without a file an invented catalogue is made first. Then, one after the other:

- the snapshot is read from the SQLite table: wall and CPU seconds, and the most memory that the process has
  had (wanted for a million: 60 s and 1.5 GB);
- one axle's stock is changed, again and again, and each change followed: milliseconds;
- the whole is read anew in a thread, as after a large import, while this thread answers: every few
  milliseconds it judges some kinds and takes the JSON of ten axles, the work of a lookup without its HTTP.
  How long after its time an answer is ready, beside the same without a thread (wanted: p99 at most 3 times).
"""

import argparse
import resource
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from itertools import count, cycle, islice
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from sqlalchemy import text

from schemas.lookup import LookupRequest
from service.catalogue.records import TABLES, entry_of
from service.catalogue.snapshot import SnapshotKeeper
from service.catalogue.writing import catalogue_write
from service.engine.judgement import judge
from service.fitting.translate import frame_of
from service.store.database import Database

AXLES = TABLES["axles"]
EVERY_SECONDS = 0.01
KINDS, JSON = 12, 10
FRAME = LookupRequest(outside_width_mm=36.4, fastening="threaded_wall", far_wall_mm=6, bore_mm=8)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--axles", type=int, default=1_000_000)
    parser.add_argument("--file", type=Path)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        file = asked.file or Path(folder) / "invented.sqlite3"
        if not file.exists():
            maker = Path(__file__).with_name("invented_catalogue.py")
            subprocess.run([sys.executable, maker, file, "--axles", str(asked.axles)], check=True)
        database = Database(f"sqlite:///{file}")
        measure(database)
        database.close()


def measure(database):
    keeper = SnapshotKeeper(database)
    wall, cpu = timed(keeper.refresh)
    held = keeper.current
    print(f"{len(held.axles)} axles of {len(held.kinds)} kinds")
    print(f"read in {wall:.1f} s ({cpu:.1f} s of CPU), at most {peak_mb():.0f} MB")
    edits = sorted(1000 * follow_one_edit(database, keeper, number) for number in range(30))
    print(f"one edit followed in {statistics.median(edits):.1f} ms, at most {edits[-1]:.1f} ms")
    del held
    usual = answers_until(keeper, time.perf_counter() + 20)
    reading = threading.Thread(target=read_anew, args=(database, keeper))
    began = time.perf_counter()
    reading.start()
    meanwhile = answers_until(keeper, lambda: not reading.is_alive())
    print(f"read anew beside lookups in {time.perf_counter() - began:.1f} s, at most {peak_mb():.0f} MB")
    print(f"usual: {shares_of(usual)}")
    print(f"meanwhile: {shares_of(meanwhile)}; p99 is {p99(meanwhile) / p99(usual):.2f} times the usual")


def p99(times):
    return times[int(len(times) * 0.99)]


def shares_of(times):
    middle, late, last = (1000 * seconds for seconds in (statistics.median(times), p99(times), times[-1]))
    return f"{len(times)} answers, p50 {middle:.2f} ms, p99 {late:.2f} ms, last {last:.1f} ms"


def timed(work):
    wall, cpu = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - wall, time.process_time() - cpu


def follow_one_edit(database, keeper, number):
    """How long the snapshot takes to follow one axle's new stock; the write itself is not counted."""
    skus = list(islice(keeper.current.axles, 40_000))
    sku = skus[(number * 1301) % len(skus)]
    with catalogue_write(database, actor="a measurement", action="put") as write:
        record = write.find(AXLES, sku).model_copy(update={"stock": 1000 + number})
        write.put(AXLES, [entry_of(AXLES, record)])
    seconds, _ = timed(keeper.refresh)
    assert keeper.current.axles[sku].stock == 1000 + number
    return seconds


def read_anew(database, keeper):
    """A write that is not recorded, as of the previous release, must be read with all others."""
    with database.writing() as session:
        session.connection().execute(text("UPDATE catalogue SET revision = revision + 1"))
    keeper.refresh()


def answers_until(keeper, over):
    """How long after its time each answer was ready, in order: one is wanted every few milliseconds."""
    is_over = over if callable(over) else lambda: time.perf_counter() > over
    frame = frame_of(FRAME)
    places = cycle(range(0, len(keeper.current.kinds) - KINDS, 97))
    times, began = [], time.perf_counter()
    for number in count():
        due = began + number * EVERY_SECONDS
        if due > (now := time.perf_counter()):
            time.sleep(due - now)
        answer(keeper.current, frame, next(places))
        times.append(time.perf_counter() - due)
        if is_over():
            return sorted(times)
    return times


def answer(snapshot, frame, first):
    kinds = snapshot.kinds[first : first + KINDS]
    for kind in kinds:
        judge(kind.axle, frame, snapshot.facts)
    skus = islice((kind.skus[0] for kind in kinds if kind.skus), JSON)
    return b"".join(map(snapshot.axle_json, skus))


def peak_mb():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    main()
