"""The guides: how to measure a frame and its axles, and with which tools to work on them."""

from __future__ import annotations

from pydantic import Field

from .answers import CautionAnswer
from .base import WireModel
from .codes import InstrumentCode


class GuideStepAnswer(WireModel):
    """One piece of advice, and where it is from."""

    code: str = Field(description="Names the sentence; never renamed.")
    text: str
    source: str


class InstrumentAnswer(WireModel):
    """An instrument and the error to expect of one reading."""

    instrument: InstrumentCode
    half_width_mm: float = Field(description="A reading is within this, either way.")
    standard_uncertainty_mm: float = Field(description="Of one reading, as the lookup reckons with it.")
    text: str
    source: str


class MeasureAnswer(WireModel):
    """How to measure what one field of the lookup asks for."""

    field: str = Field(description="The lookup's field.")
    instruments: list[InstrumentCode] = Field(description="What can measure it, best first.")
    standard_uncertainty_mm: float = Field(description="Of one reading with the best of them.")
    text: str
    source: str


class MeasuringGuideResponse(WireModel):
    """How to measure each width, with which instrument, and what error to expect."""

    instruments: list[InstrumentAnswer]
    measures: list[MeasureAnswer]
    readings: list[GuideStepAnswer]
    cautions: list[CautionAnswer]


class DriveGuideAnswer(WireModel):
    """A drive of the catalogue's axles, and what turns it."""

    drive: str
    family: str
    size: str | None
    standard: str = Field(description="What the size goes by.")
    axles: int = Field(description="How many axles of the catalogue have it.")
    axles_with_two_keys: int = Field(description="How many of them take two keys at once.")
    text: str
    source: str


class TighteningAnswer(WireModel):
    """How tight, as the service reckons."""

    torque_nm: float
    code: str
    text: str
    source: str


class ToolsGuideResponse(WireModel):
    """Which key turns which axle, how tight, and what to do about a worn socket."""

    catalogue_revision: int
    drives: list[DriveGuideAnswer] = Field(description="Those that survive use best first.")
    keys: list[GuideStepAnswer]
    tightening: TighteningAnswer
    worn_socket: list[GuideStepAnswer] = Field(description="In the order to try them.")
    cautions: list[CautionAnswer]
