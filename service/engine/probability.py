"""How probable it is that a measured length lies in an interval, or a bore in a class."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType

from service.engine.constants import BORE_CLASS_REACH_MM, BORE_CLASSES_MM, BORE_SPREAD_MM
from service.engine.measurement import Quantity

_ROOT_HALF = math.sqrt(0.5)


def normal_cdf(z: float) -> float:
    """Probability that a standard normal quantity is at most z.

    Valid for every finite z, in the far tails too.

    Parameters
    ----------
    z : float
        Standard score [1].

    Returns
    -------
    float
        Probability, 0 to 1 [1].

    Examples
    --------
    >>> round(normal_cdf(1.4), 4)
    0.9192

    References
    ----------
    Φ(z) = erfc(−z/√2)/2: NIST Handbook of Mathematical Functions, 7.1.
    """
    return 0.5 * math.erfc(-z * _ROOT_HALF)


def conformance_probability(
    value_mm: float, standard_uncertainty_mm: float, *, lower_mm: float, upper_mm: float
) -> float:
    """Probability that the true length lies in the window, given what was measured.

    Valid where the measurement's error is close to normal. A window whose upper limit lies below its
    lower limit holds nothing.

    Parameters
    ----------
    value_mm : float
        Measured length [mm].
    standard_uncertainty_mm : float
        Its standard uncertainty, greater than 0 [mm].
    lower_mm, upper_mm : float
        Limits of the window [mm].

    Returns
    -------
    float
        Probability, 0 to 1 [1].

    Examples
    --------
    >>> round(conformance_probability(37.9, 0.119, lower_mm=35.0, upper_mm=37.9), 3)
    0.5

    References
    ----------
    JCGM 106:2012, 7.4 (two-sided tolerance interval).
    """
    if upper_mm <= lower_mm:
        return 0.0
    below = (lower_mm - value_mm) / standard_uncertainty_mm
    above = (upper_mm - value_mm) / standard_uncertainty_mm
    if below > 0:  # both limits lie above: the upper tails keep their digits
        return normal_cdf(-below) - normal_cdf(-above)
    return normal_cdf(above) - normal_cdf(below)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore:
    """The frame's bore: its most probable class [mm], None where no class fits, and each class's probability.

    ``reading`` is there where the bore was measured; a bore given as a nominal class has none.
    """

    nominal_mm: float | None
    probabilities: MappingProxyType[float, float]
    reading: Quantity | None = None

    def probability_of(self, shaft_mm: float) -> float:
        """Probability that the frame's bore is of the class of this shaft [1]."""
        return self.probabilities.get(shaft_mm, 0.0)


def nominal_bore(class_mm: float) -> Bore:
    """A bore that was given as one of the nominal classes, and so is that class.

    Valid for the classes 6, 6.3 and 8 mm.

    Parameters
    ----------
    class_mm : float
        The nominal class [mm].

    Returns
    -------
    Bore
        Of that class [mm] with probability 1 [1].

    Examples
    --------
    >>> nominal_bore(8.0).probability_of(8.0)
    1.0

    References
    ----------
    Common practice, no source.
    """
    return Bore(nominal_mm=class_mm, probabilities=MappingProxyType({class_mm: 1.0}))


def measured_bore(reading: Quantity) -> Bore:
    """The class probabilities of a measured bore.

    Valid for the classes 6, 6.3 and 8 mm with equal priors.

    Parameters
    ----------
    reading : Quantity
        The bore as measured [mm].

    Returns
    -------
    Bore
        A probability for each class [1]; no class at all where none lies within reach.

    Examples
    --------
    >>> bore = measured_bore(Quantity(value_mm=6.1, standard_uncertainty_mm=0.03))
    >>> bore.nominal_mm, round(bore.probability_of(6.0), 3)
    (6.0, 0.988)

    References
    ----------
    Bayes' theorem with normal errors; spread and reach: common practice, no source.
    """
    spread = math.hypot(reading.standard_uncertainty_mm, BORE_SPREAD_MM)
    reach = 3.0 * spread + BORE_CLASS_REACH_MM
    nearest = min(abs(reading.value_mm - k) for k in BORE_CLASSES_MM)
    if nearest > reach:
        return Bore(nominal_mm=None, probabilities=MappingProxyType({}), reading=reading)
    # Weights relative to the nearest class, so that a sharp reading does not underflow.
    weights = {
        k: math.exp((nearest**2 - (reading.value_mm - k) ** 2) / (2.0 * spread**2)) for k in BORE_CLASSES_MM
    }
    total = sum(weights.values())
    probabilities = MappingProxyType({k: w / total for k, w in weights.items()})
    nominal = max(probabilities, key=probabilities.__getitem__)
    return Bore(nominal_mm=nominal, probabilities=probabilities, reading=reading)
