"""A catalogue of any size for measurements: invented, plausible, and the same for the same count and seed.

    python tests/performance/invented_catalogue.py FILE [--axles N] [--seed N]

makes a database by our migrations, with N axles and the demonstration's frames and sleeves.

How the axles are made: there are 400 series, as makers have them. A series has all that a maker decides
once: fastening, shaft and its tolerance, thread and its length, material, heads, offset, brake; the barrel's
mouth and thread, or the nut. Every axle is of some series and has some length of it (in steps of 0.5 mm
with shafts of 8 mm, else of 1 mm), and a drive, a colour, a pack, a price and a stock of its own. So a
million axles are of some 15,000 kinds. About one series in twelve, and one axle in twenty-five, lacks
something that the shop does not know. The barcodes begin with 20, the range for use inside a shop.
"""

import argparse
import random
import sqlite3
import sys
from itertools import islice
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from service.catalogue.records import TABLES
from service.catalogue.transfer import import_table
from service.catalogue.writing import catalogue_write
from service.store.database import Database
from service.store.schema import upgrade

SEED_DATA = Path(__file__).resolve().parents[2] / "seed_data"
AXLES = TABLES["axles"]
SERIES = 400
SEED = 20260
_CHUNK = 5000

_MATERIALS = (
    ("steel_8_8", 50),
    ("steel_10_9", 12),
    ("steel_12_9", 6),
    ("steel_4_6", 6),
    ("stainless_a2_70", 14),
    ("aluminium_7075_t6", 4),
    ("titanium_6al_4v", 5),
    (None, 3),
)
_COLOURS = (("black", 40), ("silver", 30), ("white", 8), ("red", 6), ("blue", 6), ("gold", 5), (None, 5))
_PACKS = ((1, 60), (6, 10), (8, 22), (16, 8))
_WALL_THREADS = (("M8x1.25", 70), ("M8x1", 14), ("M7x1", 8), ("M6x1", 5), (None, 3))
_OFFSETS = ((0.0, 70), (None, 18), (0.75, 4), (1.0, 4), (0.5, 4))
_PROFILES = (("none", 55), ("larch", 15), ("rowan", 13), ("hazel", 13), (None, 4))
_SHAFTS = ((8.0, 84), (6.0, 8), (6.3, 6), (None, 2))
_TOLERANCES = (("h9", 40), ("f9", 28), ("h11", 10), ("h6", 6), ("f7", 6), (None, 10))
_HEAD_DRIVES = ("hexagon_4", "hexagon_5", "hexalobular_25", "hexalobular_30", "cross_h2", "slot")
_NUT_DRIVES = ("external_hexagon_10", "external_hexagon_13", "hexagon_5")


def invented_axles(count, seed=SEED):
    """So many axles, each as a dict with the columns of an AxleRecord; their SKUs are in no order."""
    chance = random.Random(seed)  # noqa: S311 (invented, and the same each time)
    series = [_series(chance, number) for number in range(SERIES)]
    for number in range(count):
        yield _axle(chance, chance.choice(series), number)


def write_catalogue(path, count, seed=SEED):
    """A database at this path with so many axles, and the demonstration's frames and sleeves."""
    database = Database(f"sqlite:///{path}", create=True)
    upgrade(database)
    for name in ("frames", "sleeves"):
        with (SEED_DATA / f"{name}.csv").open("rb") as file:
            import_table(database, TABLES[name], file, actor="a measurement")
    with catalogue_write(database, actor="a measurement", action="import"):
        pass  # the revision moves, as after an import of the axles
    database.close()
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA synchronous=OFF")
    places = ", ".join("?" * len(AXLES.row_columns))
    statement = f"INSERT INTO axle ({', '.join(AXLES.row_columns)}) VALUES ({places})"  # noqa: S608
    rows = (_row(axle) for axle in invented_axles(count, seed))
    while chunk := list(islice(rows, _CHUNK)):
        connection.executemany(statement, chunk)
    connection.commit()
    connection.close()


def _row(axle):
    """The row of an axle whose values are right already: µm for mm, cents for the price."""
    return [_stored(column, axle[column]) for column in AXLES.columns]


def _stored(column, value):
    if value is None:
        return None
    if column.endswith("_mm"):
        return round(value * 1000)
    return int(value.replace(".", "")) if column == "price" else value


def _one_of(chance, weighted):
    values, weights = zip(*weighted, strict=True)
    return chance.choices(values, weights)[0]


def _series(chance, number):
    """What a maker decides once, the lengths that there are, and what the axles cost."""
    make = (_threaded_wall, _two_piece, _bolt_and_nut)[chance.choices((0, 1, 2), (62, 28, 10))[0]]
    columns = dict.fromkeys(AXLES.columns)
    columns |= {"shaft_mm": _one_of(chance, _SHAFTS), "shaft_tolerance": _one_of(chance, _TOLERANCES)}
    columns |= {
        "material": _one_of(chance, _MATERIALS),
        "length_tolerance_mm": chance.choice((None, 0.1, 0.2)),
    }
    made = make(chance, columns)
    return made | {"code": f"Q{number:03d}", "cents": chance.randrange(60, 1200, 10)}


