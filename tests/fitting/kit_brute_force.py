"""The best kit by trying every assignment: what the contract says, without the service's own choice.

The verdicts come from the lookup, position by position; everything else is counted here.
"""

import itertools
from collections import Counter

from schemas.lookup import LookupRequest
from service.fitting.lookup import look_up

VERDICTS = ["fits", "fits_with_caution", "check_first"]
NONE = "~"  # comes after every SKU


def verdicts_at(snapshot, fields):
    """For each axle that the lookup lists, its verdict."""
    return {fit.axle.sku: fit.verdict for fit in look_up(LookupRequest(limit=100, **fields), snapshot).fits}


def packs(record, pieces):
    full, more = divmod(pieces, record.pack_quantity)
    return full + (more > 0)


def in_stock(records, counts):
    return all(
        records[sku].stock is None or packs(records[sku], pieces) <= records[sku].stock
        for sku, pieces in counts.items()
    )


def cost(records, counts):
    """Pieces without a price, the price, different parts, pieces left over."""
    unpriced = sum(n for sku, n in counts.items() if records[sku].price is None)
    price = sum(packs(records[sku], n) * (records[sku].price or 0) for sku, n in counts.items())
    left = sum(packs(records[sku], n) * records[sku].pack_quantity - n for sku, n in counts.items())
    return unpriced, price, len(counts), left


def sleeve_choices(snapshot, thin, hub):
    """Every way to give the thin axles their sleeves; alike ones get them in SKU order."""
    per_inner = []
    for inner in sorted(set(thin.values())):
        at = [place for place in sorted(thin) if thin[place] == inner]
        suitable = [
            sleeve.sku
            for sleeve in snapshot.sleeves.values()
            if sleeve.inner_mm == inner and sleeve.outer_mm == 8 and abs(sleeve.length_mm - hub) < 0.3005
        ]
        ways = itertools.combinations_with_replacement([*sorted(suitable), NONE], len(at))
        per_inner.append([dict(zip(at, way, strict=True)) for way in ways])
    for combined in itertools.product(*per_inner):
        yield {place: sku for way in combined for place, sku in way.items()}


def best_kit(snapshot, positions, *, hub=24.0, missed=None):
    """The axle and the sleeve at each place of the best kit, and its price."""
    verdicts = [verdicts_at(snapshot, fields) for fields in positions]
    best = None
    for chosen in itertools.product(*[[*sorted(found), NONE] for found in verdicts]):
        axles = Counter(sku for sku in chosen if sku != NONE)
        if not in_stock(snapshot.axles, axles):
            continue
        given = Counter(found.get(sku) for found, sku in zip(verdicts, chosen, strict=True))
        thin = {
            place: snapshot.axles[sku].shaft_mm
            for place, sku in enumerate(chosen)
            if sku != NONE and snapshot.axles[sku].shaft_mm < 8
        }
        for sleeves in sleeve_choices(snapshot, thin, hub):
            counts = Counter(sku for sku in sleeves.values() if sku != NONE)
            if not in_stock(snapshot.sleeves, counts):
                continue
            sums = zip(cost(snapshot.axles, axles), cost(snapshot.sleeves, counts), strict=True)
            unpriced, price, parts, left_over = (ours + theirs for ours, theirs in sums)
            key = (
                given[None],
                given["check_first"],
                given["fits_with_caution"],
                list(sleeves.values()).count(NONE),
                unpriced,
                price,
                parts,
                left_over,
                sum(n * missed(snapshot.axles[sku]) for sku, n in axles.items()) if missed else 0,
                chosen,
                [sleeves[place] for place in sorted(sleeves)],
            )
            if best is None or key < best[0]:
                best = key, chosen, sleeves, price
    return best[1:]
