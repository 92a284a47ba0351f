"""The codes on the wire; they are never renamed, only added to."""

from enum import StrEnum
from typing import Literal

FasteningCode = Literal["threaded_wall", "two_piece", "bolt_and_nut"]
InstrumentCode = Literal["calliper", "ruler", "tape", "declared"]
HolesCode = Literal["round", "oval"]
PositionCode = Literal["any", "brake"]
OutcomeCode = Literal["pass", "caution", "unknown", "fail"]
VerdictCode = Literal["fits", "fits_with_caution", "check_first", "no_fit"]
CheckCode = Literal[
    "fastening",
    "width",
    "engagement",
    "bore",
    "bearing_fit",
    "thread",
    "holes",
    "heads",
    "brake",
    "sleeve",
    "bending",
    "thin_axle",
    "readings_agree",
    "hub_room",
    "bore_class",
]
MaterialCode = Literal[
    "steel_4_6",
    "steel_8_8",
    "steel_10_9",
    "steel_12_9",
    "stainless_a2_70",
    "aluminium_6061_t6",
    "aluminium_7075_t6",
    "titanium_6al_4v",
]


class Language(StrEnum):
    """The languages of an answer's sentences, by their language tags (RFC 5646)."""

    ENGLISH = "en"
    GERMAN = "de"
    FRENCH = "fr"
    DUTCH = "nl"
    SPANISH = "es"
    ITALIAN = "it"
