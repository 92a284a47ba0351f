"""Keys that are tried in bulk: an address with too many wrong ones has to wait, even with a right one.

A key has 190 bits that nobody can guess; this is for the load, and so that somebody's trying shows. The
counts are those of `limits.py`, in the database, for all workers.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

from sqlalchemy import Connection

from service.errors import DatabaseUnavailableError, QuotaExceededError, UnauthenticatedError
from service.partners.keys import Caller, caller_of
from service.partners.limits import WINDOW_MS, WINDOW_SECONDS, hashed_address, seconds_left
from service.partners.repository import Count, CountRepository
from service.settings import Settings
from service.store.database import Database


class KeyCheck:
    """Finds the caller of a key; `clock_ms` takes the place of the database's clock in tests."""

    def __init__(
        self, database: Database, settings: Settings, *, clock_ms: Callable[[], int] | None = None
    ) -> None:
        self._database = database
        self._pepper = settings.key_pepper.get_secret_value()
        self._quota = settings.wrong_keys_per_minute
        self._clock_ms = clock_ms

    def caller_of(self, key: str, address: str | None) -> Caller:
        """Who holds the key.

        Raises
        ------
        UnauthenticatedError
            If the key is not valid.
        QuotaExceededError
            If too many wrong keys have come from the address; then this one is not looked at.
        DatabaseUnavailableError
            If the database cannot be reached.
        """
        name = f"wrong keys {hashed_address(address, self._pepper)}"
        if self._quota:
            self._require_some_left(name)
        try:
            return caller_of(self._database, key, pepper=self._pepper)
        except UnauthenticatedError:
            if self._quota:
                self._count(name)
            raise

    def _require_some_left(self, name: str) -> None:
        with self._database.reading() as session:
            count = self._counts(session.connection()).standing(name)
        if count is not None and count.used >= self._quota:
            raise _too_many(self._quota, count)

    def _count(self, name: str) -> None:
        """Count a wrong key; while the database is too busy for that, it is refused all the same."""
        with suppress(DatabaseUnavailableError), self._database.counting() as connection:
            count = self._counts(connection).count(name, quota=self._quota)
            if not count.counted:  # others came in the meantime
                raise _too_many(self._quota, count)

    def _counts(self, connection: Connection) -> CountRepository:
        now_ms = self._clock_ms() if self._clock_ms else None
        return CountRepository(connection, window_ms=WINDOW_MS, now_ms=now_ms)


def _too_many(quota: int, count: Count) -> QuotaExceededError:
    seconds = seconds_left(count)
    return QuotaExceededError(
        f"{quota} wrong keys in {WINDOW_SECONDS} s came from this address; go on in {seconds} s.",
        headers={**QuotaExceededError.headers, "Retry-After": str(seconds)},
    )
