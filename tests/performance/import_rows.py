"""How long importing 100,000 rows takes, beside reading and inserting the same file with nothing checked.

    python tests/performance/import_rows.py [--rows N]

Two measures to compare with, both the csv module and sqlite3's executemany: into a table without any
constraint but the key, and into the table of the migrations with its CHECK constraints and index. CPU
and wall time, the best of three rounds; and the memory that the import takes above the idle process.
"""

import argparse
import csv
import itertools
import resource
import sqlite3
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from service.catalogue.records import TABLES, entry_of
from service.catalogue.transfer import import_table
from service.store.database import Database
from service.store.schema import upgrade

SEED = Path(__file__).resolve().parents[2] / "seed_data" / "axles.csv"
AXLES = TABLES["axles"]


def write_file(path, rows):
    """The demonstration's axles again and again, each with a key of its own."""
    with SEED.open(encoding="utf-8", newline="") as seed:
        parts = list(csv.DictReader(seed))
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, list(parts[0]), lineterminator="\n")
        writer.writeheader()
        for number, part in zip(range(rows), itertools.cycle(parts), strict=False):
            writer.writerow(part | {"sku": f"{part['sku'][:30]}-{number}", "gtin": ""})


def insert_unchecked(source, target):
    """The file's cells as they are, into a table that takes anything."""
    connection = sqlite3.connect(target)
    with source.open(encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        header = next(rows)
        columns = ", ".join(f"{name} PRIMARY KEY" if name == "sku" else name for name in header)
        connection.execute(f"CREATE TABLE axle ({columns})")
        connection.executemany(f"INSERT INTO axle VALUES ({', '.join('?' * len(header))})", rows)  # noqa: S608
    connection.commit()
    connection.close()


def insert_checked(source, target):
    """Rows that are ready, into the table of the migrations; reading the file is counted, checking it not."""
    database = Database(f"sqlite:///{target}", create=True)
    upgrade(database)
    connection = sqlite3.connect(target)
    places = ", ".join("?" * len(AXLES.row_columns))
    statement = f"INSERT INTO axle ({', '.join(AXLES.row_columns)}) VALUES ({places})"  # noqa: S608
    with source.open(encoding="utf-8", newline="") as file:
        prepared = _prepared(file)
        began = time.process_time(), time.perf_counter()
        file.seek(0)
        for _ in csv.reader(file):
            pass
        connection.executemany(statement, prepared)
    connection.commit()
    connection.close()
    return began


def _prepared(file):
    rows = ({column: cell for column, cell in row.items() if cell} for row in csv.DictReader(file))
    return [entry_of(AXLES, AXLES.record.model_validate(row)).row for row in rows]


def import_rows(source, target):
    """The import itself."""
    database = Database(f"sqlite:///{target}", create=True)
    upgrade(database)
    began = time.process_time(), time.perf_counter()
    with source.open("rb") as file:
        import_table(database, AXLES, file, actor="a measurement")
    return began


def measured(work, source, folder):
    """CPU and wall seconds of the best of three rounds."""
    best = (float("inf"), float("inf"))
    for number in range(3):
        target = folder / f"{work.__name__}-{number}.sqlite3"
        began = (time.process_time(), time.perf_counter())
        began = work(source, target) or began
        best = min(best, (time.process_time() - began[0], time.perf_counter() - began[1]))
        target.unlink()
    return best


def peak_mb():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rows", type=int, default=100_000)
    rows = parser.parse_args().rows
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        source = folder / "axles.csv"
        write_file(source, rows)
        idle = peak_mb()
        figures = {"import": measured(import_rows, source, folder)}
        above_idle = peak_mb() - idle
        figures["csv and executemany, no constraint"] = measured(insert_unchecked, source, folder)
        figures["csv and executemany, our table"] = measured(insert_checked, source, folder)
    print(f"{'':36}{'CPU s':>8}{'wall s':>8}{'import is':>12}")
    for label, (cpu, wall) in figures.items():
        print(f"{label:36}{cpu:8.2f}{wall:8.2f}{figures['import'][1] / wall:10.1f} x")
    print(f"{rows} rows; the import took {above_idle:.0f} MB above the idle process.")


if __name__ == "__main__":
    main()
