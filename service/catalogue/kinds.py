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
from typing import Any, Self

from schemas.parts import AxleRecord
from service.catalogue.records import TABLES, Row, engine_axle
from service.engine.parts import Axle

OWN_COLUMNS = ("sku", "gtin", "name", "drive", "colour", "pack_quantity", "price", "currency", "stock")
"""The columns of an axle in which the axles of a kind differ."""
KIND_COLUMNS = tuple(column for column in TABLES["axles"].columns if column not in OWN_COLUMNS)
"""The columns of an axle in which all axles of a kind are alike, in the order of the record."""

Order = tuple[int, float, str]
"""The order of equals, as `tie_break` of the ranking has it: place of the drive, price of one axle, SKU."""
Member = tuple[int, float, str, str | None, str | None, int, int | None]
"""An axle of a kind: its order, with an infinite price where none is known; drive, colour, pack, stock."""

_OWN_FIELDS = ("sku", "drive", "colour", "price_per_axle", "stock")
_SHARED = [getattr(Axle, one.name) for one in fields(Axle) if one.name not in _OWN_FIELDS]
_COPIED = [(slot.__get__, slot.__set__) for slot in _SHARED]
_SKU, _DRIVE, _COLOUR, _PRICE, _STOCK = (getattr(Axle, name).__set__ for name in _OWN_FIELDS)


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind and its axles, in the order of equals: drive, price per axle, SKU.

    The tuples are side by side: at the same place in each stands the same axle. ``prices`` are per axle
    and infinite where not known; ``places`` are those of the drives in their order. ``axle`` is what the
    engine judges for all of them; its SKU is empty, and its other own columns are not known.

    A kind never changes. Where an edit has changed its members, the next snapshot has another kind in the
    same place of `Snapshot.kinds`, with the same ``axle``; all others are the same objects as before.
    A kind without members is what an edit has left over.
    """

    columns: Row = field(repr=False)
    axle: Axle
    json: tuple[bytes, bytes] = field(repr=False)
    """The columns as they stand in answers: those before the drive, and those between drive and colour."""
    skus: tuple[str, ...] = ()
    places: tuple[int, ...] = field(default=(), repr=False)
    prices: tuple[float, ...] = field(default=(), repr=False)
    drives: tuple[str | None, ...] = field(default=(), repr=False)
    colours: tuple[str | None, ...] = field(default=(), repr=False)
    packs: tuple[int, ...] = field(default=(), repr=False)
    stocks: tuple[int | None, ...] = field(default=(), repr=False)

    def __len__(self) -> int:
        return len(self.skus)

    def order_at(self, place: int) -> Order:
        """The order of equals of the member at this place."""
        return self.places[place], self.prices[place], self.skus[place]

    def axle_at(self, place: int) -> Axle:
        """The member at this place as the engine sees it, with its own columns."""
        own = self.drives[place], self.colours[place], self.prices[place], self.stocks[place]
        return self.axle_with(self.skus[place], *own)

    def axle_with(
        self, sku: str, drive: str | None, colour: str | None, price: float, stock: int | None
    ) -> Axle:
        """An axle of this kind as the engine sees it; copied field by field, in half of `replace`'s time."""
        axle = Axle.__new__(Axle)
        for read, write in _COPIED:
            write(axle, read(self.axle))
        _SKU(axle, sku)
        _DRIVE(axle, drive)
        _COLOUR(axle, colour)
        _PRICE(axle, None if price == math.inf else price)
        _STOCK(axle, stock)
        return axle

    def changed(self, removed: Iterable[Order], added: Iterable[Member]) -> Self:
        """The kind without the members that have these orders, and with these others."""
        sides = [list(side) for side in self._sides]
        for order in removed:
            place = _place_in(sides, order)
            for side in sides:
                del side[place]
        for member in added:
            place = _place_in(sides, member[:3])
            for side, value in zip(sides, _as_sides(member), strict=True):
                side.insert(place, value)
        return type(self)(self.columns, self.axle, self.json, *map(tuple, sides))

    @property
    def _sides(self) -> tuple[tuple[Any, ...], ...]:
        return self.skus, self.places, self.prices, self.drives, self.colours, self.packs, self.stocks


def kind_of(columns: Row, members: list[Member]) -> Kind:
    """The kind that these columns make, in the order of `KIND_COLUMNS`, with these members in any order."""
    record = kind_record(columns)
    first, _, rest = record.model_dump_json(exclude={*OWN_COLUMNS} - {"drive"}).partition('"drive":null,')
    kind = Kind(columns, engine_axle(record), (first[1:].encode(), rest[:-1].encode()))
    if not members:
        return kind
    places, prices, skus, *others = zip(*sorted(members), strict=True)
    return Kind(columns, kind.axle, kind.json, skus, places, prices, *others)


def kind_record(columns: Row) -> AxleRecord:
    """The record that all axles of a kind have, their own columns left out."""
    own: dict[str, Any] = dict.fromkeys(OWN_COLUMNS) | {"sku": "", "name": "", "pack_quantity": 1}
    values = own | dict(zip(KIND_COLUMNS, columns, strict=True))
    return AxleRecord.model_construct(**{column: values[column] for column in TABLES["axles"].columns})


def _as_sides(member: Member) -> tuple[Any, ...]:
    place, price, sku, *others = member
    return sku, place, price, *others


def _place_in(sides: list[list[Any]], order: Order) -> int:
    """Where the member of this order stands, or would stand."""
    skus, places, prices, *_ = sides
    return bisect_left(range(len(skus)), order, key=lambda i: (places[i], prices[i], skus[i]))
