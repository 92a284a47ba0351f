"""What routes ask for: the snapshot to run on, the database to write to, who calls, on which condition."""

from __future__ import annotations

import re
from typing import Annotated

from fastapi import Depends, Request

from service.catalogue.snapshot import Snapshot, SnapshotKeeper
from service.catalogue.writing import Precondition
from service.errors import InvalidRequestError, PreconditionRequiredError, UnauthenticatedError
from service.fitting.cursor import Cursors
from service.partners.keys import Caller, Scope, caller_of
from service.settings import Settings
from service.store.database import Database

_ENTITY_TAGS = re.compile(r'\s*"[\x21\x23-\x7e]*"\s*(,\s*"[\x21\x23-\x7e]*"\s*)*')
_IDEMPOTENCY_KEY = re.compile(r"[\x21-\x7e]{1,128}")


async def _keeper(request: Request) -> SnapshotKeeper:
    keeper: SnapshotKeeper = request.app.state.snapshots
    return keeper


KeeperDep = Annotated[SnapshotKeeper, Depends(_keeper)]


async def _current_snapshot(keeper: KeeperDep) -> Snapshot:
    return keeper.current


SnapshotDep = Annotated[Snapshot, Depends(_current_snapshot)]


async def _database(request: Request) -> Database:
    database: Database = request.app.state.database
    return database


DatabaseDep = Annotated[Database, Depends(_database)]


async def _settings(request: Request) -> Settings:
    settings: Settings = request.app.state.settings
    return settings


SettingsDep = Annotated[Settings, Depends(_settings)]


async def _cursors(request: Request) -> Cursors:
    cursors: Cursors = request.app.state.cursors
    return cursors


CursorsDep = Annotated[Cursors, Depends(_cursors)]


def _catalogue_writer(request: Request, database: DatabaseDep, settings: SettingsDep) -> Caller:
    """The caller, whose key must allow writes of the catalogue."""
    scheme, _, key = request.headers.get("authorization", "").partition(" ")
    if scheme.lower() != "bearer" or not key:
        raise UnauthenticatedError("Writes need an API key: Authorization: Bearer axf_…")
    caller = caller_of(database, key.strip(), pepper=settings.key_pepper.get_secret_value())
    caller.require(Scope.CATALOGUE)
    return caller


WRITER = Depends(_catalogue_writer)
WriterDep = Annotated[Caller, WRITER]


async def _precondition(request: Request) -> Precondition:
    """What If-Match or If-None-Match says of the record's state (RFC 9110, 13.1)."""
    if_match, if_none_match = request.headers.get("if-match"), request.headers.get("if-none-match")
    if if_match is None and if_none_match is None:
        raise PreconditionRequiredError(
            "Send If-Match with the record's ETag, or If-None-Match: * for a new record."
        )
    if if_match is None:
        if if_none_match != "*":
            raise InvalidRequestError("If-None-Match takes * here: only if there is no such record.")
        return Precondition(absent=True)
    if if_match.strip() == "*":
        return Precondition(any_state=True)
    if _ENTITY_TAGS.fullmatch(if_match) is None:
        raise InvalidRequestError("If-Match takes strong entity tags in quotes, as ETag gave them, or *.")
    return Precondition(tags=frozenset(tag.strip() for tag in if_match.split(",")))


PreconditionDep = Annotated[Precondition, Depends(_precondition)]


async def _idempotency_key(request: Request) -> str | None:
    key = request.headers.get("idempotency-key")
    if key is not None and _IDEMPOTENCY_KEY.fullmatch(key) is None:
        raise InvalidRequestError("Idempotency-Key takes 1 to 128 visible ASCII characters.")
    return key


IdempotencyKeyDep = Annotated[str | None, Depends(_idempotency_key)]
