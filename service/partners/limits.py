"""Limits: how many requests a client may make in a minute, counted in the database for all workers.

A client's window begins with its first request and lasts a minute. Who holds a valid key is counted by the
key, everybody else by the address, of which a keyed hash is stored: no list of visitors comes about.
"""

from __future__ import annotations

import hashlib
import hmac
import ipaddress
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass

from service.errors import DatabaseUnavailableError, UnauthenticatedError
from service.partners.keys import Caller, caller_of
from service.partners.repository import Count, CountRepository
from service.settings import Settings
from service.store.database import Database

WINDOW_SECONDS = 60
WINDOW_MS = WINDOW_SECONDS * 1000
_IPV6_PREFIX = 64
"""One household or one machine has a whole network of this size, and may choose any address in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asker:
    """What a request says of who makes it: the key it has, if any, and the address it comes from."""

    key: str | None = None
    address: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Client:
    """Who is counted: by which policy, under which name, and the key's identifier if it is by key."""

    policy: str
    name: str
    quota: int
    key_id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """What a client has left after a request, which was let through or not."""

    policy: str
    quota: int
    let_through: bool
    remaining: int
    seconds_left: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """What became of a request: its allowance if its client has a limit, and the key if it is valid."""

    allowance: Allowance | None = None
    key_id: str | None = None


class Limits:
    """The limits of the settings; `clock_ms` takes the place of the database's clock in tests."""

    def __init__(
        self, database: Database, settings: Settings, *, clock_ms: Callable[[], int] | None = None
    ) -> None:
        self._database = database
        self._pepper = settings.key_pepper.get_secret_value()
        self._by_address = settings.limit_per_minute
        self._by_key = (
            settings.limit_per_minute
            if settings.key_limit_per_minute is None
            else settings.key_limit_per_minute
        )
        self._clock_ms = clock_ms
        self._swept_at_ms: int | None = None

    @property
    def on(self) -> bool:
        """Whether anybody is limited."""
        return self._by_address > 0 or self._by_key > 0

    def count_all(self, askers: Sequence[Asker]) -> list[Counted]:
        """Count one request of each in one transaction, and say what became of each.

        Raises
        ------
        DatabaseUnavailableError
            If the database cannot be reached, or is busy for a second; then none is counted.
        """
        callers = {key: self._caller(key) for key in {asker.key for asker in askers} if key is not None}
        clients = [self._client(callers.get(asker.key or ""), asker.address) for asker in askers]
        limited = [place for place, client in enumerate(clients) if client.quota > 0]
        counted = [Counted(key_id=client.key_id) for client in clients]
        if not limited:
            return counted
        now_ms = self._clock_ms() if self._clock_ms else None
        with self._database.counting() as connection:
            repository = CountRepository(connection, window_ms=WINDOW_MS, now_ms=now_ms)
            # All workers lock the clients' rows in one order, so that none waits for one that waits for it.
            for place in sorted(limited, key=lambda place: clients[place].name):
                client = clients[place]
                count = repository.count(client.name, quota=client.quota)
                counted[place] = Counted(allowance=_allowance(client, count), key_id=client.key_id)
        self._sweep_sometimes(count.now_ms)
        return counted

    def _caller(self, key: str) -> Caller | None:
        """Who holds the key; nobody if it is not valid: who guesses keys is counted by the address."""
        try:
            return caller_of(self._database, key, pepper=self._pepper)
        except UnauthenticatedError:
            return None

    def _client(self, caller: Caller | None, address: str | None) -> Client:
        if caller is not None:
            return Client(policy="key", name=f"key {caller.id}", quota=self._by_key, key_id=caller.id)
        name = f"address {hashed_address(address, self._pepper)}"
        return Client(policy="address", name=name, quota=self._by_address)

    def _sweep_sometimes(self, now_ms: int) -> None:
        """Remove old windows once in a window, in a transaction of its own that holds up nobody's count."""
        if self._swept_at_ms is not None and abs(now_ms - self._swept_at_ms) < WINDOW_MS:
            return
        self._swept_at_ms = now_ms
        given = now_ms if self._clock_ms else None
        with suppress(DatabaseUnavailableError), self._database.counting() as connection:
            CountRepository(connection, window_ms=WINDOW_MS, now_ms=given).sweep()


def hashed_address(address: str | None, pepper: str) -> str:
    """What an address is stored as: nobody without the pepper can tell whose it was."""
    return hmac.new(pepper.encode(), network_of(address).encode(), hashlib.sha256).hexdigest()


def network_of(address: str | None) -> str:
    """What counts as one address: an IPv4 address, or the /64 network of an IPv6 one."""
    try:
        parsed = ipaddress.ip_address(address or "")
    except ValueError:
        return address or "unknown"  # a Unix socket has none
    if isinstance(parsed, ipaddress.IPv6Address):
        if parsed.ipv4_mapped is not None:
            return str(parsed.ipv4_mapped)
        return str(ipaddress.IPv6Network((int(parsed), _IPV6_PREFIX), strict=False))
    return str(parsed)


def _allowance(client: Client, count: Count) -> Allowance:
    return Allowance(
        policy=client.policy,
        quota=client.quota,
        let_through=count.counted,
        remaining=max(client.quota - count.used, 0),
        seconds_left=seconds_left(count),
    )


def seconds_left(count: Count) -> int:
    """How long a window still lasts [s]: rounded up, so that who waits as long is let through."""
    left_ms = count.began_at_ms + WINDOW_MS - count.now_ms
    return min(max(-(-left_ms // 1000), 1), WINDOW_SECONDS)  # whatever the clocks do, in bounds
