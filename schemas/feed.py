"""The catalogue's changes as a feed, and what an import answers."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from .base import WireModel
from .fields import Cursor, Whole

TableName = Literal["axles", "frames", "sleeves"]


class ChangesRequest(WireModel):
    """From where in the catalogue's history, and how much of it."""

    since: Whole = Field(ge=0, le=2**31 - 1, description="The revision that the caller has.")
    limit: Whole = Field(default=100, ge=1, le=1000, description="How many changes to answer with.")
    cursor: Cursor | None = Field(default=None, description="Where to go on, from `next_cursor`.")


class ChangeAnswer(WireModel):
    """One record that a write changed: as it was before and as it is after, null where there is none."""

    revision: int
    at: str
    actor: str
    action: str
    table: TableName
    key: str
    before: dict[str, Any] | None
    after: dict[str, Any] | None


class ChangesResponse(WireModel):
    """The changes since a revision, in order and without a gap."""

    catalogue_revision: int
    items: list[ChangeAnswer]
    next_cursor: str | None = None


class ImportRequest(WireModel):
    """Which table a file is for, and whether it is only to be checked."""

    table: TableName = Field(description="The table that the file is for.")
    dry_run: bool = Field(default=False, description="Check the file and change nothing.")


class ImportResponse(WireModel):
    """What an import brought."""

    table: TableName
    records: int
    catalogue_revision: int
    dry_run: bool
