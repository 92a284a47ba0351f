"""Making kinds of axles: of all that a catalogue has, or of the ones that an edit has changed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from service.catalogue.kinds import OWN_COLUMNS, Kind, Member, Order, kind_of
from service.catalogue.packed import currency_in, member_in, number_in, packed
from service.catalogue.records import Row
from service.engine.codes import Fastening
from service.engine.threads import Thread

_CURRENCY = OWN_COLUMNS.index("currency")


class Counts(NamedTuple):
    """How many threaded-wall axles have a shaft class and a thread, and how many axles a currency."""

    threads: Mapping[tuple[float, Thread], int]
    currencies: Mapping[str | None, int]


NO_COUNTS = Counts({}, {})


class KindsInMaking:
    """Takes axles in and out, and makes of some kinds those that come of it; a kind keeps its number."""

    def __init__(self, kinds: Sequence[Kind] = (), numbers: Mapping[Row, int] | None = None) -> None:
        self._before = kinds
        self._numbers_before = numbers or {}
        self._numbers: dict[Row, int] = {}
        self._removed: dict[int, list[Order]] = {}
        self._added: dict[int, list[Member]] = {}
        self._currencies: Counter[str | None] = Counter()

    def number_of(self, columns: Row) -> int:
        """The number of the kind that these columns make."""
        number = self._numbers_before.get(columns)
        if number is None:
            number = self._numbers.setdefault(columns, len(self._before) + len(self._numbers))
        return number

    def add(self, number: int, own: Row) -> bytes:
        """Take an axle into the kind of this number; the axle is returned in its compact form."""
        packed_axle, member = packed(number, own)
        self._added.setdefault(number, []).append(member)
        self._currencies[own[_CURRENCY]] += 1
        return packed_axle

    def remove(self, packed_axle: bytes) -> None:
        """Take an axle out of its kind."""
        self._removed.setdefault(number_in(packed_axle), []).append(member_in(packed_axle)[:3])
        self._currencies[currency_in(packed_axle)] -= 1

    @property
    def numbers(self) -> Mapping[Row, int]:
        """For the columns of each kind its number."""
        return {**self._numbers_before, **self._numbers} if self._numbers else self._numbers_before

    def kinds(self, *, rest: Callable[[], None] = lambda: None) -> tuple[Kind, ...]:
        """The kinds by number; those of which no axle has come or gone are the same as before."""
        kinds = list(self._before)
        for number in self._touched:
            if number < len(kinds):
                removed, added = self._removed.get(number, ()), self._added.get(number, ())
                kinds[number] = kinds[number].changed(removed, added)
        for columns, number in self._numbers.items():
            kinds.append(kind_of(columns, self._added[number]))
            self._added[number] = []  # a million at once would take long to let go
            rest()
        return tuple(kinds)

    def counts(self, before: Counts, kinds: Sequence[Kind]) -> Counts:
        """What is counted, now that these are the kinds."""
        threads = dict(before.threads)
        for number in self._touched:
            axle = kinds[number].axle
            if axle.fastening is Fastening.THREADED_WALL and axle.thread and axle.shaft_mm:
                had = len(self._before[number]) if number < len(self._before) else 0
                key = axle.shaft_mm, axle.thread
                threads[key] = threads.get(key, 0) + len(kinds[number]) - had
        currencies = Counter(before.currencies)
        currencies.update(self._currencies)
        return Counts(threads, currencies)

    @property
    def _touched(self) -> set[int]:
        return {*self._removed, *self._added}
