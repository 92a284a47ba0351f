"""One axle on one frame: its window, its fit probability, its reasons, and the verdict they come to."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from service.engine.checks import CHECKS, Case
from service.engine.codes import Check, Fastening, Outcome, Verdict
from service.engine.constants import CAUTION_BELOW, CHECK_FIRST_BELOW, NO_FIT_BELOW
from service.engine.frame import Frame
from service.engine.parts import Axle, CatalogueFacts
from service.engine.probability import conformance_probability
from service.engine.reasons import Reason
from service.engine.strength import strip_length_mm
from service.engine.windows import WidthWindow, width_window

_ROOT_THREE = math.sqrt(3.0)

MUST_BE_KNOWN = frozenset({Check.THREAD, Check.HEADS, Check.HOLES, Check.BORE, Check.FASTENING})
"""The checks whose *unknown* means: look before you buy. A fastening that is not known belongs to them."""

_SAME_THING = {Check.ENGAGEMENT: Check.WIDTH}
"""A thread that engages too little on a frame too wide is one thing wrong, not two."""


class Judgement(NamedTuple):
    """What the engine says of one axle on one frame."""

    axle: Axle
    verdict: Verdict
    fit_probability: float
    window: WidthWindow
    reasons: tuple[Reason, ...]

    @property
    def things_wrong(self) -> tuple[Reason, ...]:
        """The failing reasons, each thing once; where none fails alone, the less sure of width and bore."""
        wrong: dict[Check, Reason] = {}
        for reason in self.reasons:
            if reason.outcome is Outcome.FAIL:
                wrong.setdefault(_SAME_THING.get(reason.check, reason.check), reason)
        if not wrong and self.verdict is Verdict.NO_FIT:
            unsure = [reason for reason in self.reasons if "probability" in reason.facts]
            return (min(unsure, key=_probability),)
        return tuple(wrong.values())


def _probability(reason: Reason) -> float:
    probability = reason.facts["probability"]
    assert isinstance(probability, float)  # noqa: S101 (only width and bore have one)
    return probability


def judge(axle: Axle, frame: Frame, catalogue: CatalogueFacts) -> Judgement | None:
    """Judge one axle on one frame.

    Parameters
    ----------
    axle : Axle
        A part of the catalogue.
    frame : Frame
        The frame as measured.
    catalogue : CatalogueFacts
        What the judgement needs of the rest of the catalogue.

    Returns
    -------
    Judgement or None
        None where no width window can be computed from the part's data: such a part is never listed.

    References
    ----------
    JCGM 106:2012 (conformance probability); limits of the verdicts: common practice, no source.
    """
    window = window_on(axle, frame)
    if window is None:
        return None
    width_probability = fit_probability(axle, frame, window)
    bore_probability = 1.0
    if frame.bore is not None and axle.shaft_mm is not None:
        bore_probability = frame.bore.probability_of(axle.shaft_mm)
    case = Case(axle, frame, catalogue, window, width_probability, bore_probability)
    reasons = tuple([reason for check in CHECKS if (reason := check(case)) is not None])
    probability = width_probability * bore_probability
    return Judgement(axle, verdict_of(probability, reasons), probability, window, reasons)


def window_on(axle: Axle, frame: Frame) -> WidthWindow | None:
    """The axle's width window on this frame's walls, None where it cannot be computed."""
    far_wall, strip_length = frame.widths.far_wall, 0.0
    if axle.thread is not None and axle.fastening is not Fastening.BOLT_AND_NUT:
        threaded_wall = axle.fastening is Fastening.THREADED_WALL
        internal = frame.wall_material if threaded_wall else axle.material
        strip_length = strip_length_mm(axle.thread, axle.material, internal)
    return width_window(
        axle,
        far_wall_mm=None if far_wall is None else far_wall.value_mm,
        recess_mm=frame.recess_mm,
        strip_length_mm=strip_length,
    )


def fit_probability(axle: Axle, frame: Frame, window: WidthWindow) -> float:
    """Probability that the frame's width lies in the axle's window [1].

    The axle's own length tolerance counts as a rectangular uncertainty beside the measurement's.

    Parameters
    ----------
    axle : Axle
        Its length tolerance [mm] is used.
    frame : Frame
        Its outside width and uncertainty [mm] are used.
    window : WidthWindow
        The widths that the axle serves [mm].

    Returns
    -------
    float
        Probability, 0 to 1 [1].

    References
    ----------
    JCGM 106:2012, 7.4; JCGM 100:2008, 4.3.7.
    """
    width = frame.widths.outside
    uncertainty = math.hypot(width.standard_uncertainty_mm, axle.length_tolerance_mm / _ROOT_THREE)
    return conformance_probability(
        width.value_mm, uncertainty, lower_mm=window.lower_mm, upper_mm=window.upper_mm
    )


def verdict_of(probability: float, reasons: Sequence[Reason]) -> Verdict:
    """The verdict that a fit probability and the reasons come to.

    Parameters
    ----------
    probability : float
        Fit probability, 0 to 1 [1].
    reasons : sequence of Reason
        All reasons of one axle on one frame.

    Returns
    -------
    Verdict
        No fit after any failure; check first where something must be known and is not.

    References
    ----------
    The limits of the verdicts: common practice, no source.
    """
    caution = probability < CAUTION_BELOW
    unknown = probability < CHECK_FIRST_BELOW
    if probability < NO_FIT_BELOW:
        return Verdict.NO_FIT
    for reason in reasons:
        outcome = reason.outcome
        if outcome is Outcome.PASS:
            continue
        if outcome is Outcome.FAIL:
            return Verdict.NO_FIT
        if outcome is Outcome.CAUTION:
            caution = True
        elif reason.check in MUST_BE_KNOWN:
            unknown = True
    if unknown:
        return Verdict.CHECK_FIRST
    return Verdict.FITS_WITH_CAUTION if caution else Verdict.FITS
