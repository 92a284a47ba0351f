"""The import of a file over HTTP: once for each Idempotency-Key, with the answer kept beside the work."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import BinaryIO

from schemas.feed import ImportRequest, ImportResponse
from service.catalogue.records import TABLES
from service.catalogue.transfer import import_table, write_file
from service.catalogue.writing import CatalogueWrite
from service.errors import IdempotencyKeyReusedError
from service.partners.keys import Caller
from service.partners.repository import AnswerRepository
from service.store.access import IdempotentAnswerRow
from service.store.database import Database


def import_file(
    database: Database,
    request: ImportRequest,
    file: BinaryIO,
    *,
    digest: str,
    caller: Caller,
    idempotency_key: str | None,
) -> ImportResponse:
    """Import a file, or check it; the same key with the same file gives the first answer again.

    Raises
    ------
    ImportFaultsError
        If the file has any fault; nothing is changed then, and the key stays unused.
    IdempotencyKeyReusedError
        If the key came with another request before.
    """
    table = TABLES[request.table]
    if request.dry_run:
        result = import_table(database, table, file, actor=caller.actor, dry_run=True)
        return ImportResponse(
            table=request.table, records=result.records, catalogue_revision=result.revision, dry_run=True
        )
    with database.writing() as session:
        answers = AnswerRepository(session)
        kept = answers.find(caller.id, idempotency_key) if idempotency_key else None
        if kept is not None:
            if kept.request_digest != digest:
                raise IdempotencyKeyReusedError("This Idempotency-Key has come with another request before.")
            return ImportResponse.model_validate_json(kept.answer)
        write = CatalogueWrite(session, actor=caller.actor, action=f"import {table.name}")
        records = write_file(write, table, file)
        response = ImportResponse(
            table=request.table, records=records, catalogue_revision=write.revision, dry_run=False
        )
        if idempotency_key:
            row = IdempotentAnswerRow(
                actor=caller.id,
                idempotency_key=idempotency_key,
                request_digest=digest,
                answer=response.model_dump_json(),
                at=datetime.now(UTC).isoformat(timespec="milliseconds"),
            )
            answers.keep(row)
        return response
