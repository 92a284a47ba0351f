"""Offset axles at work: which way to turn which of them so that the wheels come to the heights wanted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.engine.constants import LIMIT_ROUNDING_MM, OFFSET_MATCH_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to seat the wheels: the seat of each axle above its holes, from the front [mm].

    A seat is positive where an offset axle is turned up, negative where turned down, 0 for a straight axle.
    Raised together by ``shift_mm``, the seats are the heights wanted but for ``greatest_miss_mm``.
    """

    seats_mm: tuple[float, ...]
    shift_mm: float
    greatest_miss_mm: float

    @property
    def is_exact(self) -> bool:
        """Whether the seats are the heights wanted, as near as two offsets are the same."""
        return self.greatest_miss_mm <= OFFSET_MATCH_MM + LIMIT_ROUNDING_MM

    @property
    def offset_axles(self) -> int:
        """How many offset axles it takes."""
        return sum(seat != 0 for seat in self.seats_mm)

    @property
    def offsets_mm(self) -> tuple[float, ...]:
        """The different offsets that it takes, the least first [mm]."""
        return tuple(sorted({abs(seat) for seat in self.seats_mm if seat}))


def ways_to_seat(wanted_mm: Sequence[float], seats_mm: Sequence[Sequence[float]]) -> tuple[Way, ...]:
    """The ways to bring the wheels to the heights wanted, or the nearest one where there is none.

    Valid for heights up to a common shift: raising all wheels alike changes nothing about the rocker, while
    tilting them changes how the skate stands and is not allowed for. For a given shift the best seat of each
    axle is the nearest one; it changes only where the wheel is midway between two seats, so that one shift
    between each two such places finds every choice.

    Parameters
    ----------
    wanted_mm : sequence of floats
        Height wanted of each axle, from the front [mm].
    seats_mm : sequence of sequences of floats
        For each axle the seats that it can have [mm].

    Returns
    -------
    tuple of Way
        Those within the tolerance of two equal offsets, fewest offset axles first, then fewest different
        ones, then the nearest; else the one that is nearest [mm]; none where an axle has no seat at all.

    Examples
    --------
    >>> (way,) = ways_to_seat((1.0, 0.0, 0.0, 1.0), [(-0.5, 0.0, 0.5)] * 4)
    >>> way.seats_mm, way.shift_mm, way.greatest_miss_mm
    ((0.5, -0.5, -0.5, 0.5), 0.5, 0.0)

    References
    ----------
    An offset axle is turned so that its seat is up or down, common practice, no source.
    """
    if not all(seats_mm):
        return ()
    chosen = {_nearest(wanted_mm, seats_mm, shift) for shift in _shifts(wanted_mm, seats_mm)}
    ways = sorted((_way(wanted_mm, seats) for seats in chosen), key=_order)
    exact = [way for way in ways if way.is_exact]
    return tuple(exact or [min(ways, key=lambda way: (round(way.greatest_miss_mm, 3), _order(way)))])


def _shifts(wanted_mm: Sequence[float], seats_mm: Sequence[Sequence[float]]) -> list[float]:
    """A shift between each two at which the nearest seat of some axle changes [mm]."""
    changes = sorted(
        wanted - (low + high) / 2
        for wanted, seats in zip(wanted_mm, seats_mm, strict=True)
        for low, high in pairwise(sorted(seats))
    )
    if not changes:
        return [0.0]
    return [changes[0] - 1, *((low + high) / 2 for low, high in pairwise(changes)), changes[-1] + 1]


def _nearest(
    wanted_mm: Sequence[float], seats_mm: Sequence[Sequence[float]], shift_mm: float
) -> tuple[float, ...]:
    """The seat of each axle that is nearest to the height wanted of it [mm]."""
    return tuple(
        min(sorted(seats), key=lambda seat: abs(wanted - shift_mm - seat))
        for wanted, seats in zip(wanted_mm, seats_mm, strict=True)
    )


def _way(wanted_mm: Sequence[float], seats: tuple[float, ...]) -> Way:
    """These seats with the shift that makes the greatest miss least."""
    gaps = [wanted - seat for wanted, seat in zip(wanted_mm, seats, strict=True)]
    least, most = min(gaps), max(gaps)
    return Way(seats_mm=seats, shift_mm=(least + most) / 2, greatest_miss_mm=(most - least) / 2)


def _order(way: Way) -> tuple[int, int, float, float, tuple[float, ...]]:
    return (
        way.offset_axles,
        len(way.offsets_mm),
        round(way.greatest_miss_mm, 3),
        abs(way.shift_mm),
        way.seats_mm,
    )
