"""A kit: the axles for a pair of skates with the sleeves and tools they need, as packs at the least price."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, PlainSerializer, model_validator

from .answers import CautionAnswer, NearMissAnswer, QuantityAnswer, ReasonAnswer
from .base import WireModel, fault_of
from .codes import VerdictCode
from .fields import Length, Sku, Whole
from .lookup import LookupRequest, RiderAndPreferences

SideCode = Literal["left", "right"]
BrakeCode = Literal["left", "right", "both", "none"]
NeedsCode = Literal["standard", "offset", "brake"]
LineKindCode = Literal["axle", "sleeve", "tool"]
EmptyCode = Literal["nothing_fits", "stock_too_small", "priced_in_another_currency"]
_MOST_WHEELS = 12
Amount = Annotated[Decimal, PlainSerializer(lambda amount: f"{amount:f}", return_type=str)]
"""A sum of money, a decimal string on the wire."""
_WheelNumber = Annotated[Whole, Field(ge=1, le=_MOST_WHEELS)]


def _once_in_order(values: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(sorted(set(values)))


class KitLookup(LookupRequest):
    """The lookup's fields for the frames of a kit; `limit` and `cursor` change nothing here."""

    @model_validator(mode="after")
    def _width_can_be_told(self) -> Self:
        """The widths may stand in the kit's `outside_widths_mm` instead: see `KitRequest`."""
        return self

    @model_validator(mode="after")
    def _fields_go_together(self) -> Self:
        if self.hole_offset_mm is not None and self.holes != "oval":
            raise fault_of("hole_offset_mm", "only together with holes=oval")
        if self.position != "any":
            raise fault_of("position", "any: the kit's brake says which axles carry the brake")
        return self

    @property
    def tells_a_width(self) -> bool:
        """Whether an outside width is given, or follows."""
        parts = (self.inside_width_mm, self.head_wall_mm, self.far_wall_mm)
        return self.outside_width_mm is not None or None not in parts


class KitRequest(RiderAndPreferences):
    """What a pair of skates, or one of them, needs: a known frame or a lookup, and where the brake is.

    Rider, wheel and preferences may stand here or in `lookup`; what stands here goes first.
    """

    frame: Sku | None = Field(default=None, description="The code of a known frame; or else `lookup`.")
    lookup: KitLookup | None = Field(
        default=None, description="A frame as measured, in the lookup's fields; or else `frame`."
    )
    frames: Whole = Field(default=2, ge=1, le=2, description="How many frames: 2 are a pair.")
    wheels: _WheelNumber | None = Field(
        default=None,
        description="Wheels per frame; may be left out with `frame` or `outside_widths_mm`.",
    )
    brake: BrakeCode = Field(default="none", description="Which skates carry a brake.")
    brake_position: _WheelNumber | None = Field(
        default=None,
        description="With `lookup`: which axle carries the brake, 1 = front; the rear one if left out.",
    )
    offset_positions: Annotated[
        tuple[_WheelNumber, ...], Field(max_length=_MOST_WHEELS), AfterValidator(_once_in_order)
    ] = Field(
        default=(),
        description="Axles that take offset axles, 1 = front. The lookup's `holes` and `hole_offset_mm` are "
        "those at these axles then, and the others have round holes.",
    )
    outside_widths_mm: Annotated[tuple[Length, ...], Field(min_length=1, max_length=_MOST_WHEELS)] | None = (
        Field(
            default=None,
            description="With `lookup`, for its `outside_width_mm`: one for each axle, from the front [mm].",
        )
    )
    near_misses: Whole = Field(
        default=3, ge=0, le=20, description="How many near misses to show where nothing fits."
    )

    @model_validator(mode="after")
    def _one_frame_is_described(self) -> Self:
        if (self.frame is None) == (self.lookup is None):
            raise fault_of("frame", "the code of a known frame, or lookup: one of the two")
        if self.frame is not None and self.outside_widths_mm is not None:
            raise fault_of("outside_widths_mm", "only together with lookup: the widths of frame are known")
        if self.frame is not None and self.brake_position is not None:
            raise fault_of("brake_position", "only together with lookup: that of frame is known")
        if self.lookup is not None:
            self._widths_and_wheels_are_told(self.lookup)
        return self

    def _widths_and_wheels_are_told(self, lookup: KitLookup) -> None:
        widths = self.outside_widths_mm
        if widths is None and not lookup.tells_a_width:
            raise fault_of("outside_widths_mm", "the outside widths here, or outside_width_mm in lookup")
        if widths is not None and lookup.outside_width_mm is not None:
            raise fault_of("outside_widths_mm", "the outside widths here or in lookup, not both")
        if widths is None and self.wheels is None:
            raise fault_of("wheels", "the number of wheels of a frame")
        if widths is not None and self.wheels not in {None, len(widths)}:
            raise fault_of("outside_widths_mm", f"one for each of the {self.wheels} axles")

    @model_validator(mode="after")
    def _positions_are_there(self) -> Self:
        if self.frames == 1 and self.brake == "both":
            raise fault_of("brake", "left, right or none with one frame")
        if self.brake_position is not None and self.brake == "none":
            raise fault_of("brake_position", "only together with a brake")
        wheels = self.wheels or len(self.outside_widths_mm or ())
        if wheels and max(self.offset_positions, default=0) > wheels:
            raise fault_of("offset_positions", f"1 to {wheels}, from the front")
        if wheels and (self.brake_position or 0) > wheels:
            raise fault_of("brake_position", f"1 to {wheels}, from the front")
        return self


