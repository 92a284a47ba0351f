"""The axles of a snapshot: a million in some hundred megabytes; an edit makes anew only what it changes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, ValuesView
from operator import attrgetter

from schemas.parts import AxleRecord
from service.catalogue.kinds import KIND_COLUMNS, OWN_COLUMNS, Kind
from service.catalogue.making import NO_COUNTS, Counts, KindsInMaking
from service.catalogue.ordered import Block, InOrder, Ordered
from service.catalogue.packed import engine_axle_in, gtin_finder, json_in, number_in, price_text, record_in
from service.catalogue.records import TABLES, Row
from service.engine.parts import Axle

_ROW_COLUMN = dict(zip(TABLES["axles"].columns, TABLES["axles"].row_columns, strict=True))
ROW_COLUMNS = tuple(_ROW_COLUMN[column] for column in (*OWN_COLUMNS, *KIND_COLUMNS))
"""The columns of the table in the order in which axles are made of its rows."""
_columns_of = attrgetter(*KIND_COLUMNS)
_own_of = attrgetter(*OWN_COLUMNS)
_OWN = len(OWN_COLUMNS)
_AT_ONCE = 16
_PRICE, _CURRENCY = OWN_COLUMNS.index("price"), OWN_COLUMNS.index("currency")
_LENGTHS = tuple(column.endswith("_mm") for column in KIND_COLUMNS)


class Axles(Mapping[str, AxleRecord]):
    """The axles by SKU, in order, each made anew of its compact form when it is asked for; never changed."""

    __slots__ = ("_numbers", "_packed", "counts", "kinds")

    def __init__(
        self,
        kinds: tuple[Kind, ...],
        numbers: Mapping[Row, int],
        packed_axles: Ordered[bytes],
        counts: Counts,
    ) -> None:
        self.kinds = kinds
        self.counts = counts
        self._numbers = numbers
        self._packed = packed_axles

    def __getitem__(self, sku: str) -> AxleRecord:
        packed_axle = self._packed[sku]
        return record_in(packed_axle, self._kind(packed_axle))

    def __iter__(self) -> Iterator[str]:
        return iter(self._packed)

    def __len__(self) -> int:
        return len(self._packed)

    def __contains__(self, sku: object) -> bool:
        return sku in self._packed

    def values(self) -> ValuesView[AxleRecord]:
        """The records in order."""
        return _Records(self)

    def records(self) -> Iterator[AxleRecord]:
        """The records in order."""
        return (record_in(packed_axle, self._kind(packed_axle)) for packed_axle in self._packed.onward())

    @property
    def skus(self) -> Sequence[str]:
        """The SKUs in order."""
        return InOrder(len(self), self._packed.keys_onward)

    @property
    def engine_axles(self) -> Sequence[Axle]:
        """The axles as the engine sees them, by SKU; each is made anew when it is asked for."""
        return InOrder(len(self), self._engine_axles_onward)

    def with_gtin(self, gtin: str) -> list[str]:
        """The SKUs of the axles whose barcode's number is this one, zeros before it aside."""
        is_it = gtin_finder(gtin)
        return [
            sku
            for block in self._packed.blocks
            for sku, packed_axle in zip(block.keys, block.values, strict=True)
            if is_it(packed_axle)
        ]

    def json_of(self, sku: str) -> bytes:
        """An axle's record as it stands in answers."""
        packed_axle = self._packed[sku]
        return json_in(packed_axle, self._kind(packed_axle))

    def kind_of(self, sku: str) -> Kind:
        """The kind of an axle."""
        return self._kind(self._packed[sku])

    def changed(self, changes: Mapping[str, AxleRecord | None]) -> Axles:
        """The axles with these records; without those that are None."""
        making = KindsInMaking(self.kinds, self._numbers)
        packed_axles: dict[str, bytes | None] = {}
        for sku, record in changes.items():
            if (before := self._packed.get(sku)) is not None:
                making.remove(before)
            packed_axles[sku] = None if record is None else _add(making, record)
        kinds = making.kinds()
        counts = making.counts(self.counts, kinds)
        return Axles(kinds, making.numbers, self._packed.changed(packed_axles), counts)

    def pieces_unlike(self, other: Axles) -> list[object]:
        """What holds the memory of these axles, to be let go by and by; none where the others share it."""
        blocks = self._packed.blocks
        if {*map(id, other._packed.blocks)}.isdisjoint(map(id, blocks)):
            return [*self.kinds, *blocks]
        return []

    def _engine_axles_onward(self, start: int) -> Iterator[Axle]:
        return (engine_axle_in(one, self._kind(one)) for one in self._packed.onward(start))

    def _kind(self, packed_axle: bytes) -> Kind:
        return self.kinds[number_in(packed_axle)]


class _Records(ValuesView[AxleRecord]):
    """The records one after the other, without a search for each."""

    _mapping: Axles

    def __iter__(self) -> Iterator[AxleRecord]:
        return self._mapping.records()


def axles_of(records: Iterable[AxleRecord]) -> Axles:
    """A snapshot's axles of records, in any order."""
    return _NONE.changed({record.sku: record for record in records})


def axles_of_rows(chunks: Iterable[Sequence[Row]], *, rest: Callable[[], None] = lambda: None) -> Axles:
    """A snapshot's axles of the table's rows, which have `ROW_COLUMNS` and are in the order of the SKUs.

    ``rest`` is called after some of them again and again, and after each kind.
    """
    making = KindsInMaking()
    numbers: dict[Row, int] = {}
    blocks = []
    for rows in chunks:
        blocks.append(
            Block(tuple([row[0] for row in rows]), tuple([_take(making, numbers, r) for r in rows]))
        )
        rest()
    kinds = making.kinds(rest=rest)
    counts = making.counts(NO_COUNTS, kinds)
    return Axles(kinds, making.numbers, Ordered(blocks), counts)


def _take(making: KindsInMaking, numbers: dict[Row, int], row: Row) -> bytes:
    """Take a row in; ``numbers`` remembers the kinds of rows as they stand in the table."""
    written = row[_OWN:]
    number = numbers.get(written)
    if number is None:
        number = numbers[written] = making.number_of(_in_millimetres(written))
    own = *row[:_PRICE], price_text(row[_PRICE], row[_CURRENCY]), *row[_CURRENCY:_OWN]
    return making.add(number, own)


def _in_millimetres(columns: Row) -> Row:
    """Columns of a kind as the record has them."""
    return tuple(
        value / 1000 if is_length and value is not None else value
        for value, is_length in zip(columns, _LENGTHS, strict=True)
    )


def _add(making: KindsInMaking, record: AxleRecord) -> bytes:
    own = list(_own_of(record))
    own[_PRICE] = None if record.price is None else f"{record.price:f}"
    return making.add(making.number_of(_columns_of(record)), tuple(own))


_NONE = Axles((), {}, Ordered(), NO_COUNTS)
