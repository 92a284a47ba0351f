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
from service.errors import BodyTooLargeError, InvalidRequestError, UnsupportedMediaTypeError
from service.web.decoding import json_object, validated

_IN_MEMORY_BYTES = 1024 * 1024


def record_from_body(table: Table) -> Callable[[Request], Awaitable[Record]]:
    """A dependency that reads a whole record; its key is the one in the path."""

    async def read(request: Request) -> Record:
        require_media_type(request, "application/json")
        values = await json_object(request)
        key = request.path_params[table.key]
        if values.setdefault(table.key, key) != key:
            raise _other_key(table, values[table.key], key)
        return _record(table, values)

    return read


def merge_patch_from_body(table: Table) -> Callable[[Request], Awaitable[MergePatch]]:
    """A dependency that reads a merge patch (RFC 7396): null takes a field away."""

    async def read(request: Request) -> MergePatch:
        require_media_type(request, "application/merge-patch+json", "application/json")
        patch = await json_object(request)
        key = request.path_params[table.key]
        if patch.get(table.key, key) != key:
            raise _other_key(table, patch[table.key], key)

        def merge(record: Record) -> Record:
            values: dict[str, Any] = json.loads(record_json(record)) | patch
            return _record(table, {name: value for name, value in values.items() if value is not None})

        return merge

    return read


def _record(table: Table, values: dict[str, Any]) -> Record:
    faults = [
        FaultOfField(path=(name,), found=shown(value), allowed="no field of a record is true or false")
        for name, value in values.items()
        if isinstance(value, bool)
        or (isinstance(value, list) and any(isinstance(part, bool) for part in value))
    ]
    return validated(table.record, values, faults)


def _other_key(table: Table, found: object, key: str) -> InvalidRequestError:
    fault = FaultOfField(path=(table.key,), found=shown(found), allowed=f"{key}, as in the path")
    return InvalidRequestError("A record's key cannot be changed.", [fault])


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
    digest = hashlib.sha256()
    size = 0
    with SpooledTemporaryFile(max_size=_IN_MEMORY_BYTES) as file:
        async for part in request.stream():
            size += len(part)
            if size > most:
                raise BodyTooLargeError(f"An import file has at most {most} bytes.")
            digest.update(part)
            file.write(part)
        file.seek(0)
        yield UploadedFile(file=cast("BinaryIO", file), sha256=digest.hexdigest())


def require_media_type(request: Request, *accepted: str) -> None:
    """Refuse a body of another media type (RFC 9110, 15.5.16)."""
    found = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if found not in accepted:
        raise UnsupportedMediaTypeError(f"Send Content-Type: {' or '.join(accepted)}.")
