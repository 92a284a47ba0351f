"""What can stand in for an axle, and the known frames that it fits."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from .answers import Links, ReasonAnswer, WidthWindowAnswer
from .base import WireModel
from .browse import PageRequest
from .codes import VerdictCode
from .lookup import RiderAndWheel
from .parts import AxleRecord, FrameRecord


class EquivalentsRequest(PageRequest, RiderAndWheel):
    """Who rides on the axle, in which wheel; and how much of the list."""


class AxleFramesRequest(PageRequest, RiderAndWheel):
    """Who rides on the axle, in which wheel; and how much of the list."""


class EquivalentsOfAxle(EquivalentsRequest):
    """The same with the axle that the path names: a cursor belongs to both."""

    sku: str


class FramesOfAxle(AxleFramesRequest):
    """The same with the axle that the path names: a cursor belongs to both."""

    sku: str


class DifferenceAnswer(WireModel):
    """One column in which a part differs; null where it is not known."""

    field: str
    axle: float | str | None = Field(description="The axle's own.")
    equivalent: float | str | None = Field(description="That of the part that stands in.")
    text: str


class EquivalentAnswer(WireModel):
    """A part that can stand in: its verdict and reasons are those on a frame made for the axle."""

    rank: int
    verdict: VerdictCode
    axle: AxleRecord
    width_window_mm: WidthWindowAnswer
    windows_apart_mm: float = Field(description="The most that a limit of the two windows differs by [mm].")
    differs: list[DifferenceAnswer]
    frame_family: str | None = Field(description="The profile of the one frame family that it goes into.")
    frame_family_text: str | None
    reasons: list[ReasonAnswer]


class EquivalentsResponse(WireModel):
    """The parts that can stand in for an axle, best first."""

    catalogue_revision: int
    axle: AxleRecord
    note: str | None = Field(description="Why there can be none, where no width of the axle is known.")
    items: list[EquivalentAnswer]
    next_cursor: str | None = None
    links: Links | None = None


class PositionsAnswer(WireModel):
    """What the axle comes to at some axles of a frame that are alike."""

    axle_positions: list[int] = Field(description="1 = front.")
    verdict: VerdictCode
    fit_probability: Annotated[float, Field(ge=0, le=1)]
    width_window_mm: WidthWindowAnswer
    ideal_width_mm: float
    reasons: list[ReasonAnswer]


class AxleFrameAnswer(WireModel):
    """A known frame that the axle fits at one of its axles at least; ranked by the best of them."""

    rank: int
    verdict: VerdictCode
    fit_probability: Annotated[float, Field(ge=0, le=1)]
    frame: FrameRecord
    positions: list[PositionsAnswer]


class AxleFramesResponse(WireModel):
    """The known frames that an axle fits, best first."""

    catalogue_revision: int
    axle: AxleRecord
    note: str | None = Field(description="Why there can be none, where no width of the axle is known.")
    items: list[AxleFrameAnswer]
    next_cursor: str | None = None
    links: Links | None = None
