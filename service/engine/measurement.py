"""Readings become quantities: a value that carries its standard uncertainty."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from service.engine.constants import DISAGREEMENT_FACTOR


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A measured length and its standard uncertainty.

    Parameters
    ----------
    value_mm : float
        Best estimate [mm].
    standard_uncertainty_mm : float
        Standard uncertainty, greater than 0 [mm].

    Raises
    ------
    ValueError
        If the value is not finite or the uncertainty is not a positive finite number: an uncertainty
        is never understated.
    """

    value_mm: float
    standard_uncertainty_mm: float

    def __post_init__(self) -> None:
        if not math.isfinite(self.value_mm):
            raise ValueError("a measured length must be finite")
        if not (math.isfinite(self.standard_uncertainty_mm) and self.standard_uncertainty_mm > 0):
            raise ValueError("a standard uncertainty must be finite and greater than 0")


def quantity_from_readings(readings_mm: Sequence[float], *, half_width_mm: float) -> Quantity:
    """The best estimate of a length that was read once or several times with one instrument.

    Valid for independent readings of the same thing; the instrument's error is taken as rectangular.

    Parameters
    ----------
    readings_mm : sequence of float
        One reading or more [mm].
    half_width_mm : float
        Half width *a* of the instrument's error [mm].

    Returns
    -------
    Quantity
        The mean [mm], with u = √(s²/n + a²/3) [mm]; one reading has u = a/√3.

    Raises
    ------
    ValueError
        If there is no reading.

    Examples
    --------
    >>> q = quantity_from_readings([36.4], half_width_mm=0.05)
    >>> round(q.standard_uncertainty_mm, 4)
    0.0289

    References
    ----------
    JCGM 100:2008 (GUM), 4.2 (type A), 4.3.7 (rectangular), 5.1.2 (combined).
    """
    if not readings_mm:
        raise ValueError("a quantity needs at least one reading")
    from_instrument = half_width_mm / math.sqrt(3.0)
    if len(readings_mm) == 1:
        return Quantity(value_mm=readings_mm[0], standard_uncertainty_mm=from_instrument)
    # statistics works in exact fractions: large values with a tiny spread do not cancel.
    from_spread = statistics.stdev(readings_mm) / math.sqrt(len(readings_mm))
    return Quantity(
        value_mm=float(statistics.mean(readings_mm)),
        standard_uncertainty_mm=math.hypot(from_spread, from_instrument),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameWidths:
    """The widths of a frame at one axle, as far as they are known.

    ``gap_mm`` and ``gap_limit_mm`` are there where all four were measured: what the outside width
    exceeds the others' sum by, and the most that their uncertainties explain [mm].
    """

    outside: Quantity
    inside: Quantity | None = None
    head_wall: Quantity | None = None
    far_wall: Quantity | None = None
    gap_mm: float | None = None
    gap_limit_mm: float | None = None

    @property
    def readings_agree(self) -> bool | None:
        """Whether the four widths agree within their uncertainties; None where they were not all measured."""
        if self.gap_mm is None or self.gap_limit_mm is None:
            return None
        return abs(self.gap_mm) <= self.gap_limit_mm


def reconcile_widths(
    *,
    outside: Quantity | None = None,
    inside: Quantity | None = None,
    head_wall: Quantity | None = None,
    far_wall: Quantity | None = None,
) -> FrameWidths:
    """The frame's widths made consistent with outside = inside + head wall + far wall.

    With all four, least squares moves each by its share of the gap; with three, the fourth follows;
    with fewer, what is given stands as it is. Valid for independent readings.

    Parameters
    ----------
    outside, inside, head_wall, far_wall : Quantity, optional
        The measured widths [mm].

    Returns
    -------
    FrameWidths
        Adjusted widths [mm]. A positive gap says that the outside width is greater than the others' sum.

    Raises
    ------
    ValueError
        If the outside width is neither given nor follows from the other three, or if a width that
        follows is not greater than 0.

    Examples
    --------
    >>> def u(mm): return quantity_from_readings([mm], half_width_mm=0.05)
    >>> w = reconcile_widths(outside=u(36.5), inside=u(24.4), head_wall=u(6.0), far_wall=u(6.0))
    >>> round(w.outside.value_mm, 3)
    36.475

    References
    ----------
    Least squares with one linear condition, weights 1/u²; JCGM 100:2008, 5.1.2 for a width that follows.
    """
    parts = (inside, head_wall, far_wall)
    if outside is None:
        if any(part is None for part in parts):
            raise ValueError("give the outside width, or the inside width and both walls")
        outside = _combined(sum(p.value_mm for p in parts if p), *(p for p in parts if p))
        return FrameWidths(outside=outside, inside=inside, head_wall=head_wall, far_wall=far_wall)
    missing = sum(part is None for part in parts)
    if missing == 1:
        known = [p for p in parts if p is not None]
        follows = _combined(outside.value_mm - sum(p.value_mm for p in known), outside, *known)
        if follows.value_mm <= 0:
            raise ValueError("the outside width must be greater than the inside width and the walls")
        inside, head_wall, far_wall = (p if p is not None else follows for p in parts)
    if missing or inside is None or head_wall is None or far_wall is None:
        return FrameWidths(outside=outside, inside=inside, head_wall=head_wall, far_wall=far_wall)
    return _adjusted(outside, inside, head_wall, far_wall)


def _combined(value_mm: float, *terms: Quantity) -> Quantity:
    """A sum or difference of independent lengths: the uncertainties add in squares (JCGM 100:2008, 5.1.2)."""
    uncertainty = math.hypot(*(term.standard_uncertainty_mm for term in terms))
    return Quantity(value_mm=value_mm, standard_uncertainty_mm=uncertainty)


def _adjusted(outside: Quantity, inside: Quantity, head_wall: Quantity, far_wall: Quantity) -> FrameWidths:
    """All four widths, each moved by its share of the gap."""
    gap = outside.value_mm - (inside.value_mm + head_wall.value_mm + far_wall.value_mm)
    total = sum(q.standard_uncertainty_mm**2 for q in (outside, inside, head_wall, far_wall))

    def moved(q: Quantity, towards: float) -> Quantity:
        share = q.standard_uncertainty_mm**2 / total
        return Quantity(
            value_mm=q.value_mm + towards * gap * share,
            standard_uncertainty_mm=q.standard_uncertainty_mm * math.sqrt(1.0 - share),
        )

    return FrameWidths(
        outside=moved(outside, -1.0),
        inside=moved(inside, 1.0),
        head_wall=moved(head_wall, 1.0),
        far_wall=moved(far_wall, 1.0),
        gap_mm=gap,
        gap_limit_mm=DISAGREEMENT_FACTOR * math.sqrt(total),
    )
