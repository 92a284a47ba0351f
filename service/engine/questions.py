"""What to find out next: how much each answer would tell about the parts in play."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from service.engine.codes import Verdict
from service.engine.frame import Frame
from service.engine.judgement import judge
from service.engine.parts import Axle, CatalogueFacts


@dataclass(frozen=True, slots=True, kw_only=True)
class Hypothesis:
    """The frame as it would be with one answer, and the weight of that answer."""

    frame: Frame
    weight: float


def entropy_bits(weights: Iterable[float]) -> float:
    """Entropy of a distribution that is given by its weights.

    Valid for finite weights; those of 0 count for nothing.

    Parameters
    ----------
    weights : iterable of float
        Weights, 0 or more, in any scale [1].

    Returns
    -------
    float
        Entropy, 0 or more [bit].

    Examples
    --------
    >>> entropy_bits([1, 1, 1, 1])
    2.0

    References
    ----------
    Shannon (1948), A Mathematical Theory of Communication, 6.
    """
    present = [weight for weight in weights if weight > 0]
    total = sum(present)
    # Summed exactly and rounded once: the order of the weights decides no digit.
    return math.fsum(weight / total * (math.log2(total) - math.log2(weight)) for weight in present)


def expected_bits(
    axles: Sequence[Axle], hypotheses: Sequence[Hypothesis], *, catalogue: CatalogueFacts
) -> float:
    """Bits that the answer to a question is expected to give about the verdict of a part in play.

    Before the answer, a part's verdict is as uncertain as the answers that lead to different verdicts;
    after it, the verdict is known. The mean over the parts never exceeds the entropy of the answers.

    Parameters
    ----------
    axles : sequence of Axle
        The parts in play.
    hypotheses : sequence of Hypothesis
        One for each answer that the catalogue knows of.
    catalogue : CatalogueFacts
        What judgements need of the rest of the catalogue.

    Returns
    -------
    float
        Expected information, 0 or more [bit].

    References
    ----------
    Mutual information, Shannon (1948); which parts and answers: the catalogue itself.
    """
    if not axles or len(hypotheses) < 2:
        return 0.0
    return math.fsum(_verdict_bits(axle, hypotheses, catalogue) for axle in axles) / len(axles)


def _verdict_bits(axle: Axle, hypotheses: Sequence[Hypothesis], catalogue: CatalogueFacts) -> float:
    """Entropy of one part's verdict over the answers [bit]."""
    weights: dict[Verdict, float] = {}
    for hypothesis in hypotheses:
        judgement = judge(axle, hypothesis.frame, catalogue)
        verdict = Verdict.NO_FIT if judgement is None else judgement.verdict
        weights[verdict] = weights.get(verdict, 0.0) + hypothesis.weight
    return entropy_bits(weights.values())
