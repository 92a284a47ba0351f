"""A kit as it was chosen: which part goes where, and what that takes out of the drawers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from schemas.kits import KitRequest
from service.catalogue.snapshot import Snapshot
from service.engine.judgement import Judgement
from service.fitting.kits.grounds import Ground
from service.fitting.kits.positions import Place
from service.fitting.kits.task import Choice, Part, Task


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """So many pieces of a part, in whole packs."""

    part: Part
    pieces: int

    @property
    def packs(self) -> int:
        """How many packs to take."""
        return self.part.packs_for(self.pieces)

    @property
    def left_over(self) -> int:
        """How many pieces of the packs the kit does not need."""
        return self.packs * self.part.pack_quantity - self.pieces

    @property
    def price(self) -> int | None:
        """The price of the packs in minor units, None where it is not known."""
        return None if self.part.price is None else self.part.price * self.packs


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeKit:
    """The best kit in one currency, with what it was made for and chosen from."""

    request: KitRequest
    snapshot: Snapshot
    places: Sequence[Place]
    grounds: Sequence[Ground]
    currencies: Sequence[str]
    currency: str | None
    task: Task
    choice: Choice

    def at_places(self) -> Iterator[tuple[int, Ground, Judgement | None]]:
        """Every place in order, its ground, and the axle that it gets as judged there."""
        ground_at = {place: ground for ground in self.grounds for place in ground.places}
        for place in range(len(self.places)):
            ground, sku = ground_at[place], self.choice.axle_at.get(place)
            yield place, ground, None if sku is None else ground.listed[sku]

    @property
    def brake_position(self) -> int | None:
        """Which axle of a known frame can carry a brake; None where there is none, or no frame is named."""
        record = self.snapshot.frames.get(self.request.frame or "")
        return record.brake_position if record else None

    @property
    def chosen(self) -> list[Judgement]:
        """The axles of the kit, as judged where they go."""
        return [judgement for _, _, judgement in self.at_places() if judgement is not None]

    @property
    def axles(self) -> list[Taken]:
        """The axles to take, by SKU."""
        return _taken(self.choice.axle_at.values(), self.task.axles.values())

    @property
    def sleeves(self) -> list[Taken]:
        """The sleeves to take, by SKU."""
        parts = [part for some in self.task.sleeves.values() for part in some]
        return _taken(self.choice.sleeve_at.values(), parts)


def _taken(skus: Iterable[str], parts: Iterable[Part]) -> list[Taken]:
    by_sku = {part.sku: part for part in parts}
    return [Taken(part=by_sku[sku], pieces=pieces) for sku, pieces in sorted(Counter(skus).items())]
