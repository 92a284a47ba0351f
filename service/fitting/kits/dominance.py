"""Parts that are in no best kit, left out before the choice; a test holds that the choice stays the same.

Two arguments, both about the kit in which a part is replaced by another that has stock for the whole kit:

- At a position where such a part reaches a verdict, a part of a worse verdict is never best.
- A part is never best if such a part needs the same sleeve, is as good at every position, and for any number
  of pieces costs less; or as much with fewer left over; or both the same with fewer preferences missed; or
  all the same with the earlier SKU. Packs for two numbers together are never more than packs for each
  alone, so the pieces of both together cost no more and leave no more over; and there is one part fewer,
  or as many.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from service.fitting.kits.task import Demand, Part, Task


class _Standing(NamedTuple):
    """What a part costs for each number of pieces, and how good it is at each demand."""

    costs: tuple[tuple[int, int, int, int], ...]
    part: Part
    verdicts: tuple[int | None, ...]
    is_ample: bool

    def makes_needless(self, other: _Standing) -> bool:
        """Whether no best kit has the other part."""
        return (
            self.part.sleeve_mm == other.part.sleeve_mm
            and all(
                theirs is None or (ours is not None and ours <= theirs)
                for ours, theirs in zip(self.verdicts, other.verdicts, strict=True)
            )
            and all(
                (ours, self.part.sku) < (theirs, other.part.sku)
                for ours, theirs in zip(self.costs, other.costs, strict=True)
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
    axles = {part.sku: part for part in _not_needless(standings)}
    inners = {part.sleeve_mm for part in axles.values()}
    return Task(
        demands=tuple(
            replace(demand, verdicts={sku: v for sku, v in demand.verdicts.items() if sku in axles})
            for demand in demands
        ),
        axles=axles,
        sleeves={
            inner: _not_needless([_standing(part, pieces, ()) for part in parts if part.most_packs(pieces)])
            for inner, parts in task.sleeves.items()
            if inner in inners
        },
    )


def _with_verdicts_of_use(demand: Demand, axles: Mapping[str, Part], pieces: int) -> Demand:
    """The axles in stock that are as good there as the best one with stock for the whole kit."""
    ample = [verdict for sku, verdict in demand.verdicts.items() if axles[sku].can_serve(pieces)]
    worst = min(ample, default=None)
    return replace(
        demand,
        verdicts={
            sku: verdict
            for sku, verdict in demand.verdicts.items()
            if axles[sku].most_packs(pieces) and (worst is None or verdict <= worst)
        },
    )


def _not_needless(standings: Iterable[_Standing]) -> list[Part]:
    """The parts that some best kit may have, cheapest first."""
    kept: list[Part] = []
    ample: list[_Standing] = []
    # Whatever makes a part needless costs less for each number of pieces, and so comes before it.
    for standing in sorted(standings, key=lambda standing: (standing.costs, standing.part.sku)):
        if any(other.makes_needless(standing) for other in ample):
            continue
        kept.append(standing.part)
        if standing.is_ample:
            ample.append(standing)
    return kept


def _standing(part: Part, pieces: int, verdicts: tuple[int | None, ...]) -> _Standing:
    costs = _costs(part.pack_quantity, part.price, part.missed, pieces)
    return _Standing(costs, part, verdicts, part.can_serve(pieces))


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
