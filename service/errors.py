"""The errors of the service, one tree.

::

    ServiceError
    ├── InvalidRequestError          422
    │   └── AxlePositionError        422
    ├── MalformedRequestError        400
    ├── CursorError                  400
    ├── NotInCatalogueError          404
    ├── CatalogueUnavailableError    503
    ├── ImportFaultsError            422
    └── SchemaVersionError           503

Each class carries the status, the code and the title of its problem document; its docstring is the
public text.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from schemas.problems import FaultOfField


class ServiceError(Exception):
    """Something went wrong that the caller should know about."""

    status: ClassVar[int] = 500
    code: ClassVar[str] = "internal"
    title: ClassVar[str] = "Internal error"

    def __init__(self, detail: str, faults: Sequence[FaultOfField] = ()) -> None:
        super().__init__(detail)
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


class NotInCatalogueError(ServiceError):
    """The catalogue has no part or frame of this key."""

    status = 404
    code = "not-in-catalogue"
    title = "Not in the catalogue"


class CatalogueUnavailableError(ServiceError):
    """The catalogue has not been read yet."""

    status = 503
    code = "catalogue-unavailable"
    title = "Catalogue unavailable"


class ImportFaultsError(ServiceError):
    """The import file has faults; nothing of it was taken over."""

    status = 422
    code = "import-faults"
    title = "Import refused"


class SchemaVersionError(ServiceError):
    """The database is not of the schema that this release works with."""

    status = 503
    code = "schema-version"
    title = "Database of another schema"
