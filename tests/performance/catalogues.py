"""Catalogues to measure on: the service's database, and the table of parts that the competitors query."""

import csv
import os
import sqlite3
import subprocess
import sys
import time
from itertools import islice

from driven import RefusedError
from invented_catalogue import invented_axles, write_catalogue
from served import ROOT

from service.catalogue.records import TABLES
from service.catalogue.snapshot import read_snapshot
from service.engine.windows import width_window
from service.store.database import Database

_WALL_MM = 6.0
_PARTS = """
    CREATE TABLE parts (
        sku TEXT PRIMARY KEY, name TEXT NOT NULL, fastening TEXT NOT NULL, shaft_mm REAL, thread TEXT,
        length_mm REAL, drive TEXT, driven_heads INTEGER, keyed_profile TEXT, material TEXT, colour TEXT,
        pack_quantity INTEGER, price REAL, currency TEXT, stock INTEGER,
        lower_mm REAL NOT NULL, upper_mm REAL NOT NULL, ideal_mm REAL NOT NULL
    ) WITHOUT ROWID
"""
_INDEXES = (
    "CREATE INDEX parts_by_ideal ON parts (fastening, shaft_mm, ideal_mm, lower_mm, upper_mm, thread)",
    "CREATE INDEX parts_by_width ON parts (fastening, shaft_mm, lower_mm, upper_mm)",
)
_COLUMNS = [
    "sku",
    "name",
    "fastening",
    "shaft_mm",
    "thread",
    "length_mm",
    "drive",
    "driven_heads",
    "keyed_profile",
    "material",
    "colour",
    "pack_quantity",
    "price",
    "currency",
    "stock",
]


def operate(database, *arguments):
    """Run a command of the service on this database."""
    done = subprocess.run(
        [sys.executable, "-m", "service", *map(str, arguments)],
        cwd=ROOT,
        env=os.environ | {"AXLEFIT_DATABASE_URL": f"sqlite:///{database}"},
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        raise RefusedError(f"{' '.join(map(str, arguments))}: {done.stderr[-2000:]}")


def table_of_parts(database, file):
    """The competitors' table: the parts with the limits of their windows, as far as they have one."""
    if file.exists():
        return file
    opened = Database(f"sqlite:///{database}")
    snapshot = read_snapshot(opened)
    opened.close()
    begun = file.with_suffix(".begun")
    begun.unlink(missing_ok=True)
    with sqlite3.connect(begun) as connection:
        connection.execute(_PARTS)
        marks = ", ".join("?" * (len(_COLUMNS) + 3))
        connection.executemany(f"INSERT INTO parts VALUES ({marks})", _rows(snapshot))  # noqa: S608
        for index in _INDEXES:
            connection.execute(index)
        connection.execute("ANALYZE")
    connection.close()
    begun.rename(file)
    return file


def _rows(snapshot):
    for axle, record in zip(snapshot.engine_axles, snapshot.axles.values(), strict=True):
        window = width_window(axle, far_wall_mm=_WALL_MM)
        if window is not None:
            values = record.model_dump(mode="json", include=set(_COLUMNS))
            price = None if record.price is None else float(record.price)
            row = {**values, "price": price}
            yield (*(row[name] for name in _COLUMNS), window.lower_mm, window.upper_mm, window.ideal_mm)


def catalogue(folder, parts):
    """The service's database with so many parts, made once in a folder."""
    file = folder / f"catalogue-{parts}.sqlite3"
    if not file.exists():
        begun = file.with_suffix(".begun")
        begun.unlink(missing_ok=True)
        write_catalogue(begun, parts)
        begun.rename(file)
    return file


def change_stock(database, parts, *, most):
    """Import some of the parts with another stock, as an operator does."""
    file = database.with_suffix(".csv")
    with file.open("w", encoding="utf-8", newline="") as changed:
        rows = csv.DictWriter(changed, TABLES["axles"].columns)
        rows.writeheader()
        for axle in islice(invented_axles(parts), most):
            rows.writerow(axle | {"stock": time.time_ns() % 1000})
    operate(database, "import", "axles", file)
