"""One axle on one frame: its window, its fit probability, its reasons, and the verdict they come to."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from service.engine.checks import CHECKS, Case
from service.engine.codes import Check, Outcome, Verdict
from service.engine.constants import CAUTION_BELOW, CHECK_FIRST_BELOW, NO_FIT_BELOW
from service.engine.frame import Frame
from service.engine.parts import Axle, CatalogueFacts
from service.engine.probability import conformance_probability
from service.engine.reasons import Reason
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
        """The failing reasons, each thing once; where none fails alone, the width that is too uncertain."""
        wrong: dict[Check, Reason] = {}
        for reason in self.reasons:
            if reason.outcome is Outcome.FAIL:
                wrong.setdefault(_SAME_THING.get(reason.check, reason.check), reason)
        if not wrong and self.verdict is Verdict.NO_FIT:
            return tuple(reason for reason in self.reasons if reason.check is Check.WIDTH)
        return tuple(wrong.values())


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
    far_wall = frame.widths.far_wall
    window = width_window(
        axle, far_wall_mm=far_wall.value_mm if far_wall else None, recess_mm=frame.recess_mm
    )
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
    """The verdict that a fit probability and the reasons come to."""
    outcomes = {reason.outcome for reason in reasons}
    if probability < NO_FIT_BELOW or Outcome.FAIL in outcomes:
        return Verdict.NO_FIT
    if probability < CHECK_FIRST_BELOW:
        return Verdict.CHECK_FIRST
    if Outcome.UNKNOWN in outcomes and any(
        reason.outcome is Outcome.UNKNOWN and reason.check in MUST_BE_KNOWN for reason in reasons
    ):
        return Verdict.CHECK_FIRST
    if probability < CAUTION_BELOW or Outcome.CAUTION in outcomes:
        return Verdict.FITS_WITH_CAUTION
    return Verdict.FITS
