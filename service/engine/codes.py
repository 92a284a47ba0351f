"""The codes that the engine, the tables and the wire share; they are never renamed, only added to."""

from enum import StrEnum


class Fastening(StrEnum):
    """How an axle holds in the frame."""

    THREADED_WALL = "threaded_wall"
    TWO_PIECE = "two_piece"
    BOLT_AND_NUT = "bolt_and_nut"


class Holes(StrEnum):
    """The shape of the frame's axle holes."""

    ROUND = "round"
    OVAL = "oval"


class Position(StrEnum):
    """Where on the frame the axle goes."""

    ANY = "any"
    BRAKE = "brake"


class Outcome(StrEnum):
    """What one check says."""

    PASS = "pass"  # noqa: S105 (an outcome, not a password)
    CAUTION = "caution"
    UNKNOWN = "unknown"
    FAIL = "fail"


class Verdict(StrEnum):
    """What all checks of one axle say together, best first."""

    FITS = "fits"
    FITS_WITH_CAUTION = "fits_with_caution"
    CHECK_FIRST = "check_first"
    NO_FIT = "no_fit"


class Check(StrEnum):
    """The checks of an axle, then those of the frame alone."""

    FASTENING = "fastening"
    WIDTH = "width"
    ENGAGEMENT = "engagement"
    BORE = "bore"
    BEARING_FIT = "bearing_fit"
    THREAD = "thread"
    HOLES = "holes"
    HEADS = "heads"
    BRAKE = "brake"
    SLEEVE = "sleeve"
    BENDING = "bending"
    THIN_AXLE = "thin_axle"
    READINGS_AGREE = "readings_agree"
    HUB_ROOM = "hub_room"
    BORE_CLASS = "bore_class"


ROUND_HEADED = "none"
"""The keyed profile of a head, or of a frame's recess, that has no key."""
