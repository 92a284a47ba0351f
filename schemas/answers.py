"""The answers: ranked axles with reasons, and the parts and frames of the catalogue."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from .base import WireModel
from .codes import CheckCode, OutcomeCode, VerdictCode
from .parts import AxleRecord, FrameRecord, SleeveRecord


class QuantityAnswer(WireModel):
    """A length and its standard uncertainty, in the unit that the field's name says."""

    value: float
    standard_uncertainty: float


class ReasonAnswer(WireModel):
    """What one check found: a sentence, and its numbers in `unit`."""

    check: CheckCode
    outcome: OutcomeCode
    code: str = Field(description="Names the sentence; never renamed.")
    text: str
    value: float | None = None
    minimum: float | None = None
    maximum: float | None = None
    unit: str | None = None
    source: str


class WidthWindowAnswer(WireModel):
    """The outside widths that an axle serves on this frame [mm]."""

    min: float
    max: float


class ToolAnswer(WireModel):
    """What turns the axle, and how many of it are needed at once."""

    drive: str | None
    keys: int | None


class AlsoNeededAnswer(WireModel):
    """A part that this axle does not work without."""

    sku: str
    name: str
    text: str


class FitAnswer(WireModel):
    """One axle that fits, with its place in the order and its reasons."""

    rank: int
    verdict: VerdictCode
    fit_probability: Annotated[float, Field(ge=0, le=1)]
    width_window_mm: WidthWindowAnswer
    ideal_width_mm: float
    axle: AxleRecord
    reasons: list[ReasonAnswer]
    also_needed: list[AlsoNeededAnswer]
    tool: ToolAnswer


class NearMissAnswer(WireModel):
    """An axle with one thing wrong, and what would have to change."""

    axle: AxleRecord
    reasons: list[ReasonAnswer]
    would_fit_if: str


class FrameAnswer(WireModel):
    """The frame as the service understood it, and what is to be said of it alone."""

    outside_width_mm: QuantityAnswer
    notes: list[ReasonAnswer]


class QuestionAnswer(WireModel):
    """What to find out next, and how many bits the answer is expected to give."""

    field: str
    expected_bits: float
    text: str


class CautionAnswer(WireModel):
    """A caution for whoever fits the axle."""

    code: str
    text: str


class CountsAnswer(WireModel):
    """How many axles came to which verdict."""

    considered: int
    fits: int
    fits_with_caution: int
    check_first: int
    no_fit: int


class Links(WireModel):
    """Where a list begins and goes on, as paths of this service; the same as in the header `Link`."""

    first: str
    next: str | None = None


class FitsResponse(WireModel):
    """The answer to a lookup: the axles that fit, best first, each with its reasons."""

    catalogue_revision: int
    frame: FrameAnswer
    fits: list[FitAnswer]
    near_misses: list[NearMissAnswer]
    ask_next: list[QuestionAnswer]
    cautions: list[CautionAnswer]
    counts: CountsAnswer
    next_cursor: str | None = None
    links: Links | None = None


class AxleListResponse(WireModel):
    """A page of the catalogue's axles, by SKU."""

    catalogue_revision: int
    items: list[AxleRecord]
    next_cursor: str | None = None
    links: Links | None = None


class FrameListResponse(WireModel):
    """A page of the known frames, by code."""

    catalogue_revision: int
    items: list[FrameRecord]
    next_cursor: str | None = None
    links: Links | None = None


class SleeveListResponse(WireModel):
    """A page of the catalogue's sleeves, by SKU."""

    catalogue_revision: int
    items: list[SleeveRecord]
    next_cursor: str | None = None
    links: Links | None = None


class HealthResponse(WireModel):
    """Whether the service runs, and on which revision of the catalogue."""

    status: str
    catalogue_revision: int | None = None
    catalogue_age_seconds: float | None = Field(
        default=None, description="Since when the database could not be looked at; null while it can."
    )
