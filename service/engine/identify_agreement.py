"""Whether a part of the catalogue agrees with an old axle, feature by feature."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import NamedTuple

from service.engine.checks.case import outcome_of
from service.engine.codes import Fastening, Outcome
from service.engine.constants import (
    DEFAULT_LENGTH_TOLERANCE_MM,
    DISAGREEMENT_FACTOR,
    HEXAGON_HEAD_MM,
    LIMIT_ROUNDING_MM,
    OFFSET_MATCH_MM,
)
from service.engine.measurement import Quantity
from service.engine.parts import Axle
from service.engine.probability import Bore, conformance_probability
from service.engine.strength import strip_length_mm
from service.engine.threads import Thread
from service.engine.windows import width_window

_ROOT_THREE = math.sqrt(3.0)
_ROOT_TWO_PI = math.sqrt(2.0 * math.pi)
SEEN = ("drive", "driven_heads", "keyed_profile", "brake_thread", "material", "colour")
"""What one sees of an axle, and does not measure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OldAxle:
    """An old axle as it lies on the counter; None, or not there, where nobody looked.

    ``lengths`` holds what was measured, by the name of its feature; ``threads`` the probabilities of
    its thread's sizes; ``seen`` what one sees (`SEEN`), where a brake thread of None means: there is none.
    """

    fastening: Fastening | None = None
    lengths: Mapping[str, Quantity] = field(default_factory=lambda: MappingProxyType({}))
    shaft: Bore | None = None
    threads: Mapping[Thread, float] | None = None
    seen: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}))


class Agreement(NamedTuple):
    """What one feature says of a part: ``likelihood`` is None where the part's own is not known.

    A pass agrees, a fail does not; ``value`` is what was found, ``expected`` what the part has, ``limit``
    how far they may lie apart [mm], ``probability`` that of its class.
    """

    feature: str
    outcome: Outcome
    code: str
    likelihood: float | None
    value: object = None
    expected: object = None
    limit: float | None = None
    probability: float | None = None


def head_height(thread: Thread | None) -> tuple[float, float] | None:
    """The height of the standard hexagon head of a bolt with this thread.

    Valid for heads of product grade A.

    Parameters
    ----------
    thread : Thread or None
        The bolt's thread [mm].

    Returns
    -------
    tuple of 2 floats, or None
        Height and its deviation either way [mm]; None where the thread is not known, or has no such head.

    References
    ----------
    ISO 4014:2011, table 1.
    """
    return None if thread is None else HEXAGON_HEAD_MM.get(thread.major_mm)


def agreements(part: Axle, old: OldAxle) -> Iterator[Agreement]:
    """What each feature that is known of the old axle says of this part; what excludes most goes first."""
    if old.fastening is not None:
        yield _seen("fastening", old.fastening, part.fastening)
    if old.shaft is not None:
        yield _of_class(part, old.shaft)
    if old.threads is not None:
        yield _of_thread(part, old.threads)
    for name, quantity in old.lengths.items():
        yield _as_mounted(part, quantity) if name == "grip_mm" else _as_long(part, name, quantity)
    for name, found in old.seen.items():
        if name == "brake_thread":
            yield _told("brake_thread", found, part.brake_thread)  # empty in the catalogue: there is none
        else:
            yield _seen(name, found, getattr(part, name))


def _seen(feature: str, found: object, expected: object) -> Agreement:
    if expected is None:
        return Agreement(feature, Outcome.UNKNOWN, "part_lacks", None, found)
    return _told(feature, found, expected)


def _told(feature: str, found: object, expected: object) -> Agreement:
    if found == expected:
        return Agreement(feature, Outcome.PASS, "seen_equal", 1.0, found, expected)
    return Agreement(feature, Outcome.FAIL, "seen_differs", 0.0, found, expected)


def _of_class(part: Axle, shaft: Bore) -> Agreement:
    found = shaft.reading.value_mm if shaft.reading else shaft.nominal_mm
    if part.shaft_mm is None:
        return Agreement("shaft_mm", Outcome.UNKNOWN, "part_lacks", None, found)
    return _probable("shaft_mm", shaft.probability_of(part.shaft_mm), found, part.shaft_mm)


def _of_thread(part: Axle, threads: Mapping[Thread, float]) -> Agreement:
    found = next(iter(threads), None)
    if part.thread is None:
        return Agreement("thread", Outcome.UNKNOWN, "part_lacks", None, found)
    return _probable("thread", threads.get(part.thread, 0.0), found, part.thread)


