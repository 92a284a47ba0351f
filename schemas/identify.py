"""The old axle as it lies on the counter, what it is, and what replaces it."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from .answers import FitsResponse
from .base import WireModel, fault_of
from .codes import FasteningCode, InstrumentCode, MaterialCode, OutcomeCode, VerdictCode
from .facets import AnyOf
from .fields import Cursor, Distance, Drive, Measured, ThreadDesignation, ThreadOrNone, Whole, Word
from .lookup import LookupRequest, RiderAndWheel
from .parts import AxleRecord
from .replacements import EquivalentAnswer

PieceCode = Literal["axle", "barrel", "screw", "bolt", "nut"]
_TELLS_FASTENING = {
    "barrel": "two_piece",
    "screw": "two_piece",
    "barrel_mm": "two_piece",
    "barrel_mouth_mm": "two_piece",
    "barrel_thread_mm": "two_piece",
    "screw_mm": "two_piece",
    "bolt": "bolt_and_nut",
    "nut": "bolt_and_nut",
    "under_head_mm": "bolt_and_nut",
    "nut_height_mm": "bolt_and_nut",
    "axle": "threaded_wall",
}
_OPTIONS = {"instrument", "pitch_turns", "limit", "cursor", *RiderAndWheel.model_fields}


class IdentifyRequest(RiderAndWheel):
    """An old axle as measured and seen; lengths in mm, one reading or several of the same thing."""

    fastening: FasteningCode | None = Field(default=None, description="How the axle holds.")
    pieces: AnyOf[PieceCode] | None = Field(
        default=None,
        description="What is there: `axle` (of one piece, with a thread at its end), `barrel` and `screw`, "
        "`bolt` and `nut`. Tells the fastening where it is not given.",
    )
    overall_length_mm: Measured | None = Field(
        default=None, description="From end to end, heads and all [mm]."
    )
    under_head_mm: Measured | None = Field(
        default=None, description="A bolt's length from under its head to its end [mm]."
    )
    grip_mm: Measured | None = Field(
        default=None, description="Between the heads, or head and nut, as it was mounted [mm]."
    )
    shaft_mm: Measured | None = Field(
        default=None, description="Where the bearings sit; measured, or the class 8, 6.3 or 6 [mm]."
    )
    thread_major_mm: Measured | None = Field(default=None, description="Over the crests of the thread [mm].")
    thread_pitch_mm: Measured | None = Field(
        default=None, description="From crest to crest, measured over `pitch_turns` and divided by them [mm]."
    )
    pitch_turns: Whole = Field(default=10, ge=1, le=50, description="Over how many turns the pitch was read.")
    thread: ThreadDesignation | None = Field(default=None, description="The thread, where it is known.")
    thread_length_mm: Measured | None = Field(default=None, description="Length of the thread [mm].")
    barrel_mm: Measured | None = Field(default=None, description="The barrel, under its head [mm].")
    barrel_mouth_mm: Distance | None = Field(
        default=None, description="The unthreaded part at the barrel's open end [mm]."
    )
    barrel_thread_mm: Measured | None = Field(default=None, description="Depth of the barrel's thread [mm].")
    screw_mm: Measured | None = Field(default=None, description="The screw, under its head [mm].")
    nut_height_mm: Measured | None = Field(default=None, description="Height of the nut [mm].")
    drive: Drive | None = Field(default=None, description="The drive, as `hexagon_4`.")
    driven_heads: Annotated[Whole, Field(ge=1, le=2)] | None = Field(
        default=None, description="How many heads take a key."
    )
    keyed_profile: Word | None = Field(default=None, description="The undriven head's profile, or `none`.")
    offset_mm: Distance | None = Field(
        default=None, description="How far the seat is off centre; 0 for a straight axle [mm]."
    )
    brake_thread: ThreadOrNone | None = Field(
        default=None, description="Thread at its end that carries the brake, or `none`."
    )
    material: MaterialCode | None = Field(default=None, description="The material, where it is known.")
    colour: Word | None = Field(default=None, description="The colour.")
    instrument: InstrumentCode = Field(default="calliper", description="What the lengths were read with.")
    limit: Whole = Field(default=10, ge=1, le=100, description="How many parts to answer with in each list.")
    cursor: Cursor | None = Field(default=None, description="Where `same` goes on, from `next_cursor`.")

    @model_validator(mode="after")
    def _fields_go_together(self) -> Self:
        if not self.model_fields_set - _OPTIONS:
            raise fault_of("overall_length_mm", "at least one thing that was measured or seen of the axle")
        if self.thread is not None and not (self.thread_major_mm is None and self.thread_pitch_mm is None):
            raise fault_of("thread", "either the thread, or its major diameter and pitch as measured")
        if self.grip_mm is not None and self.fastening_told == "threaded_wall":
            raise fault_of("grip_mm", "nothing: an axle for a threaded wall has one head")
        told = self._told_by()
        for name, fastening in told.items():
            if fastening != self.fastening_told:
                field = "pieces" if name in (self.pieces or ()) else name
                raise fault_of(field, f"nothing that only an axle of the fastening {fastening} has")
        return self

    def _told_by(self) -> dict[str, str]:
        """What is there that only one fastening has, each with that fastening."""
        there = [
            *(self.pieces or ()),
            *(name for name in _TELLS_FASTENING if getattr(self, name, None) is not None),
        ]
        return {name: _TELLS_FASTENING[name] for name in there}

    @property
    def fastening_told(self) -> str | None:
        """The fastening as given, or as what is there tells it."""
        told = list(self._told_by().values())
        return self.fastening or (told[0] if told else None)


class ThreadAnswer(WireModel):
    """A size that the thread may have."""

    thread: str
    probability: Annotated[float, Field(ge=0, le=1)]


class InferenceAnswer(WireModel):
    """What was inferred of the old axle, or could not be, with its numbers in `unit`."""

    field: str = Field(description="What it is about, as a field of the request or of the lookup.")
    code: str = Field(description="Names the sentence; never renamed.")
    text: str
    value: float | str | None = None
    unit: str | None = None
    probability: float | None = None
    source: str


class AgreementAnswer(WireModel):
    """What one feature of the old axle says of a part: pass, caution, or unknown where the part lacks it."""

    field: str
    outcome: OutcomeCode
    code: str = Field(description="Names the sentence; never renamed.")
    text: str


class SamePartAnswer(WireModel):
    """A part that the old axle may be; parts that are equally probable have the same rank."""

    rank: int
    verdict: VerdictCode = Field(description="`check_first` where it cannot be told from another part.")
    probability: Annotated[float, Field(ge=0, le=1)] = Field(
        description="That it is this one, if it is a part of the catalogue."
    )
    axle: AxleRecord
    reasons: list[AgreementAnswer]


class IdentifyResponse(WireModel):
    """What the old axle is, and what replaces it.

    `same` are the parts that it may be, `stand_ins` those that serve the same widths as it was measured,
    `lookup` what it says of its frame, to be sent to `POST /v1/fits`, and `answer` what that answers.
    """

    catalogue_revision: int
    inferred: list[InferenceAnswer]
    not_inferred: list[InferenceAnswer]
    threads: list[ThreadAnswer]
    same: list[SamePartAnswer]
    differ_in: list[str] = Field(description="The columns in which the parts that it may be differ.")
    stand_ins: list[EquivalentAnswer]
    lookup: LookupRequest | None
    answer: FitsResponse | None
    next_cursor: str | None = None
