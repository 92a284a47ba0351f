"""How wheels stand, as an answer: their stances, their curve, and what is to be said of them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import degrees, hypot

from schemas.codes import Language
from schemas.rockers import (
    CurveAnswer,
    RoomNoteAnswer,
    ShapeAnswer,
    StanceAnswer,
    TouchingPointAnswer,
    WheelAnswer,
)
from service.engine.constants import COMMON_PRACTICE, PLANE_GEOMETRY
from service.engine.rocker import Stance, Wheel, curve_of, room_between_mm, stances_of
from service.fitting.languages import sentences_in
from service.fitting.wording import number

_MM_PER_M = 1000.0
_LEVEL_DEG = 0.005
"""Below it a tilt is said as 0°."""


def shape_answer(
    positions_mm: Sequence[float],
    diameters_mm: Sequence[float],
    offsets_mm: Sequence[float],
    *,
    language: Language,
) -> ShapeAnswer:
    """How wheels at these heights stand; wheels that overlap stand nowhere."""
    wheels = [
        Wheel(position_mm=x, height_mm=height, radius_mm=diameter / 2)
        for x, diameter, height in zip(positions_mm, diameters_mm, offsets_mm, strict=True)
    ]
    notes = _notes_of_room(wheels, language)
    stances = () if notes else stances_of(wheels)
    touching = {wheel for stance in stances for wheel in stance.touching}
    if stances and len(touching) < len(wheels):
        hanging = [n for n in range(len(wheels)) if n not in touching]
        notes.append(note_of("wheels_never_touch", language, wheels=positions_of(hanging)))
    return ShapeAnswer(
        wheels=[
            WheelAnswer(
                position=n + 1,
                axle_position_mm=wheel.position_mm,
                diameter_mm=diameters_mm[n],
                offset_mm=wheel.height_mm,
                touches=n in touching,
            )
            for n, wheel in enumerate(wheels)
        ],
        stances=[_stance_answer(stance, language) for stance in stances],
        curve=_curve_answer(wheels, language) if stances else None,
        notes=notes,
    )


def _stance_answer(stance: Stance, language: Language) -> StanceAnswer:
    tilt = degrees(stance.tilt_rad)
    (start_x, start_y), (end_x, end_y) = stance.points_mm[0], stance.points_mm[-1]
    code = "stance_toes_up" if tilt > 0 else "stance_toes_down"
    code = "stance_level" if abs(tilt) < _LEVEL_DEG else code
    return StanceAnswer(
        wheels=[n + 1 for n in stance.touching],
        tilt_deg=rounded(tilt),
        contact_length_mm=rounded(hypot(end_x - start_x, end_y - start_y)),
        clearances_mm=[rounded(clear) for clear in stance.clearances_mm],
        touching_points=[
            TouchingPointAnswer(position=n + 1, along_mm=rounded(x), height_mm=rounded(y))
            for n, (x, y) in zip(stance.touching, stance.points_mm, strict=True)
        ],
        code=code,
        text=said(code, language, tilt=number(abs(tilt)), wheels=positions_of(stance.touching)),
    )


def _curve_answer(wheels: Sequence[Wheel], language: Language) -> CurveAnswer:
    curve = curve_of(wheels)
    radius = curve.radius_mm
    code = "curve_flat" if radius is None else "curve_rockered"
    known = {
        "depth": number(curve.depth_mm),
        "chord": number(curve.chord_mm),
        "radius": number((radius or 0.0) / _MM_PER_M),
    }
    return CurveAnswer(
        chord_mm=rounded(curve.chord_mm),
        depth_mm=rounded(curve.depth_mm),
        radius_mm=None if radius is None else rounded(radius),
        greatest_miss_mm=rounded(curve.greatest_miss_mm),
        code=code,
        text=said(code, language, **known),
    )


def _notes_of_room(wheels: Sequence[Wheel], language: Language) -> list[RoomNoteAnswer]:
    """A note for each two neighbours that would rub on each other."""
    rooms = ((n, room_between_mm(front, rear)) for n, (front, rear) in enumerate(pairwise(wheels)))
    return [
        note_of("wheels_have_no_room", language, value=room, front=str(n + 1), rear=str(n + 2))
        for n, room in rooms
        if room <= 0
    ]


def note_of(code: str, language: Language, *, value: float | None = None, **known: str) -> RoomNoteAnswer:
    """A note: a caution, or, with a value in mm, a failure."""
    if value is not None:
        known["value"] = number(value)
    return RoomNoteAnswer(
        outcome="caution" if value is None else "fail",
        code=code,
        text=said(code, language, **known),
        value=None if value is None else rounded(value),
        unit=None if value is None else "mm",
        source=COMMON_PRACTICE if value is None else PLANE_GEOMETRY,
    )


def said(code: str, language: Language, **known: str) -> str:
    """The sentence of a code about rockers, with what it mentions."""
    return sentences_in(language).rockers[code].format_map(known)


def positions_of(wheels: Sequence[int]) -> str:
    """Wheels by their positions: 1, 2."""
    return ", ".join(str(n + 1) for n in wheels)


def rounded(value: float) -> float:
    """Whole micrometres, or thousandths of a degree."""
    return round(value, 3) + 0.0
