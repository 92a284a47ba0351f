"""Lookups as shops send them, and as nobody does: distinct queries out of a seed.

``shop``: a fastening; widths that a calliper reads, in 0.01 mm; a far wall in 0.5 mm steps, or none; the
nominal bore; a thread of the usual ones; a whole mass, or none. The shares are assumptions, no source.
``everything``: all numbers vary continuously, so that no two lookups have a wall or a mass in common.
"""

import random
from urllib.parse import urlencode

SEED = 20_000_000
MIXES = ("shop", "everything")
_FASTENINGS = {"threaded_wall": 60, "two_piece": 32, "bolt_and_nut": 8}
_BORES = {"8": 88, "6": 7, "6.3": 5}
_THREADS = {"8": {"M8x1.25": 80, "M8x1": 20}, "6": {"M6x1": 100}, "6.3": {"M6x1": 60, "M7x1": 40}}
_KEYED_PROFILES = {"none": 70, "larch": 12, "hazel": 9, "rowan": 9}
_WALLS_MM = [3.5, 4.0, 4.5, 5.0, 5.5, 6.0, 6.5, 7.0]
_NARROWEST_MM, _WIDEST_MM = 29.0, 43.0


def queries(count, *, mix="shop", seed=SEED):
    """So many distinct queries, the same for the same seed."""
    drawn = random.Random(seed)  # noqa: S311 (a load, no secret)
    make = {"shop": _of_a_shop, "everything": _of_everything}[mix]
    found = {}
    while len(found) < count:
        found[urlencode(make(drawn))] = None
    return list(found)


def _of_a_shop(drawn):
    fields = _frame(drawn, outside=f"{drawn.triangular(_NARROWEST_MM, _WIDEST_MM, 36):.2f}")
    if fields["fastening"] == "threaded_wall" and drawn.random() < 0.7:
        fields["far_wall_mm"] = f"{drawn.choice(_WALLS_MM):g}"
    if drawn.random() < 0.5:
        fields["rider_mass_kg"] = str(drawn.randint(25, 120))
    return fields


def _of_everything(drawn):
    fields = _frame(drawn, outside=_number(drawn, _NARROWEST_MM, _WIDEST_MM))
    fields["far_wall_mm"] = _number(drawn, 3, 8)
    fields["head_wall_mm"] = _number(drawn, 3, 8)
    fields["recess_mm"] = _number(drawn, 0, 2)
    fields["rider_mass_kg"] = _number(drawn, 20, 130)
    fields["hub_width_mm"] = _number(drawn, 22, 25)
    return fields


def _frame(drawn, *, outside):
    """What a shop knows of the frame: its fastening, and the features that decide beside the width."""
    fields = {"fastening": _one_of(drawn, _FASTENINGS), "outside_width_mm": outside}
    fields["bore_mm"] = _one_of(drawn, _BORES)
    if fields["fastening"] == "threaded_wall":
        fields["thread"] = _one_of(drawn, _THREADS[fields["bore_mm"]])
    if fields["fastening"] == "two_piece" and drawn.random() < 0.5:
        fields["keyed_profile"] = _one_of(drawn, _KEYED_PROFILES)
    if drawn.random() < 0.3:
        fields["keys_needed"] = str(drawn.randint(1, 2))
    if drawn.random() < 0.3:
        fields["holes"] = "round"
    return fields


def _number(drawn, least, most):
    """A number with as many decimals as a calculation may have left; the service reads up to 15."""
    return f"{drawn.uniform(least, most):.6f}"


def _one_of(drawn, shares):
    return drawn.choices(list(shares), weights=list(shares.values()))[0]
