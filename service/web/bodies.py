"""Bodies of writes: a record as JSON, a merge patch, an import file."""

from __future__ import annotations

import hashlib
import json
from collections.abc import AsyncIterator, Awaitable, Callable
from dataclasses import dataclass
from tempfile import SpooledTemporaryFile
from typing import Any, BinaryIO, cast

from fastapi import Request

from schemas.base import WireModel
from schemas.problems import FaultOfField, shown
from service.catalogue.records import Record, Table, record_json
from service.catalogue.writing import MergePatch
from service.web.decoding import faults_of_query, invalid, validated
from service.web.json_bodies import body_too_large, json_object, require_length, require_media_type
from service.web.preconditions import faults_of_precondition

_IN_MEMORY_BYTES = 1024 * 1024


def record_from_body(table: Table) -> Callable[[Request], Awaitable[Record]]:
    """A dependency that reads a whole record; its key is the one in the path."""

    async def read(request: Request) -> Record:
        values, faults = await json_object(request)
        faults += _faults_beside(request)
        key = request.path_params[table.key]
        if values.setdefault(table.key, key) != key:
            faults.append(_other_key(table, values[table.key], key))
        return _record(table, values | {table.key: key}, faults)

    return read


def merge_patch_from_body(table: Table) -> Callable[[Request], Awaitable[MergePatch]]:
    """A dependency that reads a merge patch (RFC 7396): null takes a field away."""

    async def read(request: Request) -> MergePatch:
        patch, faults = await json_object(request, "application/merge-patch+json", "application/json")
        faults += _faults_beside(request)
        key = request.path_params[table.key]
        if patch.get(table.key, key) != key:
            faults.append(_other_key(table, patch[table.key], key))
        if faults:
            raise invalid(faults)

        def merge(record: Record) -> Record:
            values: dict[str, Any] = json.loads(record_json(record)) | patch
            return _record(table, {name: value for name, value in values.items() if value is not None}, [])

        return merge

    return read


def _faults_beside(request: Request) -> list[FaultOfField]:
    """What is wrong with a request beside its body."""
    return faults_of_query(request) + faults_of_precondition(request)


def _record(table: Table, values: dict[str, Any], faults: list[FaultOfField]) -> Record:
    faults += [
        FaultOfField(path=(name,), found=shown(value), allowed="no field of a record is true or false")
        for name, value in values.items()
        if isinstance(value, bool)
        or (isinstance(value, list) and any(isinstance(part, bool) for part in value))
    ]
    return validated(table.record, values, faults)


def _other_key(table: Table, found: object, key: str) -> FaultOfField:
    return FaultOfField(
        path=(table.key,), found=shown(found), allowed=f"{shown(key)}, as in the path", place="body"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class UploadedFile:
    """A file that was sent, and the digest of its bytes."""

    file: BinaryIO
    sha256: str

    def digest_with(self, request: WireModel) -> str:
        """A digest of the file and of what is asked to be done with it."""
        return hashlib.sha256(f"{self.sha256} {request.model_dump_json()}".encode()).hexdigest()


async def upload_from_body(request: Request) -> AsyncIterator[UploadedFile]:
    """A dependency that takes a CSV file, on disk where it is large, and closes it in the end."""
    require_media_type(request, "text/csv")
    most = request.app.state.settings.import_max_bytes
    require_length(request, most)
    digest = hashlib.sha256()
    size = 0
    with SpooledTemporaryFile(max_size=_IN_MEMORY_BYTES) as file:
        async for part in request.stream():
            size += len(part)
            if size > most:
                raise body_too_large(size, most)
            digest.update(part)
            file.write(part)
        file.seek(0)
        yield UploadedFile(file=cast("BinaryIO", file), sha256=digest.hexdigest())
