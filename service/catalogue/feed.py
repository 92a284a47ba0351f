"""The catalogue's history as a gap-free feed, and the whole catalogue as lines of JSON."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator

from schemas.feed import ChangeAnswer, ChangesRequest, ChangesResponse
from schemas.problems import FaultOfField, shown
from service.catalogue.records import record_json
from service.catalogue.repository import CatalogueRepository, RecordedChange
from service.catalogue.snapshot import Snapshot
from service.errors import CursorError, HistoryBeginsLaterError, InvalidRequestError
from service.store.database import Database


def changes_since(database: Database, request: ChangesRequest) -> ChangesResponse:
    """The changes of the revisions after the one that the caller has, in order.

    Raises
    ------
    HistoryBeginsLaterError
        If some of these changes were made before the history began to be recorded.
    InvalidRequestError
        If the catalogue has no such revision yet.
    CursorError
        If the cursor is not one of this feed.
    """
    with database.reading() as session:
        repository = CatalogueRepository(session)
        revision = repository.revision()
        if request.since > revision:
            fault = FaultOfField(
                path=("since",),
                found=shown(request.since),
                allowed=f"at most {revision}, the latest revision",
            )
            raise InvalidRequestError("The catalogue has no such revision yet.", [fault])
        if not repository.has_recorded_all_since(request.since):
            since = FaultOfField(
                path=("since",), found=shown(request.since), allowed="a revision since the history began"
            )
            raise HistoryBeginsLaterError(
                "The changes since then are not recorded: GET /v1/snapshot.", [since]
            )
        place = _place(request)
        found = repository.changes_after(*place, limit=request.limit + 1)
    page = found[: request.limit]
    more = len(found) > request.limit
    return ChangesResponse(
        catalogue_revision=revision,
        items=[_answer(change) for change in page],
        next_cursor=f"{page[-1].revision}-{page[-1].ordinal}" if more else None,
    )


def _place(request: ChangesRequest) -> tuple[int, int]:
    """The last change that the caller has: revision and ordinal."""
    if request.cursor is None:
        return request.since + 1, -1
    revision, _, ordinal = request.cursor.partition("-")
    if not (revision.isdecimal() and ordinal.isdecimal()) or max(len(revision), len(ordinal)) > 9:
        fault = FaultOfField(
            path=("cursor",), found=shown(request.cursor), allowed="a cursor as next_cursor gave it"
        )
        raise CursorError("The cursor is not one of this feed.", [fault])
    return int(revision), int(ordinal)


def _answer(recorded: RecordedChange) -> ChangeAnswer:
    change = recorded.change
    return ChangeAnswer.model_validate(
        {
            "revision": recorded.revision,
            "at": recorded.at,
            "actor": recorded.actor,
            "action": recorded.action,
            "table": change.table,
            "key": change.key,
            "before": json.loads(change.before) if change.before else None,
            "after": json.loads(change.after) if change.after else None,
        }
    )


def snapshot_lines(snapshot: Snapshot) -> Iterator[bytes]:
    """The whole catalogue: a line with the revision, one for each record, one with count and digest.

    The digest is the SHA-256 of all lines before the last.
    """
    digest = hashlib.sha256()
    count = 0
    first = json.dumps({"catalogue_revision": snapshot.revision}) + "\n"
    digest.update(first.encode())
    yield first.encode()
    for name, records in (
        ("axles", snapshot.axles),
        ("frames", snapshot.frames),
        ("sleeves", snapshot.sleeves),
    ):
        for record in records.values():
            line = f'{{"table":"{name}","record":{record_json(record)}}}\n'.encode()
            digest.update(line)
            count += 1
            yield line
    yield (json.dumps({"records": count, "sha256": digest.hexdigest()}) + "\n").encode()
