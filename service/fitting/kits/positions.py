"""The positions of a kit: each axle of each skate, what it needs, and the lookup that it comes to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from schemas.kits import KitLookup, KitRequest, NeedsCode, SideCode
from schemas.lookup import FrameLookupRequest, LookupRequest, RiderAndPreferences
from schemas.parts import FrameRecord
from schemas.problems import FaultOfField, shown, unknown_name
from service.catalogue.snapshot import Snapshot
from service.engine.frame import Frame
from service.errors import InvalidRequestError
from service.fitting.known_frames import lookup_of
from service.fitting.translate import frame_of

_OPTIONS = {*RiderAndPreferences.model_fields, "near_misses"}


class Place(NamedTuple):
    """One axle of one skate; ``lookup`` is the frame as it is there."""

    side: SideCode | None
    position: int
    needs: NeedsCode
    lookup: LookupRequest


class _Shape(NamedTuple):
    """What the places of all skates of a kit have in common."""

    wheels: int
    brake_position: int | None
    offset_positions: frozenset[int]


def places_of(request: KitRequest, snapshot: Snapshot) -> list[Place]:
    """Every axle of the kit: the left skate from the front, then the right one.

    Raises
    ------
    InvalidRequestError
        If there is no such frame, or it has no such axles.
    """
    if request.lookup is not None:
        return list(_places(request, *_of_lookup(request, request.lookup)))
    record = snapshot.frames.get(request.frame or "")
    if record is None:
        allowed = unknown_name(request.frame or "", snapshot.frames)
        raise _refused([_fault("frame", request.frame, allowed)])
    return list(_places(request, *_of_known_frame(request, record)))


def frame_at(place: Place, request: KitRequest) -> Frame:
    """The engine's frame at a place; what is wrong with it is told of the field where it was given."""
    try:
        return frame_of(place.lookup)
    except InvalidRequestError as error:
        raise _refused([_in_request(fault, place, request) for fault in error.faults]) from None


def _options_of(request: KitRequest) -> dict[str, Any]:
    """What the kit states of rider, wheel and preferences; what it leaves out stays the lookup's."""
    return request.model_dump(include=_OPTIONS, exclude_unset=True)


def _places(request: KitRequest, shape: _Shape, lookups: Mapping[int, LookupRequest]) -> Iterator[Place]:
    for side in _sides(request):
        has_brake = request.brake in {"both", side} or (side is None and request.brake != "none")
        for position in range(1, shape.wheels + 1):
            brake = has_brake and position == shape.brake_position
            offset = position in shape.offset_positions
            yield Place(
                side,
                position,
                "brake" if brake else "offset" if offset else "standard",
                lookups[position].model_copy(
                    update={"position": "brake"} if brake else {"position": "any", "brake_thread": None}
                ),
            )


def _sides(request: KitRequest) -> tuple[SideCode | None, ...]:
    if request.frames == 2:
        return ("left", "right")
    return (request.brake,) if request.brake in {"left", "right"} else (None,)


def _of_lookup(request: KitRequest, lookup: KitLookup) -> tuple[_Shape, dict[int, LookupRequest]]:
    """The lookup at each axle; where the widths differ, the inside width holds at one axle at most."""
    widths = request.outside_widths_mm or ()
    wheels = request.wheels or len(widths)
    offsets = frozenset(request.offset_positions)
    if not offsets and lookup.holes == "oval":
        offsets = frozenset(range(1, wheels + 1))
    lookups: dict[int, LookupRequest] = {}
    for position in range(1, wheels + 1):
        values: dict[str, Any] = _options_of(request)
        if widths:
            values["outside_width_mm"] = (widths[position - 1],)
        if len(set(widths)) > 1:
            values["inside_width_mm"] = None
        if request.offset_positions:
            oval = {"holes": "oval"} if lookup.holes is None else {}
            values |= oval if position in offsets else {"holes": "round", "hole_offset_mm": None}
        lookups[position] = lookup.model_copy(update=values)
    return _Shape(wheels, request.brake_position or wheels, offsets), lookups


def _of_known_frame(request: KitRequest, record: FrameRecord) -> tuple[_Shape, dict[int, LookupRequest]]:
    """The frame's lookup at each of its axles; the table's holes are those of all its axles."""
    faults = list(_faults_with(record, request))
    if faults:
        raise _refused(faults)
    every = frozenset(range(1, record.wheels + 1))
    offsets = every if record.holes == "oval" else frozenset(request.offset_positions)
    options = _options_of(request)
    lookups: dict[int, LookupRequest] = {}
    for position in every:
        lookup = lookup_of(record, FrameLookupRequest(axle_position=position, **options))
        if lookup.holes is None and position in offsets:
            lookup = lookup.model_copy(update={"holes": "oval"})
        # The kit says where the brake is; its thread is the frame's own.
        lookups[position] = lookup.model_copy(update={"brake_thread": record.brake_thread})
    return _Shape(record.wheels, record.brake_position, offsets), lookups


def _faults_with(record: FrameRecord, request: KitRequest) -> Iterator[FaultOfField]:
    """What the request says that cannot be of this frame."""
    if request.wheels not in {None, record.wheels}:
        yield _fault("wheels", request.wheels, f"{record.wheels}, as this frame has, or left out")
    if request.brake != "none" and record.brake_position is None:
        yield _fault("brake", request.brake, "none: this frame carries no brake")
    given = request.offset_positions
    if given and max(given) > record.wheels:
        yield _fault("offset_positions", given, f"1 to {record.wheels}, from the front")
    elif given and record.holes == "oval" and len(given) < record.wheels:
        yield _fault("offset_positions", given, "all axles, or left out: every hole of this frame is oval")


def _in_request(fault: FaultOfField, place: Place, request: KitRequest) -> FaultOfField:
    """Where a fault of a lookup stands in the kit's request."""
    path: tuple[str | int, ...] = ("lookup", *fault.path)
    if request.lookup is None:
        path = ("frame",)
    elif request.outside_widths_mm is not None and fault.path == ("outside_width_mm",):
        path = ("outside_widths_mm", place.position - 1)
    return fault.model_copy(update={"path": path})


def _fault(field: str, found: object, allowed: str) -> FaultOfField:
    return FaultOfField(path=(field,), found=shown(found), allowed=allowed)


def _refused(faults: Iterable[FaultOfField]) -> InvalidRequestError:
    told = list(faults)
    names = ", ".join(
        dict.fromkeys(str(step) for fault in told for step in fault.path if isinstance(step, str))
    )
    return InvalidRequestError(f"The kit cannot be made as it is asked for: see {names}.", told)
