"""CPU time of a kit of 10 wheels from 10,000 parts beside that of one lookup of the same frame.

Run it by hand: ``python tests/performance/kit_from_10000.py``. Every part is invented by a seed. Wanted: a
kit costs at most 20 times a lookup. Beside it stands how long the choice alone takes, with and without the
parts that are left out before it. Stocks are small in one catalogue, so that few parts serve a whole kit.
"""

from __future__ import annotations

import random
import sys
import time
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from schemas.kits import KitRequest
from schemas.lookup import LookupRequest
from schemas.parts import AxleRecord
from service.catalogue.snapshot import Snapshot
from service.fitting.kits.choice import choose, choose_among_all
from service.fitting.kits.grounds import grounds_of, task_in
from service.fitting.kits.kit import make_kit
from service.fitting.kits.positions import places_of
from service.fitting.lookup import look_up
from service.fitting.translate import preferences_of

PARTS = 10_000
ROUNDS = 3
WANTED = 20
FRAME = {"fastening": "threaded_wall", "bore_mm": 8, "far_wall_mm": 6, "thread": "M8x1.25", "holes": "round"}
STRAIGHT = [36.4] * 5
TAPERING = [38.4, 37.9, 37.4, 36.9, 36.4]
STOCKS = {"ample": [None, 5, 40, 200], "small": [0, 1, 1, 2, 3]}


def catalogue(stocks):
    """Parts of every length from 30 to 50 mm, in packs and at prices of which hardly two are alike."""
    drawn = random.Random(10_000)  # noqa: S311 (draws examples, guards nothing)
    axles = {}
    for number in range(PARTS):
        sku = f"P{number:05}"
        brake = drawn.random() < 0.1
        pack = drawn.choice([1, 1, 1, 2, 4, 6, 8, 16])
        axles[sku] = AxleRecord(
            sku=sku,
            name="An axle",
            fastening="threaded_wall",
            shaft_mm=8,
            shaft_tolerance="f9",
            length_mm=drawn.randrange(300, 500) / 10,
            thread=drawn.choice(["M8x1.25", "M8x1.25", "M8x1"]),
            thread_length_mm=12,
            drive=drawn.choice(["hexagon_4", "hexalobular_25"]),
            driven_heads=1,
            brake_thread="M6x1" if brake else None,
            material=drawn.choice(["steel_8_8", "steel_12_9"]),
            pack_quantity=pack,
            price=drawn.randrange(150, 600) * pack / 100,
            currency="EUR",
            stock=drawn.choice(stocks),
        )
    return Snapshot(revision=1, axles=axles, frames={}, sleeves={})


def best_seconds(work):
    """CPU time [s], the best of the rounds."""
    rounds = []
    for _ in range(ROUNDS):
        began = time.process_time()
        work()
        rounds.append(time.process_time() - began)
    return min(rounds)


def task_of(request, snapshot):
    places = places_of(request, snapshot)
    grounds = grounds_of(places, request, snapshot)
    return task_in("EUR", grounds, {}, snapshot, preferences_of(places[0].lookup))


def measured(widths, lookup_seconds, snapshot):
    """A line's figures, after a proof that what is left out before the choice changes nothing."""
    request = KitRequest(lookup=FRAME, outside_widths_mm=widths, brake="right")
    kit_seconds = best_seconds(lambda: make_kit(request, snapshot))
    task = task_of(request, snapshot)
    choice_seconds = best_seconds(lambda: choose(task))
    began = time.process_time()
    unreduced = choose_among_all(task)
    unreduced_seconds = time.process_time() - began
    if unreduced != choose(task):
        raise SystemExit("The parts left out change the choice.")
    ratio = kit_seconds / lookup_seconds
    return f"{kit_seconds:>10.3f}{ratio:>8.1f}{choice_seconds:>10.3f}{unreduced_seconds:>13.3f}"


def main():
    headings = f"{'lookup s':>10}{'kit s':>10}{'ratio':>8}{'choice s':>10}{'unreduced s':>13}"
    lines = [f"{'catalogue':<16}{'frame':<12}{headings}"]
    for stocks_are, stocks in STOCKS.items():
        snapshot = catalogue(stocks)
        lookup = LookupRequest(**FRAME, outside_width_mm=STRAIGHT[0])
        look_up(lookup, snapshot)
        seconds = best_seconds(partial(look_up, lookup, snapshot))
        for shape, widths in (("straight", STRAIGHT), ("tapering", TAPERING)):
            figures = measured(widths, seconds, snapshot)
            lines.append(f"{stocks_are + ' stock':<16}{shape:<12}{seconds:>10.3f}{figures}")
    lines.append(f"wanted: a ratio of at most {WANTED}; {PARTS} parts, best of {ROUNDS} rounds of CPU time")
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
