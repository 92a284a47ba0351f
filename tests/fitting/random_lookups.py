"""Lookups with all their fields, drawn by a seed: sensible, on the limits of what fits, and absurd."""

import random

from schemas.codes import Language
from schemas.parts import AxleRecord
from service.catalogue.snapshot import Snapshot
from tests.performance.invented_catalogue import invented_axles

FASTENINGS = ["threaded_wall", "two_piece", "bolt_and_nut"]
LANGUAGES = list(Language)


def snapshot_of(count, seed, *, frames=(), sleeves=(), changed=lambda columns: columns):
    """A snapshot of invented axles."""
    records = (AxleRecord(**changed(columns)) for columns in invented_axles(count, seed))
    return Snapshot(
        revision=count,
        axles=dict(sorted((record.sku, record) for record in records)),
        frames={frame.code: frame for frame in frames},
        sleeves={sleeve.sku: sleeve for sleeve in sleeves},
    )


def random_lookup(drawn: random.Random) -> dict:
    """The fields of a lookup."""
    fields = {}
    if drawn.random() < 0.75:
        fields["fastening"] = drawn.choice(FASTENINGS)
    _put_widths(drawn, fields)
    _put(drawn, fields, 0.75, "bore_mm", lambda: _bore(drawn))
    _put(drawn, fields, 0.4, "thread", lambda: drawn.choice(["M8x1.25", "M8", "M8x1", "M7x1", "M6x1", "M6"]))
    _put(drawn, fields, 0.3, "recess_mm", lambda: drawn.choice([0, 0.5, 1, 2.25]))
    _put(drawn, fields, 0.3, "wall_material", lambda: drawn.choice(["aluminium_7075_t6", "steel_8_8"]))
    if drawn.random() < 0.5:
        fields["holes"] = drawn.choice(["round", "round", "oval"])
        if fields["holes"] == "oval":
            _put(drawn, fields, 0.6, "hole_offset_mm", lambda: drawn.choice([0.5, 0.75, 0.8, 1]))
    _put(drawn, fields, 0.4, "keyed_profile", lambda: drawn.choice(["none", "larch", "rowan", "alder"]))
    _put(drawn, fields, 0.4, "keys_needed", lambda: drawn.choice([1, 2]))
    if drawn.random() < 0.2:
        fields["position"] = "brake"
        _put(drawn, fields, 0.5, "brake_thread", lambda: drawn.choice(["M6x1", "M5x0.8"]))
    _put(drawn, fields, 0.5, "rider_mass_kg", lambda: drawn.choice([25, 59.9, 60, 82, 118.5, 240]))
    _put(drawn, fields, 0.2, "child", lambda: True)
    _put(drawn, fields, 0.2, "hub_width_mm", lambda: drawn.choice([22, 23.7, 24.2, 25]))
    _put_options(drawn, fields)
    return fields


def _put_widths(drawn, fields):
    width = drawn.triangular(22, 60, 36)
    digits = drawn.choice([0, 1, 1, 2, 2, 6])
    rounded = round(width * 2) / 2 if drawn.random() < 0.25 else round(width, digits)
    fields["outside_width_mm"] = [rounded]
    if drawn.random() < 0.15:
        fields["outside_width_mm"] = [round(width + drawn.gauss(0, 0.2), 2) for _ in range(3)]
    _put(drawn, fields, 0.4, "far_wall_mm", lambda: round(drawn.uniform(2, 9), drawn.choice([0, 1, 2])))
    _put(drawn, fields, 0.2, "head_wall_mm", lambda: round(drawn.uniform(3, 7), 1))
    _put(drawn, fields, 0.2, "inside_width_mm", lambda: round(drawn.uniform(0.3, 0.8) * width, 2))
    instrument = drawn.choices(["calliper", "ruler", "tape", "declared"], [7, 1, 1, 1])[0]
    if instrument != "calliper":
        fields["instrument"] = instrument


def _bore(drawn):
    return drawn.choice([8, 8, 8, 6, 6.3, 6.15, 6.14, 7.98, 6.2, 7.2, [6.1, 6.2, 6.15]])


def _put_options(drawn, fields):
    _put(drawn, fields, 0.2, "prefer_drive", lambda: drawn.choice(["hexagon_4", "hexalobular_25", "slot"]))
    _put(drawn, fields, 0.2, "prefer_colour", lambda: drawn.choice(["black", "silver", "mauve"]))
    _put(drawn, fields, 0.2, "in_stock", lambda: True)
    _put(drawn, fields, 0.3, "limit", lambda: drawn.choice([1, 2, 3, 37, 100]))
    _put(drawn, fields, 0.3, "near_misses", lambda: drawn.choice([0, 1, 7, 20]))


def _put(drawn, fields, share, name, make):
    if drawn.random() < share:
        fields[name] = make()


def twisted(drawn: random.Random):
    """Changes columns to what nobody would make: short threads, ranges that contradict, wide tolerances."""

    def change(columns):
        changes = {
            "length_tolerance_mm": drawn.choice([None, 0.001, 0.05, 3.0]),
            "shaft_tolerance": drawn.choice([None, "h6", "c11", "s7"]),
            "offset_mm": drawn.choice([None, 0, 0.5, 0.52, 0.75]),
            "material": drawn.choice([None, "aluminium_6061_t6", "steel_12_9"]),
        }
        if columns["fastening"] == "threaded_wall":
            changes["thread_length_mm"] = drawn.choice([None, 2.0, 3.4, 5.0, 9.0])
        if columns["fastening"] == "two_piece" and columns["barrel_mm"]:
            length = columns["barrel_mm"] + drawn.choice([0.0, 1.5, 4.0, 40.0])
            changes["grip_min_mm"] = drawn.choice([None, length])
            changes["grip_max_mm"] = drawn.choice([None, length, length + 2.0])
        return columns | changes

    return change
