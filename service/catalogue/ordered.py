"""A mapping in the order of its keys that never changes, and of which a changed one costs little."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import accumulate, islice
from typing import Generic, NamedTuple, Self, TypeVar, overload

T = TypeVar("T")
V = TypeVar("V")
_BLOCK = 256


class Block(NamedTuple, Generic[V]):
    """Some neighbours: their keys in order, and their values."""

    keys: tuple[str, ...]
    values: tuple[V, ...]


class Ordered(Mapping[str, V]):
    """Keys in order, in blocks of some hundred: a changed mapping shares all blocks that did not change.

    So it is copied for an edit in the time that a block takes, and whoever holds the one before keeps it.
    Without a hash table it takes two pointers for an entry; a key is found by bisection.
    """

    __slots__ = ("_blocks", "_ends", "_firsts")

    def __init__(self, blocks: Iterable[Block[V]] = ()) -> None:
        self._blocks = tuple(blocks)
        self._firsts = [block.keys[0] for block in self._blocks]
        self._ends = list(accumulate(len(block.keys) for block in self._blocks))

    def __getitem__(self, key: str) -> V:
        index = bisect_right(self._firsts, key) - 1
        if index >= 0:
            keys, values = self._blocks[index]
            place = bisect_left(keys, key)
            if place < len(keys) and keys[place] == key:
                return values[place]
        raise KeyError(key)

    def __iter__(self) -> Iterator[str]:
        for block in self._blocks:
            yield from block.keys

    def __len__(self) -> int:
        return self._ends[-1] if self._ends else 0

    @property
    def blocks(self) -> tuple[Block[V], ...]:
        """The entries in order, some hundred in each."""
        return self._blocks

    def keys_onward(self, start: int = 0) -> Iterator[str]:
        """The keys in order, from this place on."""
        return (key for block, skipped in self._blocks_onward(start) for key in block.keys[skipped:])

    def onward(self, start: int = 0) -> Iterator[V]:
        """The values in order, from this place on."""
        return (value for block, skipped in self._blocks_onward(start) for value in block.values[skipped:])

    def _blocks_onward(self, start: int) -> Iterator[tuple[Block[V], int]]:
        """The blocks from the one with this place on, each with how many of its entries are skipped."""
        index = bisect_right(self._ends, start)
        skipped = start - (self._ends[index - 1] if index else 0)
        for block in self._blocks[index:]:
            yield block, skipped
            skipped = 0

    def changed(self, changes: Mapping[str, V | None]) -> Self:
        """The mapping with these values in place of those that the keys have; without them where None."""
        if not changes:
            return self
        blocks: list[Block[V]] = list(self._blocks) or [Block((), ())]
        of_block: dict[int, dict[str, V | None]] = {}
        for key, value in changes.items():
            of_block.setdefault(max(bisect_right(self._firsts, key) - 1, 0), {})[key] = value
        for index in sorted(of_block, reverse=True):  # from the end, so that the places before stay
            blocks[index : index + 1] = _changed(blocks[index], of_block[index])
        return type(self)(blocks)


class InOrder(Sequence[T]):
    """So many things in order, each made when it is asked for: ``onward`` makes those from a place on."""

    __slots__ = ("_count", "_onward")

    def __init__(self, count: int, onward: Callable[[int], Iterator[T]]) -> None:
        self._count = count
        self._onward = onward

    @overload
    def __getitem__(self, place: int) -> T: ...
    @overload
    def __getitem__(self, place: slice) -> Sequence[T]: ...
    def __getitem__(self, place: int | slice) -> T | Sequence[T]:
        places = range(self._count)[place]
        if isinstance(places, int):
            return next(self._onward(places))
        if places.step == 1:
            return tuple(islice(self._onward(places.start), len(places)))
        return tuple(self[one] for one in places)

    def __iter__(self) -> Iterator[T]:
        return self._onward(0)

    def __len__(self) -> int:
        return self._count


def in_blocks(entries: Mapping[str, V]) -> Iterator[Block[V]]:
    """Entries in the order of their keys, cut into blocks."""
    keys, values = tuple(entries), tuple(entries.values())
    for start in range(0, len(keys), _BLOCK):
        yield Block(keys[start : start + _BLOCK], values[start : start + _BLOCK])


def _changed(block: Block[V], changes: Mapping[str, V | None]) -> list[Block[V]]:
    """What becomes of a block: mostly one, several where it has grown to twice its size, none where empty."""
    merged: dict[str, V | None] = dict(zip(block.keys, block.values, strict=True))
    merged.update(changes)
    left = {key: merged[key] for key in sorted(merged)}
    kept = {key: value for key, value in left.items() if value is not None}
    if 0 < len(kept) <= 2 * _BLOCK:
        return [Block(tuple(kept), tuple(kept.values()))]
    return list(in_blocks(kept))
