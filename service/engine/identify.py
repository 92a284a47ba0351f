"""Which parts of the catalogue an old axle may be, and how sure that is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from service.engine.codes import Outcome, Verdict
from service.engine.constants import CAUTION_BELOW, CHECK_FIRST_BELOW, LIMIT_ROUNDING_MM, NO_FIT_BELOW
from service.engine.identify_agreement import Agreement, OldAxle, agreements
from service.engine.parts import Axle

DECIDE_FIT = frozenset(
    {
        "fastening", "shaft_mm", "thread", "offset_mm", "keyed_profile", "overall_length_mm",
        "under_head_mm", "grip_mm", "barrel_mm", "screw_mm",
    }
)  # fmt: skip
"""The features whose *unknown* means: look before you buy."""


class Candidate(NamedTuple):
    """A part that the old axle may be; ``probability`` is that among the parts of the catalogue [1]."""

    axle: Axle
    verdict: Verdict
    probability: float
    agreements: tuple[Agreement, ...]


def identified(old: OldAxle, parts: Sequence[Axle]) -> list[Candidate]:
    """The parts that cannot be told from the old axle, most probable first.

    A part is left out if any feature disagrees, or if between it and the most probable one it would be
    this one with less than 5 %. Where several are left, each is to be checked first.

    Parameters
    ----------
    old : OldAxle
        The old axle as measured and seen.
    parts : sequence of Axle
        The parts of the catalogue.

    Returns
    -------
    list of Candidate
        Most probable first, then by SKU; empty where no part agrees.

    References
    ----------
    Bayes' theorem with equal priors; the limits are those of the verdicts: common practice, no source.
    """
    agreeing = [(part, found) for part in parts if (found := _agreeing(part, old)) is not None]
    usual = _usual_likelihoods(old, parts, agreeing)
    weights = [_log_likelihood(found, usual) for _, found in agreeing]
    best = max(weights, default=0.0)
    shares = [math.exp(weight - best) for weight in weights]
    total = math.fsum(shares)  # in whatever order, the same
    left = [
        (share / total, part, found)
        for share, (part, found) in zip(shares, agreeing, strict=True)
        if share / (share + 1.0) >= NO_FIT_BELOW
    ]
    left.sort(key=lambda candidate: (-_without_noise(candidate[0]), candidate[1].sku))
    several = len(left) > 1
    return [Candidate(part, _verdict(p, found, several=several), p, found) for p, part, found in left]


def _agreeing(part: Axle, old: OldAxle) -> tuple[Agreement, ...] | None:
    """All agreements of a part; None as soon as one feature disagrees."""
    found = []
    for agreement in agreements(part, old):
        if agreement.outcome is Outcome.FAIL:
            return None
        found.append(agreement)
    return tuple(found)


def _usual_likelihoods(
    old: OldAxle, parts: Iterable[Axle], agreeing: Iterable[tuple[Axle, tuple[Agreement, ...]]]
) -> Mapping[str, float]:
    """For each feature that some part lacks, the mean likelihood over the parts that have it [1].

    What is not known of a part is taken to be as it is among the others.
    """
    lacking = {a.feature for _, found in agreeing for a in found if a.likelihood is None}
    if not lacking:
        return {}
    known: dict[str, list[float]] = {feature: [] for feature in lacking}
    for part in parts:
        for agreement in agreements(part, old):
            if agreement.feature in lacking and agreement.likelihood is not None:
                known[agreement.feature].append(agreement.likelihood)
    return {feature: math.fsum(found) / len(found) for feature, found in known.items() if found}


def _log_likelihood(found: Iterable[Agreement], usual: Mapping[str, float]) -> float:
    """Logarithm of the likelihood of all features together, which are independent [1]."""
    known = (usual.get(a.feature, 1.0) if a.likelihood is None else a.likelihood for a in found)
    return math.fsum(math.log(likelihood) if likelihood > 0 else -math.inf for likelihood in known)


def _without_noise(probability: float) -> int:
    """The probability without its last binary digits, so that equals are equal [1]."""
    return round(probability / LIMIT_ROUNDING_MM)


def _verdict(probability: float, found: Iterable[Agreement], *, several: bool) -> Verdict:
    """On the scale of the verdicts; a part that is not alone is to be checked first."""
    unsure = [agreement for agreement in found if agreement.outcome is not Outcome.PASS]
    unknown = {agreement.feature for agreement in unsure if agreement.outcome is Outcome.UNKNOWN}
    if several or probability < CHECK_FIRST_BELOW or unknown & DECIDE_FIT:
        return Verdict.CHECK_FIRST
    return Verdict.FITS_WITH_CAUTION if unsure or probability < CAUTION_BELOW else Verdict.FITS
