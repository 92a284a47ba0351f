"""The first axles that fit, in the order of the ranking, without making a list of all of them."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from itertools import groupby
from operator import attrgetter
from typing import NamedTuple

from service.engine.ranking import Preferences
from service.fitting.ready.ladders import CAUTION_SURELY, FITS_SURELY
from service.fitting.ready.plans import Rail
from service.fitting.ready.scene import Found, Scene, Stretch, first_at

_SURE_RUNGS = {FITS_SURELY, CAUTION_SURELY}
_NEAR_MM = 0.11  # of two distances that are said to a tenth, the greater may be said as less within this
_MISSES = range(4)
_NEAR_REACH_MM = 0.4
_ANY_REACH_MM = float("inf")
_MANY = 8  # with so many times as many axles as are wanted, the nearest are looked for first


class Spot(NamedTuple):
    """Axles at one anchor that come to the same verdict; the distance from the ideal width is about right."""

    distance_mm: float
    verdict: int
    rail: Rail
    at: int
    parts: frozenset[int]
    axles: int


class _Class(NamedTuple):
    """Stretches of one verdict and of probabilities that are said alike."""

    stretches: Sequence[Stretch]
    verdict: int


def first_fits(scene: Scene, preferences: Preferences, most: int) -> list[Found]:
    """The first axles that fit, best first."""
    found: list[Found] = []
    wishes = None if preferences == Preferences() else preferences
    for verdict in range(3):
        for alike in _by_probability(scene, verdict):
            found += _first_of(scene, alike, wishes, most - len(found))
            if len(found) >= most:
                return found[:most]
    return found[:most]


def _by_probability(scene: Scene, verdict: int) -> Iterator[_Class]:
    """The stretches of a verdict, those of the greatest probability first."""
    if not scene.counts[verdict]:
        return
    mine = [one for one in scene.stretches if scene.plan.parts_for_rung[one.rung][verdict]]
    if sure := [one for one in mine if one.rung in _SURE_RUNGS]:
        yield _Class(sure, verdict)
    others: dict[float, list[Stretch]] = {}
    for rail, rung, first, last in mine:
        for at in range(first, last) if rung not in _SURE_RUNGS else ():
            probability = scene.width_probability(rail, at) * rail.factor
            others.setdefault(round(probability, 2), []).append(Stretch(rail, rung, at, at + 1))
    for probability in sorted(others, reverse=True):
        yield _Class(others[probability], verdict)


def _spots(scene: Scene, alike: _Class, reach_mm: float) -> Iterator[Spot]:
    """The anchors of a class whose ideal width is so near."""
    for rail, rung, first, last in alike.stretches:
        bundle = rail.bundle
        parts = scene.plan.parts_for_rung[rung][alike.verdict]
        anchors, totals = bundle.anchors_mm, bundle.totals_of(parts)
        ideal = scene.width_for(rail) - rail.ladder.ideal_mm
        begin = bisect_left(anchors, ideal - reach_mm, first, last)
        for at in range(begin, bisect_right(anchors, ideal + reach_mm, begin, last)):
            if axles := totals[at]:
                yield Spot(abs(ideal - anchors[at]), alike.verdict, rail, at, parts, axles)


def _first_of(scene: Scene, alike: _Class, wishes: Preferences | None, most: int) -> list[Found]:
    """The first axles with one verdict and one probability."""
    if wishes is None:
        return _nearest(scene, _enough(scene, alike, most), most)
    found: list[Found] = []
    spots = list(_spots(scene, alike, _ANY_REACH_MM))
    for missed in _MISSES:
        if len(found) < most:
            found += _nearest(scene, spots, most - len(found), wishes, missed)
    return found


def _enough(scene: Scene, alike: _Class, most: int) -> list[Spot]:
    """The spots that are near enough for their axles to be among the first."""
    many = scene.counts[alike.verdict] > _MANY * most
    for reach in (_NEAR_REACH_MM, _ANY_REACH_MM) if many else (_ANY_REACH_MM,):
        spots = sorted(_spots(scene, alike, reach), key=attrgetter("distance_mm"))
        axles = 0
        for number, spot in enumerate(spots):
            axles += spot.axles
            if axles >= most:
                farthest = spot.distance_mm + _NEAR_MM
                if farthest > reach:
                    break
                return [*spots[:number], *(one for one in spots[number:] if one.distance_mm <= farthest)]
    return spots


def _nearest(
    scene: Scene, spots: list[Spot], most: int, wishes: Preferences | None = None, missed: int = 0
) -> list[Found]:
    """The first axles of these spots that miss so many preferences, nearest to their ideal width first."""
    width = scene.width_mm
    said = [(round(abs(width - scene.window(spot.rail, spot.at).ideal_mm), 1), spot) for spot in spots]
    said.sort(key=lambda pair: pair[0])
    found: list[Found] = []
    for _, alike in groupby(said, key=lambda pair: pair[0]):
        if len(found) >= most:
            break
        wanted, lists = most - len(found), []
        for _, spot in alike:
            bundle = spot.rail.bundle
            if wishes is None:
                places = bundle.first_axles(spot.at, spot.parts, wanted)
            else:
                places = bundle.by_preference(spot.at, spot.parts, wishes)[missed][:wanted]
            if places:
                lists.append((spot.rail, spot.at, spot.verdict, places))
        if lists:
            found += first_at(scene, lists, wanted)
    return found
