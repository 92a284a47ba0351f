"""The rocker: wheels on axles at different heights, how they stand, and which offset axles get them there."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, TypeAdapter, WithJsonSchema, model_validator

from .answers import CautionAnswer, ReasonAnswer
from .base import WireModel, fault_of
from .codes import VerdictCode
from .fields import AxlePlace, Diameter, Rise, Sku, Whole
from .lookup import MeasuredFrame
from .parts import AxleRecord

MOST_WHEELS = 12


def one_or_several(value: Any) -> Any:
    """One value, or several, as a list."""
    return list(value) if isinstance(value, list | tuple) else [value]


_DIAMETER = TypeAdapter(Diameter).json_schema()
_DIAMETERS = {"type": "array", "items": _DIAMETER, "minItems": 1, "maxItems": MOST_WHEELS}


class RockersRequest(WireModel):
    """Wheels on a frame, from the front; and, if there is one, the shape that they are to come to."""

    frame: Sku | None = Field(
        default=None, description="The code of a known frame, in place of `axle_positions_mm` and `lookup`."
    )
    axle_positions_mm: (
        Annotated[tuple[AxlePlace, ...], Field(min_length=2, max_length=MOST_WHEELS)] | None
    ) = Field(default=None, description="Rising distances of the axles from the front axle [mm].")
    wheel_diameters_mm: Annotated[
        tuple[Diameter, ...],
        BeforeValidator(one_or_several),
        Field(min_length=1, max_length=MOST_WHEELS),
        WithJsonSchema({"anyOf": [*_DIAMETER["anyOf"], _DIAMETERS]}),
    ] = Field(description="The diameter of all wheels, or one for each [mm].")
    offsets_mm: Annotated[tuple[Rise, ...], Field(max_length=MOST_WHEELS)] | None = Field(
        default=None,
        description="How far each axle sits above the middle of its holes, negative below; else 0 [mm].",
    )
    wanted_offsets_mm: Annotated[tuple[Rise, ...], Field(max_length=MOST_WHEELS)] | None = Field(
        default=None,
        description="The heights asked for, as offsets_mm: [1, 0, 0, 1] is front and rear 1 mm up [mm].",
    )
    lookup: MeasuredFrame | None = Field(
        default=None, description="The frame as measured: only offset axles that fit it count then."
    )
    limit: Whole = Field(default=10, ge=1, le=100, description="How many axles to name for a seat at most.")

    @model_validator(mode="after")
    def _fields_go_together(self) -> Self:
        positions = self.axle_positions_mm
        if (positions is None) == (self.frame is None):
            raise fault_of("axle_positions_mm", "the axles' places, or else the code of a known frame")
        if positions is not None and list(positions) != sorted(set(positions)):
            raise fault_of("axle_positions_mm", "rising distances from the front axle")
        if self.lookup is not None and self.frame is not None:
            raise fault_of("lookup", "left out where frame is given")
        return self


class WheelAnswer(WireModel):
    """A wheel as it was understood, and whether it touches the ground in any stance."""

    position: int = Field(description="From the front; the front wheel is 1.")
    axle_position_mm: float
    diameter_mm: float
    offset_mm: float
    touches: bool


class TouchingPointAnswer(WireModel):
    """Where a wheel touches: from the front axle's place, and above the line of axles [mm]."""

    position: int
    along_mm: float
    height_mm: float


class StanceAnswer(WireModel):
    """One way to stand: the wheels that touch at once."""

    wheels: list[int] = Field(description="Positions of the wheels that touch.")
    tilt_deg: float = Field(description="Of the frame against the ground; positive: toes up.")
    contact_length_mm: float = Field(description="From the first to the last touching point.")
    clearances_mm: list[float] = Field(description="For each wheel its height above the ground.")
    touching_points: list[TouchingPointAnswer]
    code: str
    text: str


class CurveAnswer(WireModel):
    """The curve of the wheels that touch.

    The chord is the line that touches the first and the last wheel from below, `depth_mm` how far the wheels
    between reach through it at most. The radius is that of the circle through the touching points; where no
    circle goes through all, through the first and the last one, missing the others least.
    """

    chord_mm: float
    depth_mm: float
    radius_mm: float | None = Field(description="Null where all touching wheels stand on the chord.")
    greatest_miss_mm: float
    code: str
    text: str


class RoomNoteAnswer(WireModel):
    """What is to be said of the wheels on these axles."""

    outcome: Literal["caution", "fail"]
    code: str
    text: str
    value: float | None = None
    unit: str | None = None
    source: str


class ShapeAnswer(WireModel):
    """How wheels at certain heights stand: empty where they do not go on the axles."""

    wheels: list[WheelAnswer]
    stances: list[StanceAnswer]
    curve: CurveAnswer | None
    notes: list[RoomNoteAnswer]


class SeatAnswer(WireModel):
    """The seat of one axle: a straight axle, or an offset one turned up or down."""

    position: int
    turned: Literal["straight", "up", "down"]
    offset_mm: float = Field(description="Offset of the axle; 0: a straight one.")
    height_mm: float = Field(description="Where the axle sits, in the heights asked for.")
    skus: list[str] = Field(description="Offset axles that do it, best first; none for a straight axle.")
    more: int = Field(description="How many more there are.")


class WayAnswer(WireModel):
    """One way to the shape; all heights may be shifted alike, which changes nothing about the rocker."""

    exact: bool
    greatest_miss_mm: float
    shift_mm: float
    offset_axles: int
    seats: list[SeatAnswer]
    curve: CurveAnswer | None
    code: str
    text: str


class PlaceVerdictAnswer(WireModel):
    """What the lookup says of an axle at some positions, with its reasons."""

    positions: list[int]
    verdict: VerdictCode
    fit_probability: Annotated[float, Field(ge=0, le=1)]
    reasons: list[ReasonAnswer]


class OffsetAxleAnswer(WireModel):
    """An offset axle that is named for a seat; judged only where a frame is known."""

    axle: AxleRecord
    verdicts: list[PlaceVerdictAnswer]


class WantedShapeAnswer(ShapeAnswer):
    """The shape asked for, and the ways to it that the catalogue's offset axles give."""

    ways: list[WayAnswer] = Field(description="The nearest one alone where none is exact.")
    axles: list[OffsetAxleAnswer]
    code: str
    text: str


class RockersResponse(ShapeAnswer):
    """How the wheels stand now; and, if a shape was asked for, what that is and how to reach it."""

    catalogue_revision: int
    wanted: WantedShapeAnswer | None = None
    cautions: list[CautionAnswer]