def _threaded_wall(chance, columns):
    wide = columns["shaft_mm"] in {8.0, None}
    columns |= {
        "fastening": "threaded_wall",
        "thread": _one_of(chance, _WALL_THREADS) if wide else "M6x1",
        "thread_length_mm": chance.choice((9.0, 10.0, 10.0, 11.0, 12.0, None)),
        "driven_heads": 1,
        "offset_mm": _one_of(chance, _OFFSETS),
        "brake_thread": chance.choices((None, "M6x1", "M5x0.8"), (90, 7, 3))[0],
    }
    return {
        "columns": columns,
        "varies": ("length_mm",),
        "lengths": _steps(28, 52, 0.5 if wide else 1.0),
        "drives": chance.sample(_HEAD_DRIVES, 3),
        "name": "Threaded-wall axle",
    }


def _two_piece(chance, columns):
    thread = chance.choices(("M6x1", "M5x0.8"), (70, 30))[0] if columns["shaft_mm"] == 8.0 else "M4x0.7"
    columns |= {
        "fastening": "two_piece",
        "thread": thread,
        "barrel_mouth_mm": chance.choice((0.5, 1.0, 1.0, 1.5)),
        "barrel_thread_mm": chance.choice((9.0, 10.0, 11.0, 12.0)),
        "screw_mm": chance.choice((12.0, 13.0, 14.0, 16.0)),
        "driven_heads": chance.choice((1, 2, None)),
        "keyed_profile": _one_of(chance, _PROFILES),
        "offset_mm": chance.choice((None, 0.0)),
    }
    varies = ("barrel_mm",)
    if chance.random() < 0.15:  # the maker states a range instead of the parts' lengths
        columns |= dict.fromkeys(("thread", "barrel_mouth_mm", "barrel_thread_mm", "screw_mm"))
        varies = ("grip_min_mm", "grip_max_mm")
    return {
        "columns": columns,
        "varies": varies,
        "lengths": _steps(22, 42, 0.5 if columns["shaft_mm"] == 8.0 else 1.0),
        "drives": chance.sample(_HEAD_DRIVES, 3),
        "name": "Two-piece axle",
    }


def _bolt_and_nut(chance, columns):
    wide = columns["shaft_mm"] in {8.0, None}
    columns |= {
        "fastening": "bolt_and_nut",
        "thread": "M8x1.25" if wide else "M6x1",
        "thread_length_mm": chance.choice((18.0, 22.0, None)),
        "nut_height_mm": chance.choice((6.8, 8.0, None) if wide else (5.2, 6.0, None)),
        "driven_heads": chance.choice((2, None)),
        "offset_mm": chance.choice((None, 0.0)),
    }
    return {
        "columns": columns,
        "varies": ("length_mm",),
        "lengths": _steps(36, 64, 1.0),
        "drives": _NUT_DRIVES,
        "name": "Bolt and nut",
    }


def _steps(first, last, step):
    return [first + step * place for place in range(round((last - first) / step) + 1)]


def _axle(chance, series, number):
    """An axle of a series: its length, and what differs from shop to shop."""
    length = chance.choice(series["lengths"])
    colour = _one_of_colours(chance)
    drive = chance.choice(series["drives"]) if chance.random() < 0.98 else None
    pack = _one_of_packs(chance)
    axle = dict(series["columns"])
    axle.update(zip(series["varies"], (length, length + 3.0), strict=False))
    priced = chance.random() < 0.96
    axle["sku"] = f"{series['code']}-{length * 10:03.0f}-{number:07d}"
    axle["gtin"] = _gtin(number) if chance.random() < 0.95 else None
    thread = axle["thread"] or "thread not stated"
    axle["name"] = f"{series['name']} {length:g} mm, {thread}, {colour or 'plain'}"
    axle["drive"], axle["colour"], axle["pack_quantity"] = drive, colour, pack
    axle["price"] = _price(series["cents"] + chance.randrange(0, 120, 5), pack) if priced else None
    axle["currency"] = "EUR" if priced else None
    axle["stock"] = chance.choice((0, 0, chance.randrange(1, 200), chance.randrange(1, 20), None))
    return axle


def _spread(weighted):
    return tuple(value for value, weight in weighted for _ in range(weight))


_MANY_COLOURS, _MANY_PACKS = _spread(_COLOURS), _spread(_PACKS)


def _one_of_colours(chance):
    return _MANY_COLOURS[int(chance.random() * len(_MANY_COLOURS))]


def _one_of_packs(chance):
    return _MANY_PACKS[int(chance.random() * len(_MANY_PACKS))]


def _price(cents, pack):
    total = cents * pack * (100 if pack == 1 else 92) // 100
    return f"{total // 100}.{total % 100:02d}"


def _gtin(number):
    """A number of 13 digits whose last one checks the others (GS1 General Specifications, 7.9)."""
    digits = f"20{number:010d}"
    weighed = sum(map(int, digits[::2])) + 3 * sum(map(int, digits[1::2]))
    return f"{digits}{-weighed % 10}"


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("file", type=Path)
    parser.add_argument("--axles", type=int, default=1_000_000)
    parser.add_argument("--seed", type=int, default=SEED)
    asked = parser.parse_args()
    write_catalogue(asked.file, asked.axles, asked.seed)
    print(f"{asked.axles} axles in {asked.file}")


if __name__ == "__main__":
    main()
