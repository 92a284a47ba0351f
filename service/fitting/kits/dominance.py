"""Parts that are in no best kit, left out before the choice; a test holds that the choice stays the same.

Two arguments, both about a best kit of so many pieces in which some are replaced:

- Where better axles for a position have stock for the whole kit between them, the kit leaves one of them,
  and no axle of a worse verdict is best there.
- A part is in no best kit if others could each stand in for all its pieces, and between them have so much
  stock that the kit leaves enough of one. A part can stand in for another if it needs the same sleeve, is as
  good at every position, and for each number of pieces costs less; or as much with fewer left over; or both
  the same with fewer preferences missed; or all the same with the earlier SKU. For packs for two numbers of
  pieces together are never more than packs for each alone: so the pieces of both cost no more and leave no
  more over, and there is one part fewer, or as many.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from service.fitting.kits.task import Demand, Part, Task


class _Standing(NamedTuple):
    """What a part costs for 1 and more pieces, as many as it may serve, and how good it is at each demand."""

    costs: tuple[tuple[int, int, int, int], ...]
    part: Part
    verdicts: tuple[int | None, ...]

    def can_stand_in_for(self, other: _Standing) -> bool:
        """Whether a kit with the other part is better with this one, if there is stock."""
        # The first numbers of pieces tell most apart; what the other part cannot serve needs no comparison.
        return (
            self.part.sleeve_mm == other.part.sleeve_mm
            and all(
                (ours, self.part.sku) < (theirs, other.part.sku)
                for ours, theirs in zip(self.costs, other.costs, strict=False)
            )
            and all(
                theirs is None or (ours is not None and ours <= theirs)
                for ours, theirs in zip(self.verdicts, other.verdicts, strict=True)
            )
        )


def reduced(task: Task) -> Task:
    """The task without the parts that are in no best kit."""
    pieces = task.positions
    demands = tuple(_with_verdicts_of_use(demand, task.axles, pieces) for demand in task.demands)
    wanted = {sku for demand in demands for sku in demand.verdicts}
    standings = [
        _standing(task.axles[sku], pieces, tuple(demand.verdicts.get(sku) for demand in demands))
        for sku in wanted
    ]
    axles = {part.sku: part for part in _of_use(standings, pieces)}
    inners = {part.sleeve_mm for part in axles.values()}
    return Task(
        demands=tuple(
            replace(demand, verdicts={sku: v for sku, v in demand.verdicts.items() if sku in axles})
            for demand in demands
        ),
        axles=axles,
        sleeves={
            inner: _of_use([_standing(part, pieces, ()) for part in parts if part.most_packs(pieces)], pieces)
            for inner, parts in task.sleeves.items()
            if inner in inners
        },
    )


def _with_verdicts_of_use(demand: Demand, axles: Mapping[str, Part], pieces: int) -> Demand:
    """The axles in stock that are not worse there than others that have stock for the whole kit."""
    stock: Counter[int] = Counter()
    for sku, verdict in demand.verdicts.items():
        stock[verdict] += axles[sku].most_pieces(pieces)
    worst = next((v for v in sorted(stock) if sum(stock[w] for w in stock if w <= v) >= pieces), None)
    return replace(
        demand,
        verdicts={
            sku: verdict
            for sku, verdict in demand.verdicts.items()
            if axles[sku].most_packs(pieces) and (worst is None or verdict <= worst)
        },
    )


def _of_use(standings: Iterable[_Standing], pieces: int) -> list[Part]:
    """The parts that some best kit of so many pieces may have, cheapest first."""
    kept: list[_Standing] = []
    # What can stand in for a part costs less, or has the earlier SKU, and so comes before it.
    for standing in sorted(standings, key=lambda standing: (standing.costs, standing.part.sku)):
        if not _is_needless(standing, kept, pieces):
            kept.append(standing)
    return [standing.part for standing in kept]


def _is_needless(standing: _Standing, kept: Iterable[_Standing], pieces: int) -> bool:
    """Whether any number of this part's pieces finds room in the stock of one that can stand in for it.

    All other pieces of the kit are of other parts. Those parts leave no room only if each of them has less
    than these pieces left, and has so given at least its stock without these pieces, plus one.
    """
    serves = len(standing.costs)
    lacking = [pieces - own + 1 for own in range(1, serves + 1)]
    for other in kept:
        if other.can_stand_in_for(standing):
            stock = len(other.costs)
            lacking = [lack - max(0, stock - own) for own, lack in enumerate(lacking)]
            if max(lacking) <= 0:
                return True
    return False


def _standing(part: Part, pieces: int, verdicts: tuple[int | None, ...]) -> _Standing:
    costs = _costs(part.pack_quantity, part.price, part.missed, part.most_pieces(pieces))
    return _Standing(costs, part, verdicts)


@lru_cache(maxsize=4096)
def _costs(
    pack_quantity: int, price: int | None, missed: int, most: int
) -> tuple[tuple[int, int, int, int], ...]:
    """For 1 to so many pieces: pieces without a price, the price, what is left over, preferences missed."""
    part = Part(sku="", pack_quantity=pack_quantity)
    return tuple(
        (
            pieces if price is None else 0,
            (price or 0) * part.packs_for(pieces),
            pack_quantity * part.packs_for(pieces) - pieces,
            missed * pieces,
        )
        for pieces in range(1, most + 1)
    )
