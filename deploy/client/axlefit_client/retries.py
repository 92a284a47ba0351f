"""When to ask again: after what, how often, and not before the service says."""

from __future__ import annotations

import random
import re
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime

import httpx

_PASSING_STATUSES = frozenset({429, 502, 503, 504})
_PASSING_ERRORS = (httpx.TimeoutException, httpx.NetworkError, httpx.RemoteProtocolError)
_FIRST_PAUSE_S = 0.25
_LONGEST_PAUSE_S = 10.0
_SECONDS = re.compile(r"[0-9]+")


@dataclass
class Waits:
    """The attempts at one request; the last of them begins while there is patience [s]."""

    patience: float
    clock: Callable[[], float] = time.monotonic
    attempts: int = 1

    def __post_init__(self) -> None:
        self._until = self.clock() + self.patience

    def after(self, outcome: httpx.Response | httpx.RequestError) -> float | None:
        """How long to wait before the next attempt [s]; None if there is to be none.

        It is never shorter than Retry-After. Where that is longer than the patience, there is no next
        attempt: one that came too early would be refused again.
        """
        if not _passes(outcome):
            return None
        pause = _backoff(self.attempts)
        if isinstance(outcome, httpx.Response):
            pause = max(pause, retry_after(outcome) or 0.0)
        if self.clock() + pause > self._until:
            return None
        self.attempts += 1
        return pause


def retry_after(response: httpx.Response) -> float | None:
    """The seconds that Retry-After asks for, given as such or as a date (RFC 9110, 10.2.3)."""
    text = response.headers.get("Retry-After", "").strip()
    if _SECONDS.fullmatch(text):
        return float(text)
    until = _instant(text)
    if until is None:
        return None
    # The service's own clock, where it tells it: this machine's may be wrong by more than the wait.
    now = _instant(response.headers.get("Date", "")) or time.time()
    return max(0.0, until - now)


def _passes(outcome: httpx.Response | httpx.RequestError) -> bool:
    """Whether the same request may well succeed later."""
    if isinstance(outcome, httpx.Response):
        return outcome.status_code in _PASSING_STATUSES
    return isinstance(outcome, _PASSING_ERRORS)


def _backoff(attempts: int) -> float:
    """Twice as long each time [s], less a share by chance, so that clients do not come back all at once."""
    longest = min(_LONGEST_PAUSE_S, _FIRST_PAUSE_S * 2.0 ** (attempts - 1))
    return longest * random.uniform(0.5, 1.0)  # noqa: S311 (nothing secret hangs on it)


def _instant(text: str) -> float | None:
    """An HTTP-date in any of its three forms (RFC 9110, 5.6.7), as seconds since 1970."""
    try:
        date = parsedate_to_datetime(text)
    except ValueError:
        return None
    return _in_utc(date).timestamp()


def _in_utc(date: datetime) -> datetime:
    """HTTP's dates are in UTC, also in the form that does not say so."""
    return date if date.tzinfo else date.replace(tzinfo=UTC)
