"""The choice of a kit's parts, exact: an integer programme with the contract's objectives in their order.

Positions that are alike share their unknowns: how many of them have which axle. Packs are whole and within
the stock. The objectives, each held at its least before the next:

1. positions without an axle, then axles to check first, then axles with a caution: so every position has the
   best verdict that any part with stock reaches there, as far as the stock goes;
2. sleeves that are missing; pieces whose price is not known;
3. the price; different parts; pieces left over; preferences missed;
4. SKU order: at the first place the first SKU that is possible, then at the second, and so on; then sleeves.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

from service.fitting.kits.dominance import reduced
from service.fitting.kits.programme import Programme
from service.fitting.kits.task import Choice, Part, Task

Terms = dict[int, int]


def choose(task: Task) -> Choice:
    """The best kit.

    Raises
    ------
    KitNotSolvedError
        If the solver cannot prove an optimum.
    """
    return choose_among_all(reduced(task))


def choose_among_all(task: Task) -> Choice:
    """The best kit, with every part of the task an unknown of the programme."""
    return _KitProgramme(task).choice()


class _KitProgramme:
    """The unknowns of one task, by what they stand for."""

    def __init__(self, task: Task) -> None:
        self._task = task
        self._programme = Programme()
        self._at: list[dict[str, int]] = []
        """For each demand and axle: how many of its positions have it."""
        self._empty: list[int] = []
        self._sleeves: dict[float, dict[str, int]] = {}
        self._missing: dict[float, int] = {}
        self._price: Terms = {}
        self._unpriced: Terms = {}
        self._left_over: Terms = {}
        self._parts: Terms = {}
        self._add_positions()
        self._add_sleeves()

    def choice(self) -> Choice:
        """The best kit: one objective after the other."""
        least = self._programme.minimise
        verdicts = least(self._verdict_costs())
        missing = least(dict.fromkeys(self._missing.values(), 1))
        unpriced = least(self._unpriced)
        least(self._price)
        least(self._parts)
        least(self._left_over)
        least({at[sku]: missed for at in self._at for sku in at if (missed := self._task.axles[sku].missed)})
        axle_at = self._first_axles()
        return Choice(
            axle_at=axle_at,
            sleeve_at=self._first_sleeves(axle_at),
            shortfall=(verdicts, missing, unpriced),
        )

    def _add_positions(self) -> None:
        """Every position has an axle or is empty; every axle comes from a pack."""
        uses: dict[str, list[int]] = defaultdict(list)
        for demand in self._task.demands:
            count = len(demand.places)
            at = {sku: self._programme.unknown(count) for sku in sorted(demand.verdicts)}
            empty = self._programme.unknown(count)
            self._programme.row(dict.fromkeys([*at.values(), empty], 1), lower=count, upper=count)
            self._at.append(at)
            self._empty.append(empty)
            for sku, unknown in at.items():
                uses[sku].append(unknown)
        for sku, unknowns in sorted(uses.items()):
            self._add_packs(self._task.axles[sku], unknowns)

    def _add_sleeves(self) -> None:
        """Every thin axle has a sleeve of its inner diameter, or it is missing."""
        for inner in sorted({part.sleeve_mm for part in self._task.axles.values() if part.sleeve_mm}):
            parts = sorted(self._task.sleeves.get(inner, ()), key=lambda part: part.sku)
            thin = [at[sku] for at in self._at for sku in at if self._task.axles[sku].sleeve_mm == inner]
            pieces = {part.sku: self._programme.unknown(self._task.positions) for part in parts}
            missing = self._programme.unknown(self._task.positions)
            terms = dict.fromkeys(thin, -1) | dict.fromkeys([*pieces.values(), missing], 1)
            self._programme.row(terms, lower=0, upper=0)
            for part in parts:
                self._add_packs(part, [pieces[part.sku]])
            self._sleeves[inner], self._missing[inner] = pieces, missing

    def _add_packs(self, part: Part, pieces: Sequence[int]) -> None:
        """A part's pieces come out of whole packs; it counts as one part however many there are."""
        most = part.most_packs(self._task.positions)
        packs, used = self._programme.unknown(most), self._programme.unknown(1)
        from_packs = dict.fromkeys(pieces, -1) | {packs: part.pack_quantity}
        self._programme.row(from_packs, lower=0)
        self._programme.row({used: most, packs: -1}, lower=0)
        self._left_over |= from_packs
        self._parts[used] = 1
        if part.price is None:
            self._unpriced |= dict.fromkeys(pieces, 1)
        elif part.price:
            self._price[packs] = part.price

    def _verdict_costs(self) -> Terms:
        """Numbers of positions as the digits of one number: empty, to check first, with a caution."""
        base = self._task.positions + 1
        costs = dict.fromkeys(self._empty, base**2)
        for demand, at in zip(self._task.demands, self._at, strict=True):
            costs |= {at[sku]: base ** (v - 1) for sku, v in demand.verdicts.items() if v}
        return costs

    def _first_axles(self) -> dict[int, str]:
        """The axle at each place; what lacks, lacks at the last places."""
        demand_at = {place: n for n, demand in enumerate(self._task.demands) for place in demand.places}
        taken: list[Counter[str]] = [Counter() for _ in self._at]
        return dict(self._first_at((p, self._at[n], taken[n]) for p, n in sorted(demand_at.items())))

    def _first_sleeves(self, axle_at: Mapping[int, str]) -> dict[int, str]:
        """The sleeve at each place that has a thin axle."""
        inners = {
            p: inner for p, sku in sorted(axle_at.items()) if (inner := self._task.axles[sku].sleeve_mm)
        }
        taken: dict[float, Counter[str]] = defaultdict(Counter)
        return dict(self._first_at((p, self._sleeves[i], taken[i]) for p, i in inners.items()))

    def _first_at(
        self, places: Iterator[tuple[int, Mapping[str, int], Counter[str]]]
    ) -> Iterator[tuple[int, str]]:
        """At each place the first SKU with which the rest can still be best."""
        for place, unknowns, taken in places:
            sku = self._first_sku(unknowns, taken)
            if sku is not None:
                taken[sku] += 1
                self._programme.at_least(unknowns[sku], taken[sku])
                yield place, sku

    def _first_sku(self, unknowns: Mapping[str, int], taken: Mapping[str, int]) -> str | None:
        """The first SKU of which one more than is taken can be had; the last one that was taken, or later."""
        solution = self._programme.solution or ()
        now = next((sku for sku in unknowns if solution[unknowns[sku]] > taken[sku]), None)
        reached = max(taken, default="")
        earlier = [sku for sku in unknowns if reached <= sku and (now is None or sku < now)]
        if not earlier:
            return now
        choices = earlier if now is None else [*earlier, now]
        chosen = [self._programme.unknown(1) for _ in choices]
        none = self._programme.unknown(0 if now else 1)
        self._programme.row(dict.fromkeys([*chosen, none], 1), lower=1, upper=1)
        for sku, choice in zip(choices, chosen, strict=True):
            self._programme.row({unknowns[sku]: 1, choice: -1}, lower=taken[sku])
        costs = {choice: rank for rank, choice in enumerate([*chosen, none])}
        rank = self._programme.minimise(costs)
        return choices[rank] if rank < len(choices) else None
