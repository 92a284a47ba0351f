"""Translation of an old axle: the request becomes the engine's value, and that the lookup of its frame."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from schemas.identify import IdentifyRequest
from schemas.lookup import LookupRequest, RiderAndWheel
from service.catalogue.snapshot import Snapshot
from service.engine.codes import Fastening
from service.engine.constants import INSTRUMENT_HALF_WIDTH_MM
from service.engine.identify_agreement import SEEN, OldAxle
from service.engine.identify_part import length_as_counted, probable_shaft, probable_thread
from service.engine.identify_thread import thread_probabilities, threads_in_use
from service.engine.measurement import Quantity, quantity_from_readings
from service.engine.threads import Thread
from service.fitting.translate import bore_from, rounded, thread_of

_LENGTHS = (
    "grip_mm",
    "overall_length_mm",
    "under_head_mm",
    "barrel_mm",
    "barrel_mouth_mm",
    "barrel_thread_mm",
    "screw_mm",
    "thread_length_mm",
    "nut_height_mm",
    "offset_mm",
)
NO_THREAD = "none"


def old_axle_of(request: IdentifyRequest, snapshot: Snapshot) -> OldAxle:
    """The old axle that a request describes.

    Raises
    ------
    InvalidRequestError
        If a thread does not exist.
    """
    half_width = INSTRUMENT_HALF_WIDTH_MM[request.instrument]
    shaft = request.shaft_mm
    return OldAxle(
        fastening=Fastening(request.fastening_told) if request.fastening_told else None,
        lengths={
            name: _read(value, half_width)
            for name in _LENGTHS
            if (value := getattr(request, name)) is not None
        },
        shaft=None if shaft is None else bore_from(shaft, instrument=request.instrument),
        threads=_threads_of(request, half_width, snapshot),
        seen=dict(_seen_in(request)),
    )


def _read(value: float | tuple[float, ...], half_width: float) -> Quantity:
    return quantity_from_readings(value if isinstance(value, tuple) else [value], half_width_mm=half_width)


def _threads_of(
    request: IdentifyRequest, half_width: float, snapshot: Snapshot
) -> dict[Thread, float] | None:
    """The sizes that the thread may have; None where it was neither said nor measured."""
    if (said := thread_of("thread", request.thread)) is not None:
        return {said: 1.0}
    major, pitch = request.thread_major_mm, request.thread_pitch_mm
    if major is None and pitch is None:
        return None
    found = thread_probabilities(
        threads_in_use(snapshot.engine_axles),
        major=None if major is None else _read(major, half_width),
        pitch=None if pitch is None else _read(pitch, half_width / request.pitch_turns),
    )
    return dict(found)


def _seen_in(request: IdentifyRequest) -> Iterator[tuple[str, object]]:
    for name in SEEN:
        found = getattr(request, name)
        if name == "brake_thread" and found is not None:
            yield name, None if found == NO_THREAD else thread_of(name, found)
        elif found is not None:
            yield name, found


def lookup_from(old: OldAxle, request: IdentifyRequest) -> LookupRequest | None:
    """The lookup that follows from the old axle; None where the frame's width does not."""
    width = _width_from(old, request)
    if old.fastening is None or width is None:
        return None
    values: dict[str, Any] = request.model_dump(
        include={*RiderAndWheel.model_fields, "limit"}, exclude_unset=True
    )
    offset, brake = request.offset_mm, old.seen.get("brake_thread")
    if offset is not None:
        values |= {"holes": "oval", "hole_offset_mm": offset} if offset else {"holes": "round"}
    if isinstance(brake, Thread):
        values |= {"position": "brake", "brake_thread": brake.designation}
    thread = probable_thread(old.threads)
    if old.fastening is Fastening.THREADED_WALL and thread is not None:
        values["thread"] = thread.designation
    if old.fastening is Fastening.TWO_PIECE:
        values |= {"keyed_profile": request.keyed_profile, "keys_needed": request.driven_heads}
    return LookupRequest.model_validate(
        values | width | {"fastening": old.fastening.value, "bore_mm": probable_shaft(old)}
    )


def _width_from(old: OldAxle, request: IdentifyRequest) -> dict[str, Any] | None:
    """The frame's width and what it counts as read with.

    A well-fitted axle stands up to half a millimetre proud or short: that is as sure as a ruler.
    """
    if old.fastening is Fastening.THREADED_WALL:
        length = length_as_counted(old)
        instrument = "tape" if request.instrument == "tape" else "ruler"
        return None if length is None else {"outside_width_mm": rounded(length), "instrument": instrument}
    if request.grip_mm is None:
        return None
    return {"outside_width_mm": request.grip_mm, "instrument": request.instrument}
