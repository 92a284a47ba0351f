"""Work in a thread that others of the process do not wait for: in short turns, with rests between them."""

from __future__ import annotations

import gc
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

_TURN_SECONDS = 0.0005
_PIECES = 8
_NEVER = 1_000_000_000


class Turns:
    """A rest after each half millisecond of work, half as long, so that the interpreter's lock is free."""

    def __init__(self) -> None:
        self._began = time.thread_time()

    def __call__(self) -> None:
        """Rest, if it is time."""
        worked = time.thread_time() - self._began
        if worked > _TURN_SECONDS:
            time.sleep(worked / 2)
            self._began = time.thread_time()


class _Giving:
    """How many threads give way just now, and what counted before the first of them did."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.threads = 0
        self.interval = sys.getswitchinterval()
        self.thresholds = gc.get_threshold()


_GIVING = _Giving()  # of the process, as what it sets is


@contextmanager
def giving_way() -> Iterator[None]:
    """While this thread works, others need not wait long for the interpreter's lock.

    They get it after half a millisecond instead of five. And Python collects young garbage only: it would
    look through a million half-made parts again and again, and hold up all threads each time.
    """
    with _GIVING.lock:
        if _GIVING.threads == 0:
            _GIVING.interval, _GIVING.thresholds = sys.getswitchinterval(), gc.get_threshold()
            sys.setswitchinterval(_TURN_SECONDS)
            gc.set_threshold(*_GIVING.thresholds[:2], _NEVER)
        _GIVING.threads += 1
    try:
        yield
    finally:
        with _GIVING.lock:
            _GIVING.threads -= 1
            if _GIVING.threads == 0:
                gc.set_threshold(*_GIVING.thresholds)
                sys.setswitchinterval(_GIVING.interval)


def let_go(pieces: list[object], rest: Callable[[], None]) -> None:
    """Free memory by and by: a million parts at once would hold up all threads."""
    while pieces:
        del pieces[-_PIECES:]
        rest()