def _probable(feature: str, probability: float, found: object, expected: object) -> Agreement:
    """An agreement on the scale of the verdicts: what is hardly possible fails."""
    outcome = outcome_of(probability)
    outcome = Outcome.CAUTION if outcome is Outcome.UNKNOWN else outcome
    code = {Outcome.PASS: "of_class", Outcome.CAUTION: "perhaps_of_class", Outcome.FAIL: "not_of_class"}
    return Agreement(feature, outcome, code[outcome], probability, found, expected, probability=probability)


def _as_mounted(part: Axle, grip: Quantity) -> Agreement:
    """The distance between the heads, as the axle was mounted, is one that the part serves."""
    if part.fastening is Fastening.THREADED_WALL:
        return Agreement("grip_mm", Outcome.FAIL, "has_no_grip", 0.0, grip.value_mm)
    strip = 0.0
    if part.thread is not None and part.fastening is Fastening.TWO_PIECE:
        strip = strip_length_mm(part.thread, part.material, part.material)
    window = width_window(part, strip_length_mm=strip)
    if window is None:
        return Agreement("grip_mm", Outcome.UNKNOWN, "part_lacks", None, grip.value_mm)
    probability = conformance_probability(
        grip.value_mm,
        math.hypot(grip.standard_uncertainty_mm, part.length_tolerance_mm / _ROOT_THREE),
        lower_mm=window.lower_mm,
        upper_mm=window.upper_mm,
    )
    outcome = outcome_of(probability)
    outcome = Outcome.CAUTION if outcome is Outcome.UNKNOWN else outcome
    code = "outside_range" if outcome is Outcome.FAIL else "within_range"
    served = (window.lower_mm, window.upper_mm)
    return Agreement("grip_mm", outcome, code, probability, grip.value_mm, served)


def _as_long(part: Axle, feature: str, measured: Quantity) -> Agreement:
    """A length agrees as far as the measurement's and the part's own uncertainty explain."""
    found = measured.value_mm
    expected = _EXPECTED.get(feature, _column)(part, feature)
    if expected is None:
        return Agreement(feature, Outcome.UNKNOWN, "part_lacks", None, found)
    value, own_uncertainty = expected
    spread = math.hypot(measured.standard_uncertainty_mm, own_uncertainty)
    limit = DISAGREEMENT_FACTOR * spread
    score = (found - value) / spread
    likelihood = math.exp(-(score**2) / 2.0) / (spread * _ROOT_TWO_PI)
    agrees = abs(found - value) <= limit + LIMIT_ROUNDING_MM
    outcome, code = (Outcome.PASS, "as_long") if agrees else (Outcome.FAIL, "not_as_long")
    return Agreement(feature, outcome, code, likelihood, found, value, limit)


def _column(part: Axle, feature: str) -> tuple[float, float] | None:
    """The part's column of this name, and its standard uncertainty [mm]."""
    value: float | None = getattr(part, feature)
    return None if value is None else (value, DEFAULT_LENGTH_TOLERANCE_MM / _ROOT_THREE)


def _overall(part: Axle, _feature: str) -> tuple[float, float] | None:
    """The whole length: that of a threaded-wall axle; a bolt's with its standard head."""
    if part.length_mm is None or part.fastening is Fastening.TWO_PIECE:
        return None
    own = part.length_tolerance_mm / _ROOT_THREE
    if part.fastening is Fastening.THREADED_WALL:
        return part.length_mm, own
    head = head_height(part.thread)
    return None if head is None else (part.length_mm + head[0], math.hypot(own, head[1] / _ROOT_THREE))


def _under_head(part: Axle, _feature: str) -> tuple[float, float] | None:
    if part.length_mm is None or part.fastening is not Fastening.BOLT_AND_NUT:
        return None
    return part.length_mm, part.length_tolerance_mm / _ROOT_THREE


def _off_centre(part: Axle, _feature: str) -> tuple[float, float]:
    return part.offset_mm, OFFSET_MATCH_MM


_EXPECTED: Mapping[str, Callable[[Axle, str], tuple[float, float] | None]] = MappingProxyType(
    {"overall_length_mm": _overall, "under_head_mm": _under_head, "offset_mm": _off_centre}
)
