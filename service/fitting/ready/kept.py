"""What was worked out and may be asked for again, up to a number of such things."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class Kept(Generic[K, V]):
    """What was used last, up to a number."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[K, V] = OrderedDict()

    def get(self, key: K, make: Callable[[], V]) -> V:
        """What is kept under the key, or else is made."""
        if (found := self._kept.get(key)) is not None:
            self._kept.move_to_end(key)
            return found
        made = self._kept[key] = make()
        if len(self._kept) > self._most:
            self._kept.popitem(last=False)
        return made
