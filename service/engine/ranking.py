"""The order of the answers: a fixed order, so that equal input on an equal catalogue is an equal answer."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from service.engine.codes import Check, Verdict
from service.engine.constants import DRIVE_ORDER, NEAR_WIDTH_MM
from service.engine.judgement import Judgement
from service.engine.measurement import Quantity
from service.engine.parts import Axle
from service.engine.reasons import Reason

_VERDICTS = {verdict: place for place, verdict in enumerate(Verdict)}
_CHECKS = {check: place for place, check in enumerate((Check.WIDTH, *(c for c in Check if c != Check.WIDTH)))}


@dataclass(frozen=True, slots=True, kw_only=True)
class Preferences:
    """What the customer would rather have; it moves axles in the order and never changes a verdict."""

    drive: str | None = None
    colour: str | None = None
    in_stock: bool = False

    def missed_by(self, axle: Axle) -> int:
        """How many of the preferences this axle does not meet."""
        return self.missed(axle.drive, axle.colour, axle.stock)

    def missed(self, drive: str | None, colour: str | None, stock: int | None) -> int:
        """How many of the preferences an axle with this drive, colour and stock does not meet."""
        return (
            (self.drive is not None and drive != self.drive)
            + (self.colour is not None and colour != self.colour)
            + (self.in_stock and not stock)
        )


def ranked(judgements: Iterable[Judgement], *, width: Quantity, preferences: Preferences) -> list[Judgement]:
    """The axles that fit, best first: verdict, probability, preferences, nearness, drive, price, SKU.

    Parameters
    ----------
    judgements : iterable of Judgement
        All judgements of one lookup; those that do not fit are left out.
    width : Quantity
        The frame's outside width [mm].
    preferences : Preferences
        What the customer would rather have.

    Returns
    -------
    list of Judgement
        Best first.

    References
    ----------
    Common practice, no source.
    """

    def key(judgement: Judgement) -> tuple[float | str, ...]:
        return (
            _VERDICTS[judgement.verdict],
            -round(judgement.fit_probability, 2),
            preferences.missed_by(judgement.axle),
            round(abs(width.value_mm - judgement.window.ideal_mm), 1),
            *tie_break(judgement.axle),
        )

    return sorted((j for j in judgements if j.verdict is not Verdict.NO_FIT), key=key)


@dataclass(frozen=True, slots=True, kw_only=True)
class NearMiss:
    """An axle with a single thing wrong; ``missing_mm`` is what the width lacks where that is the thing."""

    judgement: Judgement
    wrong: Reason
    missing_mm: float | None


def near_misses(judgements: Iterable[Judgement], *, width: Quantity) -> list[NearMiss]:
    """The axles with one thing wrong: near widths first, then other things, then widths far off.

    Parameters
    ----------
    judgements : iterable of Judgement
        All judgements of one lookup; those that fit are left out.
    width : Quantity
        The frame's outside width [mm].

    Returns
    -------
    list of NearMiss
        Nearest first.

    References
    ----------
    Common practice, no source.
    """
    misses = [
        NearMiss(judgement=judgement, wrong=wrong[0], missing_mm=_missing_mm(judgement, wrong[0], width))
        for judgement in judgements
        if judgement.verdict is Verdict.NO_FIT and len(wrong := judgement.things_wrong) == 1
    ]

    def key(miss: NearMiss) -> tuple[float | str, ...]:
        missing = miss.missing_mm
        group = 1 if missing is None else 0 if missing <= NEAR_WIDTH_MM else 2
        return (
            group,
            round(missing or 0.0, 1),
            place_of_check(miss.wrong.check),
            *tie_break(miss.judgement.axle),
        )

    return sorted(misses, key=key)


def place_of_check(check: Check) -> int:
    """The place of a check among those that can be the one thing wrong: the width first.

    Parameters
    ----------
    check : Check
        The check.

    Returns
    -------
    int
        Its place, 0 for the width [1].

    References
    ----------
    Common practice, no source.
    """
    return _CHECKS[check]


def _missing_mm(judgement: Judgement, wrong: Reason, width: Quantity) -> float | None:
    """How far the width lies outside the window [mm]; None where it does not, or no width would do."""
    window = judgement.window
    if wrong.check is not Check.WIDTH or window.upper_mm <= window.lower_mm:
        return None
    missing = max(window.lower_mm - width.value_mm, width.value_mm - window.upper_mm)
    return missing if missing > 0 else None


def tie_break(axle: Axle) -> tuple[float | str, ...]:
    """The order of equals: drive by how well it survives use, price per axle, SKU.

    Parameters
    ----------
    axle : Axle
        The axle.

    Returns
    -------
    tuple of floats and str
        To be compared; what is not known comes last [1].

    References
    ----------
    Common practice, no source.
    """
    price = math.inf if axle.price_per_axle is None else axle.price_per_axle
    return drive_place(axle.drive), price, axle.sku


def drive_place(drive: str | None) -> int:
    """The place of a drive in the order by how well it survives use.

    Parameters
    ----------
    drive : str or None
        The drive with its size, as ``hexagon_4``.

    Returns
    -------
    int
        From 0; what is not known comes last [1].

    References
    ----------
    Common practice, no source.
    """
    family = drive_family(drive) if drive else None
    return DRIVE_ORDER.index(family) if family in DRIVE_ORDER else len(DRIVE_ORDER)


def drive_family(drive: str) -> str:
    """The kind of a drive without its size: ``hexagon_4`` is a hexagon."""
    return drive.rpartition("_")[0] or drive
