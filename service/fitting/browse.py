"""The parts and frames of the catalogue, listed and shown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

from schemas.answers import AxleListResponse, FrameListResponse, SleeveListResponse
from schemas.browse import AxleListRequest, FrameListRequest, PageRequest
from schemas.identify import IdentifyRequest
from schemas.parts import AxleRecord, FrameRecord, SleeveRecord
from schemas.problems import FaultOfField, shown
from service.catalogue.kinds import KIND_COLUMNS
from service.catalogue.snapshot import Snapshot
from service.engine.parts import Axle
from service.engine.windows import width_window
from service.errors import NotInCatalogueError
from service.fitting.barcodes import checked_gtin
from service.fitting.cursor import DEMONSTRATION_CURSORS, Cursors
from service.fitting.translate import thread_of

T = TypeVar("T")
_NOT_COLUMNS = {"limit", "cursor", "gtin", "outside_width_mm"}
Paged = PageRequest | IdentifyRequest
"""Requests that go on with a cursor."""


def list_axles(
    request: AxleListRequest, snapshot: Snapshot, cursors: Cursors = DEMONSTRATION_CURSORS
) -> AxleListResponse:
    """The axles that meet every condition, by SKU.

    Raises
    ------
    InvalidRequestError
        If a thread does not exist, or the check digit of a barcode's number is wrong.
    """
    wanted = request.model_dump(exclude=_NOT_COLUMNS, exclude_none=True)
    for column in ("thread", "brake_thread"):
        if (thread := thread_of(column, wanted.get(column))) is not None:
            wanted[column] = thread.designation
    skus, cursor = page_of(_skus(request, wanted, snapshot), request, snapshot, cursors)
    items = [snapshot.axles[sku] for sku in skus]
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
    items, cursor = page_of(found, request, snapshot, cursors)
    return FrameListResponse(catalogue_revision=snapshot.revision, items=items, next_cursor=cursor)


def show_frame(code: str, snapshot: Snapshot) -> FrameRecord:
    """One known frame."""
    return found_in(snapshot.frames, code, kind="frame")


def list_sleeves(
    request: PageRequest, snapshot: Snapshot, cursors: Cursors = DEMONSTRATION_CURSORS
) -> SleeveListResponse:
    """The sleeves, by SKU."""
    items, cursor = page_of(list(snapshot.sleeves.values()), request, snapshot, cursors)
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


def _skus(request: AxleListRequest, wanted: Mapping[str, Any], snapshot: Snapshot) -> Sequence[str]:
    """The SKUs of the axles that meet every condition, in order; what kinds decide is asked once of each."""
    with_gtin = None
    if request.gtin is not None:
        with_gtin = set(snapshot.compact_axles.with_gtin(checked_gtin(request.gtin)))
    if with_gtin is None and request.outside_width_mm is None and not wanted:
        return snapshot.compact_axles.skus
    of_kind = [(KIND_COLUMNS.index(name), value) for name, value in wanted.items() if name in KIND_COLUMNS]
    drive, colour = wanted.get("drive"), wanted.get("colour")
    return sorted(
        sku
        for kind in snapshot.kinds
        if all(kind.columns[place] == value for place, value in of_kind)
        and _serves_width(kind.axle, request.outside_width_mm)
        for sku, its_drive, its_colour in zip(kind.skus, kind.drives, kind.colours, strict=True)
        if (drive is None or its_drive == drive)
        and (colour is None or its_colour == colour)
        and (with_gtin is None or sku in with_gtin)
    )


def _serves_width(axle: Axle, width: float | None) -> bool:
    """Whether the width lies in the axle's window, with the far wall unknown."""
    if width is None:
        return True
    window = width_window(axle)
    return window is not None and window.lower_mm <= width <= window.upper_mm


def page_of(
    found: Sequence[T], request: Paged, snapshot: Snapshot, cursors: Cursors
) -> tuple[list[T], str | None]:
    """The page that the request asks for, and the cursor of the next one."""
    offset = cursors.offset_of(request.cursor, request=request, snapshot=snapshot)
    end = offset + request.limit
    cursor = cursors.after(end, request=request, snapshot=snapshot) if end < len(found) else None
    return list(found[offset:end]), cursor
