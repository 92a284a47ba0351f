"""The parts and frames of the catalogue, listed and shown."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from schemas.answers import AxleListResponse, FrameListResponse, SleeveListResponse
from schemas.browse import AxleListRequest, FrameListRequest, PageRequest
from schemas.parts import AxleRecord, FrameRecord, SleeveRecord
from schemas.problems import FaultOfField, shown
from service.catalogue.records import engine_axle
from service.catalogue.snapshot import Snapshot
from service.engine.windows import width_window
from service.errors import NotInCatalogueError
from service.fitting.cursor import DEMONSTRATION_CURSORS, Cursors
from service.fitting.translate import thread_of

T = TypeVar("T")
_NOT_COLUMNS = {"limit", "cursor", "gtin", "outside_width_mm"}
_GTIN_DIGITS = 14


def list_axles(
    request: AxleListRequest, snapshot: Snapshot, cursors: Cursors = DEMONSTRATION_CURSORS
) -> AxleListResponse:
    """The axles that meet every condition, by SKU."""
    wanted = request.model_dump(exclude=_NOT_COLUMNS, exclude_none=True)
    for column in ("thread", "brake_thread"):
        if (thread := thread_of(column, wanted.get(column))) is not None:
            wanted[column] = thread.designation
    found = [
        record
        for record in snapshot.axles.values()
        if all(getattr(record, column) == value for column, value in wanted.items())
        and _has_gtin(record, request.gtin)
        and _serves_width(record, request.outside_width_mm)
    ]
    items, cursor = _page(found, request, snapshot, cursors)
    return AxleListResponse(catalogue_revision=snapshot.revision, items=items, next_cursor=cursor)


def show_axle(sku: str, snapshot: Snapshot) -> AxleRecord:
    """One axle of the catalogue."""
    return found_in(snapshot.axles, sku, kind="axle")


def list_frames(
    request: FrameListRequest, snapshot: Snapshot, cursors: Cursors = DEMONSTRATION_CURSORS
) -> FrameListResponse:
    """The known frames, by code."""
    found = [
        record
        for record in snapshot.frames.values()
        if request.fastening is None or record.fastening == request.fastening
    ]
    items, cursor = _page(found, request, snapshot, cursors)
    return FrameListResponse(catalogue_revision=snapshot.revision, items=items, next_cursor=cursor)


def show_frame(code: str, snapshot: Snapshot) -> FrameRecord:
    """One known frame."""
    return found_in(snapshot.frames, code, kind="frame")


def list_sleeves(
    request: PageRequest, snapshot: Snapshot, cursors: Cursors = DEMONSTRATION_CURSORS
) -> SleeveListResponse:
    """The sleeves, by SKU."""
    items, cursor = _page(list(snapshot.sleeves.values()), request, snapshot, cursors)
    return SleeveListResponse(catalogue_revision=snapshot.revision, items=items, next_cursor=cursor)


def show_sleeve(sku: str, snapshot: Snapshot) -> SleeveRecord:
    """One sleeve of the catalogue."""
    return found_in(snapshot.sleeves, sku, kind="sleeve")


def found_in(records: Mapping[str, T], key: str, *, kind: str) -> T:
    """The record of this key, or an error that says that there is none."""
    record = records.get(key)
    if record is None:
        name = "code" if kind == "frame" else "sku"
        fault = FaultOfField(
            path=(name,), found=shown(key), allowed=f"the {name} of one in the catalogue", place="path"
        )
        raise NotInCatalogueError(f"The catalogue has no {kind} with this key.", [fault])
    return record


def _has_gtin(record: AxleRecord, gtin: str | None) -> bool:
    """Whether the part has this barcode number; shorter forms are filled with zeros from the left."""
    if gtin is None:
        return True
    return record.gtin is not None and record.gtin.zfill(_GTIN_DIGITS) == gtin.zfill(_GTIN_DIGITS)


def _serves_width(record: AxleRecord, width: float | None) -> bool:
    """Whether the width lies in the axle's window, with the far wall unknown."""
    if width is None:
        return True
    window = width_window(engine_axle(record))
    return window is not None and window.lower_mm <= width <= window.upper_mm


def _page(
    found: list[Any], request: PageRequest, snapshot: Snapshot, cursors: Cursors
) -> tuple[list[Any], str | None]:
    """The page that the request asks for, and the cursor of the next one."""
    offset = cursors.offset_of(request.cursor, request=request, snapshot=snapshot)
    end = offset + request.limit
    cursor = cursors.after(end, request=request, snapshot=snapshot) if end < len(found) else None
    return found[offset:end], cursor
