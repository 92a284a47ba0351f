"""What routes ask for: the snapshot to run on."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Request

from service.catalogue.snapshot import Snapshot, SnapshotKeeper


async def _current_snapshot(request: Request) -> Snapshot:
    keeper: SnapshotKeeper = request.app.state.snapshots
    return keeper.current


SnapshotDep = Annotated[Snapshot, Depends(_current_snapshot)]
