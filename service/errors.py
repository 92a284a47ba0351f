"""The errors of the service, one tree.

::

    ServiceError
    ├── InvalidRequestError          422
    │   ├── AxlePositionError        422
    │   └── ImportFaultsError        422
    ├── MalformedRequestError        400
    ├── CursorError                  400
    ├── UnauthenticatedError         401
    ├── ForbiddenError               403
    ├── NotInCatalogueError          404
    ├── HistoryBeginsLaterError      410
    ├── PreconditionFailedError      412
    ├── BodyTooLargeError            413
    ├── UnsupportedMediaTypeError    415
    ├── IdempotencyKeyReusedError    422
    ├── PreconditionRequiredError    428
    ├── QuotaExceededError           429
    ├── OperatorError                on the command line only
    │   ├── BackupError
    │   └── SettingsError
    ├── CatalogueUnavailableError    503
    ├── DatabaseUnavailableError     503
    ├── KitNotSolvedError            503 (in `fitting/kits/errors.py`)
    └── SchemaVersionError           503

What is refused for its form as HTTP, or for want of room, stands in `web/refusals.py`. Each class carries
the status, the code and the title of its problem document. Its docstring is the page of the problem: the
public text, and in the second paragraph what to do.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import ClassVar

from schemas.problems import FaultOfField


class ServiceError(Exception):
    """The service met an error of its own; what happened is in its log and not in the answer.

    Try again in a moment. If it happens again, tell the operator of the service the time and the path.
    """

    status: ClassVar[int] = 500
    code: ClassVar[str] = "internal"
    title: ClassVar[str] = "Internal error"
    headers: Mapping[str, str] = MappingProxyType({})

    def __init__(
        self,
        detail: str,
        faults: Sequence[FaultOfField] = (),
        *,
        headers: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(detail)
        self.headers = headers or self.headers
        self.detail = detail
        self.faults = tuple(faults)


class InvalidRequestError(ServiceError):
    """The request can be read, but a field is missing, unknown, repeated or out of its bounds.

    Read `errors`: each entry names a place, what was found there and what is allowed. Put all of them right
    and send the request again; as it is, it will be refused again.
    """

    status = 422
    code = "invalid-request"
    title = "Invalid request"


class AxlePositionError(InvalidRequestError):
    """The frame's widths differ from axle to axle, and the request does not say which axle it means.

    Send `axle_position`: 1 is the front axle. `errors` says which positions the frame has.
    """

    code = "axle-position"
    title = "Axle position needed"


class ImportFaultsError(InvalidRequestError):
    """The import file has faults; nothing of it was taken over.

    Read `errors`: each pointer names a row of the file, counted from its header as row 1, and a column. Put
    them right and send the whole file again; with `dry_run=true` it is only checked.
    """

    code = "import-faults"
    title = "Import refused"


class MalformedRequestError(ServiceError):
    """The body cannot be read as a JSON object.

    Send one JSON object (RFC 8259) in UTF-8 whose names each stand once. A decimal comma, a comma after the
    last member and NaN are not JSON.
    """

    status = 400
    code = "malformed-request"
    title = "Malformed request"


class CursorError(ServiceError):
    """The cursor is not one that this service gave out for this request on this catalogue revision.

    Begin again without `cursor`. Send it as `next_cursor` gave it, with the other parameters unchanged; it
    ends when the catalogue changes.
    """

    status = 400
    code = "cursor"
    title = "Unusable cursor"


class UnauthenticatedError(ServiceError):
    """The request needs an API key, and has none that is valid.

    Send `Authorization: Bearer` and a key that the operator of the service has issued and not revoked. Never
    put a key into an address.
    """

    status = 401
    code = "unauthenticated"
    title = "API key needed"
    headers = MappingProxyType({"WWW-Authenticate": "Bearer"})


class ForbiddenError(ServiceError):
    """The API key is valid, but does not allow this.

    Ask the operator of the service for a key with the scope that `detail` names.
    """

    status = 403
    code = "forbidden"
    title = "Not allowed with this key"


class NotInCatalogueError(ServiceError):
    """The catalogue has no part or frame of this key.

    Look the key up in its list, such as `GET /v1/axles`; upper and lower case differ. It may have been
    removed since you read it: `GET /v1/changes` tells.
    """

    status = 404
    code = "not-in-catalogue"
    title = "Not in the catalogue"


class HistoryBeginsLaterError(ServiceError):
    """The changes since this revision are not recorded any more; start from the snapshot.

    Read `GET /v1/snapshot`, and follow `GET /v1/changes` from its revision.
    """

    status = 410
    code = "history-begins-later"
    title = "History begins later"


class PreconditionFailedError(ServiceError):
    """The record has changed since it was read, or exists already; read it again.

    Read the record again, decide whether your change still holds, and send it with the new `ETag` in
    `If-Match`.
    """

    status = 412
    code = "precondition-failed"
    title = "The record has moved"


class BodyTooLargeError(ServiceError):
    """The body is larger than this path takes.

    Send less: `errors` says how many bytes the path takes. Catalogues go to `POST /v1/imports` as a file.
    """

    status = 413
    code = "body-too-large"
    title = "Body too large"


class UnsupportedMediaTypeError(ServiceError):
    """The body is of a media type that this path does not take.

    Send the `Content-Type` that `errors` names, without a `Content-Encoding`.
    """

    status = 415
    code = "unsupported-media-type"
    title = "Unsupported media type"


class IdempotencyKeyReusedError(ServiceError):
    """The Idempotency-Key has been used for another request.

    Use a new key for each request, and the same key only to send the very same request again.
    """

    status = 422
    code = "idempotency-key-reused"
    title = "Idempotency-Key used already"


class PreconditionRequiredError(ServiceError):
    """The write must say which state of the record it means: If-Match, or If-None-Match: * for a new one.

    Read the record, and send its `ETag` in `If-Match`; for a record that is not there yet, send
    `If-None-Match: *`.
    """

    status = 428
    code = "precondition-required"
    title = "Precondition required"


class QuotaExceededError(ServiceError):
    """Too many requests came from this key or address within a minute.

    Wait as long as the header Retry-After says, and go on then. RateLimit tells in every answer how many
    requests are left.
    """

    status = 429
    code = "quota-exceeded"
    title = "Too many requests"
    headers = MappingProxyType({"Cache-Control": "no-store"})  # RFC 6585, 4: a cache must not keep it


class OperatorError(ServiceError):
    """What a command tells its operator; it never goes over HTTP."""


class SettingsError(OperatorError):
    """The settings do not allow to start."""

    code = "settings"
    title = "Settings wrong"


class BackupError(OperatorError):
    """A backup cannot be made or restored; nothing was changed."""

    code = "backup"
    title = "Backup unusable"


class CatalogueUnavailableError(ServiceError):
    """The catalogue has not been read yet.

    Send the request again after the seconds that `Retry-After` says.
    """

    status = 503
    code = "catalogue-unavailable"
    title = "Catalogue unavailable"
    headers = MappingProxyType({"Retry-After": "1"})


class DatabaseUnavailableError(ServiceError):
    """The database cannot be reached; lookups go on from the last snapshot, writes have to wait.

    Send the request again after the seconds that `Retry-After` says; with an `Idempotency-Key` an import is
    not done twice.
    """

    status = 503
    code = "database-unavailable"
    title = "Database unavailable"
    headers = MappingProxyType({"Retry-After": "5"})


class SchemaVersionError(ServiceError):
    """The database is not of the schema that this release works with.

    Try again later. The operator of the service has to run `python -m service upgrade`.
    """

    status = 503
    code = "schema-version"
    title = "Database of another schema"
    headers = MappingProxyType({"Retry-After": "60"})
