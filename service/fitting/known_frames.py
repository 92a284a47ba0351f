"""The lookup for a frame of the table: its record becomes the lookup of one of its axles."""

from __future__ import annotations

from typing import Any

from schemas.answers import FitsResponse
from schemas.codes import Language
from schemas.lookup import FrameLookupRequest, LookupRequest
from schemas.parts import FrameRecord
from schemas.problems import FaultOfField, shown
from service.catalogue.snapshot import Snapshot
from service.errors import AxlePositionError
from service.fitting.browse import show_frame
from service.fitting.cursor import DEMONSTRATION_CURSORS, Cursors
from service.fitting.lookup import look_up

_SAME_IN_BOTH = (
    "fastening",
    "inside_width_mm",
    "head_wall_mm",
    "far_wall_mm",
    "bore_mm",
    "wall_material",
    "thread",
    "recess_mm",
    "holes",
    "hole_offset_mm",
    "keyed_profile",
)


def look_up_frame(
    code: str,
    request: FrameLookupRequest,
    snapshot: Snapshot,
    cursors: Cursors = DEMONSTRATION_CURSORS,
    *,
    language: Language = Language.ENGLISH,
) -> FitsResponse:
    """The axles that fit a known frame, at one of its axles.

    Raises
    ------
    NotInCatalogueError
        If there is no such frame.
    AxlePositionError
        If the frame's widths differ and the request does not say which axle, or it has no such axle.
    """
    lookup = lookup_of(show_frame(code, snapshot), request)
    return look_up(lookup, snapshot, cursors, language=language)


def lookup_of(frame: FrameRecord, request: FrameLookupRequest) -> LookupRequest:
    """The lookup for one axle of a frame, its widths as the maker declares them."""
    position = request.axle_position
    if position is not None and position > frame.wheels:
        raise _no_such_position(frame, position)
    values: dict[str, Any] = request.model_dump(exclude={"axle_position"}, exclude_unset=True)
    values["instrument"] = "declared"
    for name in _SAME_IN_BOTH:
        value = getattr(frame, name)
        if value is not None:
            values[name] = value
    if frame.outside_widths_mm:
        values["outside_width_mm"] = _width_at(frame, position)
        if len(set(frame.outside_widths_mm)) > 1:
            # The declared walls hold where the frame is widest or narrowest, not at each of its axles.
            values.pop("inside_width_mm", None)
    if position is not None and position == frame.brake_position:
        values["position"] = "brake"
        if frame.brake_thread is not None:
            values["brake_thread"] = frame.brake_thread
    return LookupRequest.model_validate(values)


def _width_at(frame: FrameRecord, position: int | None) -> float:
    """The outside width at an axle [mm]."""
    widths = frame.outside_widths_mm
    if len(set(widths)) == 1:
        return widths[0]
    if position is None:
        raise _no_such_position(frame, None)
    return widths[position - 1]


def _no_such_position(frame: FrameRecord, found: int | None) -> AxlePositionError:
    allowed = f"1 to {frame.wheels}, from the front"
    fault = FaultOfField(path=("axle_position",), found=shown(found), allowed=allowed)
    detail = (
        "The frame's widths differ from axle to axle: say which one." if found is None else "No such axle."
    )
    return AxlePositionError(detail, [fault])
