"""What routes ask for: the snapshot to run on, the database to write to, who calls, on which condition."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Request

from schemas.problems import FaultOfField
from service.catalogue.snapshot import Snapshot, SnapshotKeeper
from service.errors import UnauthenticatedError
from service.fitting.cursor import Cursors
from service.partners.keys import Caller, Scope
from service.partners.wrong_keys import KeyCheck
from service.settings import Settings
from service.store.database import Database
from service.web.access import KEY_ID


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


def _catalogue_writer(request: Request) -> Caller:
    """The caller, whose key must allow writes of the catalogue."""
    scheme, _, key = request.headers.get("authorization", "").partition(" ")
    if scheme.lower() != "bearer" or not key:
        fault = FaultOfField(path=("Authorization",), found=None, allowed="Bearer axf_…", place="header")
        raise UnauthenticatedError("Writes need an API key: Authorization: Bearer axf_…", [fault])
    check: KeyCheck = request.app.state.key_check
    caller = check.caller_of(key.strip(), request.client.host if request.client else None)
    request.scope[KEY_ID] = caller.id
    caller.require(Scope.CATALOGUE)
    return caller


WRITER = Depends(_catalogue_writer)
WriterDep = Annotated[Caller, WRITER]
