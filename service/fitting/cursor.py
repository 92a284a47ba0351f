"""Cursors: where a list goes on, bound to the request and the catalogue revision that it began with."""

from __future__ import annotations

import base64
import binascii
import hashlib

from schemas.base import WireModel
from schemas.problems import FaultOfField, shown
from service.errors import CursorError


def cursor_after(offset: int, *, request: WireModel, revision: int) -> str:
    """The cursor that goes on after so many items."""
    token = f"{offset}.{_bound_to(request, revision)}".encode()
    return base64.urlsafe_b64encode(token).decode().rstrip("=")


def offset_of(cursor: str | None, *, request: WireModel, revision: int) -> int:
    """How many items the cursor skips.

    Raises
    ------
    CursorError
        If the cursor is not one of this request at this revision.
    """
    if cursor is None:
        return 0
    try:
        token = base64.urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4)).decode()
    except (binascii.Error, UnicodeDecodeError):
        token = ""
    offset, _, bound = token.partition(".")
    if bound != _bound_to(request, revision) or not (offset.isascii() and offset.isdigit()):
        fault = FaultOfField(
            path=("cursor",),
            found=shown(cursor),
            allowed="the next_cursor of the same request, while the catalogue has not changed",
        )
        raise CursorError("The cursor does not belong to this request and catalogue revision.", [fault])
    return int(offset)


def _bound_to(request: WireModel, revision: int) -> str:
    """A digest of what the cursor belongs to: the request, page size and place aside."""
    text = request.model_dump_json(exclude={"cursor", "limit"})
    return hashlib.sha256(f"{revision}:{text}".encode()).hexdigest()[:16]
