"""Kinds: axles that are alike in everything that a judgement reads, so that one judgement serves them all.

What else an axle has, its *own* columns, decides nothing about the fit: the SKU, the barcode, the name,
drive, colour, pack, price and stock. A million axles have some ten thousand kinds. What is empty in one kind
may be written out in another, as an offset of 0 is: these are two kinds, since their records differ.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass, field, fields
from functools import lru_cache
from typing import Any, NamedTuple, Self

from schemas.parts import AxleRecord
from service.catalogue.records import TABLES, Row, engine_axle
from service.engine.parts import Axle
from service.engine.ranking import drive_place

OWN_COLUMNS = ("sku", "gtin", "name", "drive", "colour", "pack_quantity", "price", "currency", "stock")
"""The columns of an axle in which the axles of a kind differ."""
KIND_COLUMNS = tuple(column for column in TABLES["axles"].columns if column not in OWN_COLUMNS)
"""The columns of an axle in which all axles of a kind are alike, in the order of the record."""

_OWN_FIELDS = ("sku", "drive", "colour", "price_per_axle", "stock")
_SHARED = [getattr(Axle, one.name) for one in fields(Axle) if one.name not in _OWN_FIELDS]
_COPIED = [(slot.__get__, slot.__set__) for slot in _SHARED]
_SKU, _DRIVE, _COLOUR, _PRICE, _STOCK = ((getattr(Axle, name).__set__) for name in _OWN_FIELDS)


class Member(NamedTuple):
    """An axle of a kind; its first three values are the order of equals, as `tie_break` of the ranking.

    ``price`` is that of one axle, infinite where it is not known.
    """

    place: int
    price: float
    sku: str
    drive: str | None
    colour: str | None
    pack: int
    stock: int | None


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind and its axles, in the order of equals: drive, price per axle, SKU.

    The tuples are side by side: at the same place in each stands the same axle. ``prices`` are per axle
    and infinite where not known, ``places`` those of the drives in their order. ``axle`` is what the
    engine judges for all of them; its SKU is empty, and its other own columns are not known.
    A kind never changes; a snapshot that follows an edit has another kind in the same place, with the
    same ``axle``, where members have changed. A kind without members is left over of an edit.
    """

    columns: Row = field(repr=False)
    axle: Axle
    skus: tuple[str, ...] = ()
    places: tuple[int, ...] = field(default=(), repr=False)
    prices: tuple[float, ...] = field(default=(), repr=False)
    drives: tuple[str | None, ...] = field(default=(), repr=False)
    colours: tuple[str | None, ...] = field(default=(), repr=False)
    packs: tuple[int, ...] = field(default=(), repr=False)
    stocks: tuple[int | None, ...] = field(default=(), repr=False)

    def __len__(self) -> int:
        return len(self.skus)

    def order_at(self, place: int) -> tuple[int, float, str]:
        """The order of equals of a member: what `tie_break` of the ranking gives for it."""
        return self.places[place], self.prices[place], self.skus[place]

    def axle_at(self, place: int) -> Axle:
        """A member as the engine sees it, with its own columns."""
        axle = Axle.__new__(Axle)
        for get, put in _COPIED:
            put(axle, get(self.axle))
        _SKU(axle, self.skus[place])
        _DRIVE(axle, self.drives[place])
        _COLOUR(axle, self.colours[place])
        price = self.prices[place]
        _PRICE(axle, None if price == math.inf else price)
        _STOCK(axle, self.stocks[place])
        return axle

    def place_of(self, order: tuple[int, float, str]) -> int:
        """The place of the member with this order of equals, or where it would stand."""
        return bisect_left(range(len(self)), order, key=self.order_at)

    def changed(self, removed: Iterable[tuple[int, float, str]], added: Iterable[Member]) -> Self:
        """The kind without the members of these orders, and with these others."""
        columns = [list(column) for column in self._side_by_side()]
        for order in removed:
            place = bisect_left(range(len(columns[0])), order, key=lambda i: _order(columns, i))
            for column in columns:
                del column[place]
        for member in added:
            place = bisect_left(range(len(columns[0])), member[:3], key=lambda i: _order(columns, i))
            for column, value in zip(columns, _as_stored(member), strict=True):
                column.insert(place, value)
        return type(self)(self.columns, self.axle, *map(tuple, columns))

    def _side_by_side(self) -> tuple[tuple[Any, ...], ...]:
        return self.skus, self.places, self.prices, self.drives, self.colours, self.packs, self.stocks


def kind_of(columns: Row, members: list[Member]) -> Kind:
    """The kind that these columns make, in the order of `KIND_COLUMNS`, with these members in any order."""
    record = AxleRecord.model_construct(sku="", name="", **dict(zip(KIND_COLUMNS, columns, strict=True)))
    if not members:
        return Kind(columns, engine_axle(record))
    places, prices, skus, *others = zip(*sorted(members), strict=True)
    return Kind(columns, engine_axle(record), skus, places, prices, *others)


def member_of(record: AxleRecord) -> Member:
    """An axle as a member of its kind."""
    price = math.inf if record.price is None else float(record.price) / record.pack_quantity
    own = record.drive, record.colour, record.pack_quantity, record.stock
    return Member(place_of_drive(record.drive), price, record.sku, *own)


@lru_cache(maxsize=1024)
def place_of_drive(drive: str | None) -> int:
    """The drive's place in the order of equals, remembered: a catalogue has few drives."""
    return drive_place(drive)


def _as_stored(member: Member) -> tuple[Any, ...]:
    place, price, sku, *others = member
    return sku, place, price, *others


def _order(columns: list[list[Any]], place: int) -> tuple[int, float, str]:
    skus, places, prices, *_ = columns
    return places[place], prices[place], skus[place]
