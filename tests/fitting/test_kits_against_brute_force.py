"""Kits are equal to the best of all assignments, on random catalogues and skates."""

import random
from decimal import Decimal

import pytest

from schemas.kits import KitRequest
from schemas.parts import AxleRecord, FrameRecord, SleeveRecord
from service.catalogue.snapshot import Snapshot
from service.fitting.kits.kit import make_kit
from tests.fitting.kit_brute_force import NONE, best_kit

CASES = 200
CHUNKS = 10
WALLS = {"far_wall_mm": 6, "holes": "round"}
THICK = {"fastening": "threaded_wall", "bore_mm": 8, "thread": "M8x1.25", **WALLS}
THIN = {"fastening": "threaded_wall", "bore_mm": 6, "thread": "M6x1", **WALLS}


def price_and_stock(drawn):
    price = drawn.choice([None, "1.00", "2.00", "2.00", f"{drawn.randrange(80, 400) / 100:.2f}"])
    return {
        "pack_quantity": drawn.choice([1, 1, 2, 3, 4]),
        "price": price,
        "currency": None if price is None else "EUR",
        "stock": drawn.choice([None, 0, 1, 1, 2, 6]),
    }


def random_axle(drawn, sku, widths, *, thin):
    is_brake = drawn.random() < 0.3
    return AxleRecord(
        sku=sku,
        name="An axle",
        fastening="threaded_wall",
        shaft_mm=6 if thin else 8,
        # A k6 shaft may be tight in its bearing, which is a caution.
        shaft_tolerance=None if thin else drawn.choice(["f9", "f9", "k6"]),
        length_mm=round(drawn.choice(widths) + drawn.choice([-0.5, 0, 0, 0.4, 0.9]), 1),
        thread=drawn.choice([None, *["M6x1" if thin else "M8x1.25"] * 5]),
        thread_length_mm=12,
        drive=drawn.choice(["hexagon_4", "hexalobular_25"]),
        brake_thread=drawn.choice(["M6x1", "M5x0.8"]) if is_brake else None,
        material="steel_12_9",
        colour=drawn.choice(["black", "silver"]),
        **price_and_stock(drawn),
    )


def random_case(seed):
    """A catalogue, a kit's request, the lookups of its places as the contract has them, and a preference."""
    drawn = random.Random(seed)  # noqa: S311 (draws examples, guards nothing)
    thin = drawn.random() < 0.25
    wheels = 2 if thin else drawn.choice([2, 2, 3])
    front = drawn.choice([35.5, 36.4, 37.3])
    step = drawn.choice([0, 0, 0.5, 1.0, 1.5])
    widths = [front - step * place for place in range(wheels)]
    skus = drawn.sample("ABCDEFGH", 3 if thin or wheels == 3 else 4)
    axles = {sku: random_axle(drawn, sku, widths, thin=thin) for sku in sorted(skus)}
    sleeves = {}
    for sku, length in drawn.sample([("SL1", 24), ("SL2", 23.8), ("SL3", 24.2), ("SL4", 22)], 2):
        sleeves[sku] = SleeveRecord(
            sku=sku, name="A sleeve", inner_mm=6, outer_mm=8, length_mm=length, **price_and_stock(drawn)
        )
    fields = THIN if thin else THICK
    brake = drawn.choice(["none", "left", "right", "both"])
    colour = drawn.choice([None, "black"])
    frames = {}
    if drawn.random() < 0.5:
        instrument = "declared"
        frames["F"] = FrameRecord(
            code="F",
            name="A frame",
            outside_widths_mm=widths,
            wheels=wheels,
            brake_position=wheels,
            brake_thread="M6x1",
            **fields,
        )
        asked = {"frame": "F"}
    else:
        instrument = "calliper"
        asked = {"lookup": fields | {"brake_thread": "M6x1"}, "outside_widths_mm": widths}
    request = KitRequest(**asked, brake=brake, prefer_colour=colour)
    snapshot = Snapshot(revision=1, axles=axles, frames=frames, sleeves=sleeves)
    lookups = [
        fields
        | {"outside_width_mm": width, "instrument": instrument}
        | (
            {"position": "brake", "brake_thread": "M6x1"}
            if place == wheels and brake in {side, "both"}
            else {}
        )
        for side in ("left", "right")
        for place, width in enumerate(widths, start=1)
    ]
    return snapshot, request, lookups, colour


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_a_kit_is_the_best_of_all_assignments(chunk):
    for seed in range(chunk, CASES, CHUNKS):
        snapshot, request, lookups, colour = random_case(seed)
        kit = make_kit(request, snapshot)
        chosen, sleeves, price = best_kit(
            snapshot, lookups, missed=lambda axle, colour=colour: colour not in {None, axle.colour}
        )
        assert [position.sku or NONE for position in kit.positions] == list(chosen), seed
        given = {place: position.sleeve_sku for place, position in enumerate(kit.positions)}
        assert {place: given[place] or NONE for place in sleeves} == sleeves, seed
        assert (kit.total.amount if kit.total else 0) == price, seed


def test_the_cases_meet_what_the_trade_has():
    met = set()
    for seed in range(CASES):
        snapshot, request, _, _ = random_case(seed)
        kit = make_kit(request, snapshot)
        met |= {caution.code for caution in kit.cautions}
        met |= {position.verdict for position in kit.positions}
        met |= {f"needs {position.needs}" for position in kit.positions}
        met |= {"pieces left over" for line in kit.lines if line.left_over}
        met |= {"several packs" for line in kit.lines if (line.packs or 0) > 1}
        met |= {"sleeves" for line in kit.lines if line.kind == "sleeve"}
        met |= {"tapering" for p in kit.positions if p.outside_width_mm != kit.positions[0].outside_width_mm}
        met |= {"unlike parts" for p in kit.positions if p.sku and p.sku != kit.positions[0].sku}
        met |= {position.why_empty.code for position in kit.positions if position.why_empty}
    assert met >= {
        "fits", "fits_with_caution", "check_first", "needs standard", "needs brake", "pieces left over",
        "several packs", "sleeves", "tapering", "unlike parts", "nothing_fits", "stock_too_small",
        "lesser_verdict", "sleeves_missing", "stock_not_known", "price_not_known", "positions_stay_empty",
    }  # fmt: skip


def test_the_price_is_that_of_whole_packs():
    for seed in range(0, CASES, 5):
        snapshot, request, _, _ = random_case(seed)
        kit = make_kit(request, snapshot)
        total = Decimal(0)
        for line in kit.lines:
            if line.kind == "tool":
                continue
            record = (snapshot.axles if line.kind == "axle" else snapshot.sleeves)[line.sku]
            assert line.packs * record.pack_quantity == line.pieces + line.left_over
            assert 0 <= line.left_over < record.pack_quantity
            assert record.stock is None or line.packs <= record.stock
            assert line.line_price == (None if record.price is None else record.price * line.packs)
            total += line.line_price or 0
        assert (kit.total.amount if kit.total else 0) == total
