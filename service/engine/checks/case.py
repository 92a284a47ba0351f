"""What every check looks at: one axle, one frame, and what was computed of the two."""

from __future__ import annotations

from typing import NamedTuple

from service.engine.codes import Outcome
from service.engine.constants import CAUTION_BELOW, CHECK_FIRST_BELOW, NO_FIT_BELOW
from service.engine.frame import Frame
from service.engine.parts import Axle, CatalogueFacts
from service.engine.windows import WidthWindow


class Case(NamedTuple):
    """One axle on one frame; the probabilities are of the width alone and of the bore's class alone."""

    axle: Axle
    frame: Frame
    catalogue: CatalogueFacts
    window: WidthWindow
    width_probability: float
    bore_probability: float


def outcome_of(probability: float) -> Outcome:
    """The outcome that a probability has on its own, on the scale of the verdicts.

    Parameters
    ----------
    probability : float
        Probability of a fit in one respect, 0 to 1 [1].

    Returns
    -------
    Outcome
        Pass from 95 %, caution from 80 %, unknown from 5 %, else fail.

    References
    ----------
    The limits of the verdicts: common practice, no source.
    """
    if probability >= CAUTION_BELOW:
        return Outcome.PASS
    if probability >= CHECK_FIRST_BELOW:
        return Outcome.CAUTION
    return Outcome.UNKNOWN if probability >= NO_FIT_BELOW else Outcome.FAIL
