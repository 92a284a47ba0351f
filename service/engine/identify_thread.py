"""The thread of an old axle, from its major diameter and pitch as measured."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from service.engine.constants import (
    DISAGREEMENT_FACTOR,
    PITCH_SPREAD_MM,
    SELECTED_PITCHES_MM,
    THREAD_REACH_MM,
    THREAD_WEAR_SPREAD_MM,
)
from service.engine.measurement import Quantity
from service.engine.parts import Axle
from service.engine.probability import conformance_probability
from service.engine.threads import Thread, thread_dimensions


def threads_in_use(axles: Iterable[Axle]) -> tuple[Thread, ...]:
    """The sizes that an old axle may have: those that ISO 262 selects, and those of the catalogue."""
    selected = {Thread(major, pitch) for major, pitches in SELECTED_PITCHES_MM.items() for pitch in pitches}
    of_the_catalogue = {axle.thread for axle in axles if axle.thread is not None}
    return tuple(sorted(selected | of_the_catalogue))


def thread_probabilities(
    sizes: Iterable[Thread], *, major: Quantity | None = None, pitch: Quantity | None = None
) -> Mapping[Thread, float]:
    """How probable each of these sizes is, given the diameter over the crests, the pitch, or both.

    Valid for external threads of tolerance class 6g, whose major diameter may lie anywhere between its
    limits, with equal priors. A size whose limits the diameter misses, or whose pitch the measured one
    misses, by more than the uncertainty explains has no probability.

    Parameters
    ----------
    sizes : iterable of Thread
        The sizes in question.
    major : Quantity, optional
        Diameter over the crests as measured [mm].
    pitch : Quantity, optional
        Pitch as measured [mm].

    Returns
    -------
    mapping of Thread to float
        The probabilities of the possible sizes, which sum to 1, most probable first [1]; empty where no
        size lies within reach.

    Examples
    --------
    >>> q = Quantity(value_mm=7.88, standard_uncertainty_mm=0.03)
    >>> found = thread_probabilities([Thread(7.0, 1.0), Thread(8.0, 1.0), Thread(8.0, 1.25)], major=q)
    >>> [(t.designation, round(p, 2)) for t, p in found.items()]
    [('M8x1', 0.53), ('M8x1.25', 0.47)]

    References
    ----------
    Bayes' theorem; ISO 965-1:2013 (limits of 6g); wear and reach: common practice, no source.
    """
    weights = {
        size: weight
        for size in sorted(sizes)
        if (weight := _major_density(size, major) * _pitch_density(size, pitch)) > 0
    }
    total = sum(weights.values())
    order = sorted(weights, key=lambda size: (-weights[size], size))
    return MappingProxyType({size: weights[size] / total for size in order})


def _major_density(size: Thread, major: Quantity | None) -> float:
    """Density of the reading [1/mm]: a diameter anywhere within the limits, and a normal error."""
    if major is None:
        return 1.0
    limits = thread_dimensions(size)
    lower, upper = limits.external_major_min_mm, limits.external_major_max_mm
    spread = math.hypot(major.standard_uncertainty_mm, THREAD_WEAR_SPREAD_MM)
    reach = DISAGREEMENT_FACTOR * spread + THREAD_REACH_MM
    if not lower - reach <= major.value_mm <= upper + reach:
        return 0.0
    within = conformance_probability(major.value_mm, spread, lower_mm=lower, upper_mm=upper)
    return within / (upper - lower)


def _pitch_density(size: Thread, pitch: Quantity | None) -> float:
    """Relative density of the reading [1]: normal about the size's pitch."""
    if pitch is None:
        return 1.0
    spread = math.hypot(pitch.standard_uncertainty_mm, PITCH_SPREAD_MM)
    score = (pitch.value_mm - size.pitch_mm) / spread
    return math.exp(-(score**2) / 2.0) if abs(score) <= DISAGREEMENT_FACTOR else 0.0