class WhyEmptyAnswer(WireModel):
    """Why a position stays without an axle."""

    code: EmptyCode
    text: str


class KitPositionAnswer(WireModel):
    """One axle of the skates, and the part that it gets."""

    side: SideCode | None = Field(description="Null for one frame without a brake that tells its side.")
    position: int = Field(description="Which axle, 1 = front.")
    needs: NeedsCode
    outside_width_mm: QuantityAnswer
    sku: str | None = Field(description="Null where the position stays empty.")
    sleeve_sku: str | None = Field(description="The sleeve of a thin axle.")
    verdict: VerdictCode | None
    best_verdict: VerdictCode = Field(
        description="The best that any part of the catalogue reaches here, its stock and currency aside."
    )
    fit_probability: float | None
    reasons: list[ReasonAnswer]
    why_empty: WhyEmptyAnswer | None = None
    near_misses: list[NearMissAnswer] = Field(description="Where nothing fits, axles with one thing wrong.")


class KitLineAnswer(WireModel):
    """What to take from the drawers: so many packs of a part, or a tool."""

    kind: LineKindCode
    sku: str | None = Field(description="Null for a tool.")
    drive: str | None = Field(description="What turns the axle; for a tool, what it is for.")
    packs: int | None = Field(description="Whole packs to take; null for a tool.")
    pieces: int | None = Field(
        description="How many the kit needs; for a tool, how many at once, null where that is not known."
    )
    left_over: int | None = Field(description="How many of the packs' pieces the kit does not need.")
    line_price: Amount | None = Field(description="Of all packs; null where the price is not known.")


class KitTotalAnswer(WireModel):
    """The sum of the lines that have a price."""

    amount: Amount
    currency: str


class KitResponse(WireModel):
    """A kit: every position with the best verdict to be had, at the least total price, packs whole.

    Where prices are equal it has the fewest different parts, then the fewest pieces left over, then the
    fewest preferences missed, then the first SKUs.
    """

    catalogue_revision: int
    positions: list[KitPositionAnswer]
    notes: list[ReasonAnswer] = Field(description="What is to be said of the frames, whatever the axle.")
    lines: list[KitLineAnswer]
    total: KitTotalAnswer | None = Field(description="Null where no part of the kit has a price.")
    cautions: list[CautionAnswer]
