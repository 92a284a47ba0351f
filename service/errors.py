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
    ├── BackupError, SettingsError   500 (on the command line only)
    ├── CatalogueUnavailableError    503
    ├── DatabaseUnavailableError     503
    ├── KitNotSolvedError            503
    └── SchemaVersionError           503

Each class carries the status, the code and the title of its problem document; its docstring is the
public text.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import ClassVar

from schemas.problems import FaultOfField


class ServiceError(Exception):
    """Something went wrong that the caller should know about."""

    status: ClassVar[int] = 500
    code: ClassVar[str] = "internal"
    title: ClassVar[str] = "Internal error"
    headers: ClassVar[Mapping[str, str]] = MappingProxyType({})

    def __init__(self, detail: str, faults: Sequence[FaultOfField] = (), *, in_query: bool = False) -> None:
        super().__init__(detail)
        self.in_query = in_query
        self.detail = detail
        self.faults = tuple(faults)


class InvalidRequestError(ServiceError):
    """The request can be read, but a field is missing, unknown, repeated or out of its bounds."""

    status = 422
    code = "invalid-request"
    title = "Invalid request"


class AxlePositionError(InvalidRequestError):
    """The frame's widths differ from axle to axle, and the request does not say which axle it means."""

    code = "axle-position"
    title = "Axle position needed"


class ImportFaultsError(InvalidRequestError):
    """The import file has faults; nothing of it was taken over."""

    code = "import-faults"
    title = "Import refused"


class MalformedRequestError(ServiceError):
    """The body cannot be read as a JSON object."""

    status = 400
    code = "malformed-request"
    title = "Malformed request"


class CursorError(ServiceError):
    """The cursor is not one that this service gave out for this request on this catalogue revision."""

    status = 400
    code = "cursor"
    title = "Unusable cursor"


class UnauthenticatedError(ServiceError):
    """The request needs an API key, and has none that is valid."""

    status = 401
    code = "unauthenticated"
    title = "API key needed"
    headers = MappingProxyType({"WWW-Authenticate": "Bearer"})


class ForbiddenError(ServiceError):
    """The API key is valid, but does not allow this."""

    status = 403
    code = "forbidden"
    title = "Not allowed with this key"


class NotInCatalogueError(ServiceError):
    """The catalogue has no part or frame of this key."""

    status = 404
    code = "not-in-catalogue"
    title = "Not in the catalogue"


class HistoryBeginsLaterError(ServiceError):
    """The changes since this revision are not recorded any more; start from the snapshot."""

    status = 410
    code = "history-begins-later"
    title = "History begins later"


class PreconditionFailedError(ServiceError):
    """The record has changed since it was read, or exists already; read it again."""

    status = 412
    code = "precondition-failed"
    title = "The record has moved"


class BodyTooLargeError(ServiceError):
    """The body is larger than this path takes."""

    status = 413
    code = "body-too-large"
    title = "Body too large"


class UnsupportedMediaTypeError(ServiceError):
    """The body is of a media type that this path does not take."""

    status = 415
    code = "unsupported-media-type"
    title = "Unsupported media type"


class IdempotencyKeyReusedError(ServiceError):
    """The Idempotency-Key has been used for another request."""

    status = 422
    code = "idempotency-key-reused"
    title = "Idempotency-Key used already"


class PreconditionRequiredError(ServiceError):
    """The write must say which state of the record it means: If-Match, or If-None-Match: * for a new one."""

    status = 428
    code = "precondition-required"
    title = "Precondition required"


class SettingsError(ServiceError):
    """The settings do not allow to start."""

    code = "settings"
    title = "Settings wrong"


class BackupError(ServiceError):
    """A backup cannot be made or restored; nothing was changed."""

    code = "backup"
    title = "Backup unusable"


class CatalogueUnavailableError(ServiceError):
    """The catalogue has not been read yet."""

    status = 503
    code = "catalogue-unavailable"
    title = "Catalogue unavailable"
    headers = MappingProxyType({"Retry-After": "1"})


class DatabaseUnavailableError(ServiceError):
    """The database cannot be reached; lookups go on from the last snapshot, writes have to wait."""

    status = 503
    code = "database-unavailable"
    title = "Database unavailable"
    headers = MappingProxyType({"Retry-After": "5"})


class KitNotSolvedError(ServiceError):
    """The best kit could not be proven to be the best in the time there is; nothing less is answered."""

    status = 503
    code = "kit-not-solved"
    title = "Kit not solved"


class SchemaVersionError(ServiceError):
    """The database is not of the schema that this release works with."""

    status = 503
    code = "schema-version"
    title = "Database of another schema"
