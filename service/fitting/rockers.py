"""The rocker as a use case: wheels in, their stances and curve out, and the ways to the shape asked for."""

from __future__ import annotations

from schemas.answers import CautionAnswer
from schemas.codes import Language
from schemas.lookup import FrameLookupRequest
from schemas.parts import FrameRecord
from schemas.problems import FaultOfField, shown
from schemas.rockers import RockersRequest, RockersResponse
from service.catalogue.snapshot import Snapshot
from service.engine.frame import Frame
from service.errors import InvalidRequestError
from service.fitting.browse import show_frame
from service.fitting.known_frames import lookup_of
from service.fitting.languages import sentences_in
from service.fitting.offset_ways import Places, wanted_shape
from service.fitting.rocker_shapes import shape_answer
from service.fitting.translate import frame_of

_CAUTIONS = ("maker_and_workshop_first", "tighten_and_check_again", "never_ride_proud_or_loose")


def answer_rocker(
    request: RockersRequest, snapshot: Snapshot, *, language: Language = Language.ENGLISH
) -> RockersResponse:
    """How the wheels stand; and, if a shape is asked for, how that stands and how to reach it.

    Raises
    ------
    InvalidRequestError
        If there are not as many diameters or heights as axles, or the frame as measured cannot be.
    NotInCatalogueError
        If there is no such frame.
    """
    record = None if request.frame is None else show_frame(request.frame, snapshot)
    positions = request.axle_positions_mm or _positions_of(record)
    _require_one_each(request, len(positions))
    frames = _frames(request, record, len(positions))
    diameters = _for_each(request.wheel_diameters_mm, len(positions))
    offsets = request.offsets_mm or (0.0,) * len(positions)
    shape = shape_answer(positions, diameters, offsets, language=language)
    wanted = None
    if request.wanted_offsets_mm is not None:
        places = Places(
            frames=frames,
            positions_mm=positions,
            diameters_mm=diameters,
            wanted_mm=request.wanted_offsets_mm,
            limit=request.limit,
        )
        wanted = wanted_shape(places, snapshot, language=language)
    return RockersResponse(
        catalogue_revision=snapshot.revision,
        wheels=shape.wheels,
        stances=shape.stances,
        curve=shape.curve,
        notes=shape.notes,
        wanted=wanted,
        cautions=_cautions(language),
    )


def require_known_frame(code: str | None, snapshot: Snapshot) -> None:
    """Refuse a frame that the catalogue does not have as a fault of its field: the path exists."""
    if code is not None and code not in snapshot.frames:
        fault = FaultOfField(path=("frame",), found=shown(code), allowed="the code of a known frame")
        raise InvalidRequestError("There is no such frame in the catalogue.", [fault])


def _positions_of(record: FrameRecord | None) -> tuple[float, ...]:
    """The places of a known frame's axles, or an error that says that they are not known."""
    positions = record.axle_positions_mm if record else ()
    if len(positions) < 2:
        allowed = "a frame of two axles or more whose places are known; or else axle_positions_mm"
        fault = FaultOfField(path=("frame",), found=shown(record and record.code), allowed=allowed)
        raise InvalidRequestError("The places of this frame's axles are not known.", [fault])
    return positions


def _require_one_each(request: RockersRequest, axles: int) -> None:
    """Refuse heights or diameters that are not one for each axle; all such faults at once."""
    faults = [
        FaultOfField(path=(field,), found=shown(values), allowed=f"{one}one for each of {axles} axles")
        for field, one, values in (
            ("wheel_diameters_mm", "one, or ", request.wheel_diameters_mm),
            ("offsets_mm", "", request.offsets_mm),
            ("wanted_offsets_mm", "", request.wanted_offsets_mm),
        )
        if values is not None and len(values) != axles and not (one and len(values) == 1)
    ]
    if faults:
        raise InvalidRequestError("There must be a value for each axle.", faults)


def _for_each(values: tuple[float, ...], axles: int) -> tuple[float, ...]:
    return values * axles if len(values) == 1 else values


def _frames(request: RockersRequest, record: FrameRecord | None, axles: int) -> list[Frame | None]:
    """The frame at each of its axles, as far as it is known."""
    if record is not None:
        lookups = (
            lookup_of(record, FrameLookupRequest(axle_position=position)) for position in range(1, axles + 1)
        )
        return [frame_of(lookup) for lookup in lookups]
    if request.lookup is None:
        return [None] * axles
    try:
        return [frame_of(request.lookup)] * axles
    except InvalidRequestError as error:
        faults = [fault.model_copy(update={"path": ("lookup", *fault.path)}) for fault in error.faults]
        raise InvalidRequestError(error.detail, faults) from None


def _cautions(language: Language) -> list[CautionAnswer]:
    sentences = sentences_in(language)
    texts = {code: sentences.cautions[code] for code in _CAUTIONS}
    texts["rocker_changes_balance"] = sentences.rockers["rocker_changes_balance"]
    return [CautionAnswer(code=code, text=text) for code, text in texts.items()]
