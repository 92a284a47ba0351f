"""An axle's own columns as compact bytes, ready to go into answers; the rest of it is its kind's.

The bytes are the number of the kind, then three lines: the JSON of the record up to the name, that of the
drive, and that from the colour on. A line end cannot stand in JSON unescaped, so nothing needs counting.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from decimal import Decimal
from functools import lru_cache
from typing import Any

from schemas.parts import AxleRecord
from service.catalogue.kinds import Kind, Member, kind_record
from service.catalogue.money import from_minor_units
from service.catalogue.records import Row
from service.engine.parts import Axle
from service.engine.ranking import drive_place

_NUMBER_BYTES = 4
_MANY = 1 << 16
_quoted = json.JSONEncoder(ensure_ascii=False).encode
_remembered_kind = lru_cache(maxsize=4096)(kind_record)


def packed(number: int, own: Row) -> tuple[bytes, Member]:
    """The own columns of an axle of this kind, the price as it is written: as bytes, and as a member."""
    sku, gtin, name, drive, colour, pack, price, currency, stock = own
    drive, place, drive_json = _drive(drive)
    colour, colour_json = _word(colour)
    price_json, price_per_axle = _price(price, pack)
    stock, stock_json = _count(stock)
    text = (
        f'{{"sku":{_quoted(sku)},"gtin":{_quoted(gtin)},"name":{_quoted(name)}\n{drive_json}\n'
        f'"colour":{colour_json},"pack_quantity":{pack},"price":{price_json},'
        f'"currency":{_word(currency)[1]},"stock":{stock_json}}}'
    )
    member = place, price_per_axle, sku, drive, colour, _count(pack)[0], stock
    return number.to_bytes(_NUMBER_BYTES, "little") + text.encode(), member  # type: ignore[return-value]


def number_in(packed_axle: bytes) -> int:
    """The number of the axle's kind."""
    return int.from_bytes(packed_axle[:_NUMBER_BYTES], "little")


def json_in(packed_axle: bytes, kind: Kind) -> bytes:
    """The axle's record as it stands in answers."""
    head, drive, tail = packed_axle[_NUMBER_BYTES:].split(b"\n")
    first, rest = kind.json
    return b'%b,%b"drive":%b,%b,%b' % (head, first, drive, rest, tail)


def record_in(packed_axle: bytes, kind: Kind) -> AxleRecord:
    """The axle's record."""
    own = _own_in(packed_axle)
    own["price"] = None if own["price"] is None else Decimal(own["price"])
    return _remembered_kind(kind.columns).model_copy(update=own)


def member_in(packed_axle: bytes) -> Member:
    """The axle as a member of its kind."""
    own = _own_in(packed_axle)
    pack, drive, stock = own["pack_quantity"], own["drive"], own["stock"]
    price = _price(own["price"], pack)[1]
    return _drive(drive)[1], price, own["sku"], drive, own["colour"], pack, stock


def engine_axle_in(packed_axle: bytes, kind: Kind) -> Axle:
    """The axle as the engine sees it."""
    _, price, sku, drive, colour, _, stock = member_in(packed_axle)
    return kind.axle_with(sku, drive, colour, price, stock)


def currency_in(packed_axle: bytes) -> str | None:
    """The currency of the axle's price."""
    currency: str | None = _own_in(packed_axle)["currency"]
    return currency


def gtin_finder(gtin: str) -> Callable[[bytes], bool]:
    """Tells whether an axle's barcode has this number, zeros before it aside."""
    digits = gtin.lstrip("0").encode()
    whole = re.compile(b'"gtin":"0*%b"' % digits)
    # What is not there at all, as nearly always, is soonest found without the pattern.
    return lambda packed_axle: digits in packed_axle and whole.search(packed_axle) is not None


@lru_cache(maxsize=_MANY)
def price_text(minor: int | None, currency: str | None) -> str | None:
    """A price of the table as it is written on the wire."""
    return None if minor is None or currency is None else f"{from_minor_units(minor, currency):f}"


def _own_in(packed_axle: bytes) -> dict[str, Any]:
    own: dict[str, Any] = json.loads(b'%b,"drive":%b,%b' % tuple(packed_axle[_NUMBER_BYTES:].split(b"\n")))
    return own


# What many axles have alike is made once, and is one object in all of them.


@lru_cache(maxsize=1024)
def _drive(drive: str | None) -> tuple[str | None, int, str]:
    return drive, drive_place(drive), _quoted(drive)


@lru_cache(maxsize=_MANY)
def _word(word: str | None) -> tuple[str | None, str]:
    return word, _quoted(word)


@lru_cache(maxsize=_MANY)
def _count(count: int | None) -> tuple[int | None, str]:
    return count, _quoted(count)


@lru_cache(maxsize=_MANY)
def _price(price: str | None, pack: int) -> tuple[str, float]:
    """The price of the pack as JSON, and that of one axle."""
    return _quoted(price), math.inf if price is None else float(price) / pack
