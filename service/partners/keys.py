"""API keys: recognisable, random, with a checksum; what is stored is a keyed hash.

A key reads ``axf_<identifier>_<secret><checksum>``. The identifier finds its row, the checksum refuses a
mistyped key before anything is looked up, and only who holds the pepper could test a stolen table.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import string
import zlib
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum

from service.errors import ForbiddenError, NotInCatalogueError, UnauthenticatedError
from service.partners.repository import KeyRepository
from service.store.access import ApiKeyRow
from service.store.database import Database

PREFIX = "axf"
_ALPHABET = string.ascii_letters + string.digits
_IDENTIFIER_LENGTH, _SECRET_LENGTH, _CHECKSUM_LENGTH = 8, 32, 8


class Scope(StrEnum):
    """What a key allows."""

    CATALOGUE = "catalogue"
    ADMIN = "admin"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caller:
    """Who holds a valid key: its identifier, its name, and what it allows."""

    id: str
    name: str
    scopes: frozenset[str]

    @property
    def actor(self) -> str:
        """How the catalogue's history names the caller."""
        return f"{self.name} ({self.id})"

    def require(self, scope: Scope) -> None:
        """Refuse a caller whose key does not allow this; a key for administration allows everything."""
        if scope not in self.scopes and Scope.ADMIN not in self.scopes:
            raise ForbiddenError(f"The key does not have the scope {scope.value}.")


def issue_key(database: Database, *, name: str, scopes: frozenset[Scope], pepper: str) -> str:
    """Make a key and store its hash; the key is returned once and nowhere kept."""
    identifier = "".join(secrets.choice(_ALPHABET) for _ in range(_IDENTIFIER_LENGTH))
    secret = "".join(secrets.choice(_ALPHABET) for _ in range(_SECRET_LENGTH))
    body = f"{PREFIX}_{identifier}_{secret}"
    key = body + _checksum(body)
    row = ApiKeyRow(
        id=identifier,
        name=name,
        scopes=" ".join(sorted(scopes)),
        digest=_digest(key, pepper),
        issued_at=_now(),
        revoked_at=None,
    )
    with database.writing() as session:
        KeyRepository(session).add(row)
    return key


def list_keys(database: Database) -> list[ApiKeyRow]:
    """All keys that were issued, without what is secret of them."""
    with database.reading() as session:
        return KeyRepository(session).all()


def revoke_key(database: Database, identifier: str) -> None:
    """Make a key invalid from now on.

    Raises
    ------
    NotInCatalogueError
        If there is no such key.
    """
    with database.writing() as session:
        if not KeyRepository(session).revoke(identifier, at=_now()):
            raise NotInCatalogueError("There is no key with this identifier.")


def caller_of(database: Database, key: str, *, pepper: str) -> Caller:
    """The caller who holds this key.

    Raises
    ------
    UnauthenticatedError
        If the key is malformed, unknown or revoked; which of these is not told.
    """
    row = _row_of(database, key)
    known = row is not None and row.revoked_at is None
    # Compared in either case, so that the time tells nothing about which keys exist.
    same = hmac.compare_digest(row.digest if row else "", _digest(key, pepper))
    if row is None or not known or not same:
        raise UnauthenticatedError("The key is not valid.")
    return Caller(id=row.id, name=row.name, scopes=frozenset(row.scopes.split()))


def _row_of(database: Database, key: str) -> ApiKeyRow | None:
    parts = key.split("_")
    body, checksum = key[:-_CHECKSUM_LENGTH], key[-_CHECKSUM_LENGTH:]
    if len(parts) != 3 or parts[0] != PREFIX or not key.isascii() or _checksum(body) != checksum:
        return None
    with database.reading() as session:
        return KeyRepository(session).find(parts[1])


def _digest(key: str, pepper: str) -> str:
    return hmac.new(pepper.encode(), key.encode("utf-8", "surrogatepass"), hashlib.sha256).hexdigest()


def _checksum(body: str) -> str:
    return f"{zlib.crc32(body.encode()):0{_CHECKSUM_LENGTH}x}"


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds")
