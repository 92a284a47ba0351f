"""What a drawing is asked for with: the lookup's fields and an axle, or wheels on their axles."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from .base import WireModel, fault_of
from .fields import AxlePlace, Diameter, Rise, Sku
from .lookup import LookupRequest
from .rockers import MOST_WHEELS, RockersRequest, one_or_several


class FitDrawingRequest(LookupRequest):
    """A lookup and one axle of the catalogue, which need not fit; what orders and pages changes nothing."""

    sku: Sku = Field(description="The axle to draw, whether it fits or not.")


_MOST = Field(min_length=1, max_length=MOST_WHEELS)
_SEVERAL = BeforeValidator(one_or_several)


def _list_of(bounds: dict[str, float], least: int = 1) -> WithJsonSchema:
    number = {"type": "number", **bounds}
    return WithJsonSchema({"type": "array", "items": number, "minItems": least, "maxItems": MOST_WHEELS})


class RockerDrawingRequest(WireModel):
    """Wheels on a frame, from the front; a field with several values is repeated in the query."""

    frame: Sku | None = Field(
        default=None, description="The code of a known frame, in place of `axle_positions_mm`."
    )
    axle_positions_mm: (
        Annotated[
            tuple[AxlePlace, ...],
            _SEVERAL,
            Field(min_length=2, max_length=MOST_WHEELS),
            _list_of({"minimum": 0, "maximum": 1000}, 2),
        ]
        | None
    ) = Field(default=None, description="Rising distances of the axles from the front axle [mm].")
    wheel_diameters_mm: Annotated[
        tuple[Diameter, ...], _SEVERAL, _MOST, _list_of({"minimum": 30, "maximum": 200})
    ] = Field(description="The diameter of all wheels, or one for each [mm].")
    offsets_mm: (
        Annotated[tuple[Rise, ...], _SEVERAL, _MOST, _list_of({"minimum": -10, "maximum": 10})] | None
    ) = Field(
        default=None,
        description="How far each axle sits above the middle of its holes, negative below; else 0 [mm].",
    )

    @model_validator(mode="after")
    def _axles_are_told(self) -> Self:
        positions = self.axle_positions_mm
        if (positions is None) == (self.frame is None):
            raise fault_of("axle_positions_mm", "the axles' places, or else the code of a known frame")
        if positions is not None and list(positions) != sorted(set(positions)):
            raise fault_of("axle_positions_mm", "rising distances from the front axle")
        return self

    @property
    def rocker(self) -> RockersRequest:
        """The same wheels as the rocker's request."""
        return RockersRequest.model_validate(self.model_dump(exclude_none=True))
