"""What a kit's choice is made from and what it comes to, as numbers: parts, demands, and the choice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """An axle or a sleeve as a kit sees it: packs at a price in minor units; None where it is not known.

    ``missed`` counts the preferences that it misses. ``sleeve_mm`` is the inner diameter of the sleeve that
    each piece needs [mm]; None for an axle of full thickness, and for a sleeve itself.
    """

    sku: str
    pack_quantity: int = 1
    price: int | None = None
    stock: int | None = None
    missed: int = 0
    sleeve_mm: float | None = None

    def packs_for(self, pieces: int) -> int:
        """How many packs hold so many pieces."""
        return -(-pieces // self.pack_quantity)

    def most_packs(self, pieces: int) -> int:
        """How many packs at most are of use for so many pieces; a stock that is not known is no limit."""
        packs = self.packs_for(pieces)
        return packs if self.stock is None else min(packs, self.stock)

    def most_pieces(self, pieces: int) -> int:
        """How many of so many pieces the stock can serve."""
        return min(pieces, self.most_packs(pieces) * self.pack_quantity)


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """Positions that are alike: their places in the kit's order, and how good each axle is there.

    A verdict counts 0 for `fits`, 1 with caution, 2 for check first; what does not fit is not there.
    """

    places: tuple[int, ...]
    verdicts: Mapping[str, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """Which axles could go where, and the sleeves of each inner diameter [mm]."""

    demands: tuple[Demand, ...]
    axles: Mapping[str, Part]
    sleeves: Mapping[float, Sequence[Part]]

    @property
    def positions(self) -> int:
        """How many axles the kit is to have."""
        return sum(len(demand.places) for demand in self.demands)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The axle and the sleeve at each place; what lacks is left out.

    ``shortfall`` is what tells kits apart before their price: what lacks in verdicts, then the sleeves that
    are missing, then the pieces whose price is not known. Kits of two currencies are compared by it alone.
    """

    axle_at: Mapping[int, str]
    sleeve_at: Mapping[int, str]
    shortfall: tuple[int, int, int]
