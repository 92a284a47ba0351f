"""The first axles that fit, in the order of the ranking, without making a list of all of them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple

from service.engine.ranking import Preferences
from service.fitting.ready.ladders import CAUTION_SURELY, FITS_SURELY, STATES
from service.fitting.ready.plans import Rail
from service.fitting.ready.scene import Found, Scene, in_order_of_equals

_SURE_RUNGS = {FITS_SURELY, CAUTION_SURELY}
_NEAR_MM = 0.11  # of two distances that are said to a tenth, the greater may be said as less within this
_MISSES = range(4)


class Spot(NamedTuple):
    """Axles at one anchor that come to the same verdict; the distance from the ideal width is about right."""

    distance_mm: float
    verdict: int
    rail: Rail
    at: int
    parts: frozenset[int]
    axles: int


def first_fits(scene: Scene, preferences: Preferences, most: int) -> list[Found]:
    """The first axles that fit, best first."""
    found: list[Found] = []
    for verdict in range(3):
        for spots in _by_probability(scene, verdict):
            if len(found) >= most:
                return found[:most]
            found += _first_of(scene, spots, preferences, most - len(found))
    return found[:most]


def _by_probability(scene: Scene, verdict: int) -> Iterator[list[Spot]]:
    """The spots of a verdict, those of the greatest probability first."""
    if not scene.counts[verdict]:
        return
    if sure := list(_spots(scene, verdict, sure=True)):
        yield sure
    others: dict[float, list[Spot]] = {}
    for spot in _spots(scene, verdict, sure=False):
        probability = scene.width_probability(spot.rail, spot.at) * spot.rail.factor
        others.setdefault(round(probability, 2), []).append(spot)
    for probability in sorted(others, reverse=True):
        yield others[probability]


def _spots(scene: Scene, verdict: int, *, sure: bool) -> Iterator[Spot]:
    for rail, rung, first, last in scene.stretches:
        if (rung in _SURE_RUNGS) is not sure or STATES[rung] > verdict:
            continue
        parts = scene.plan.parts_for[STATES[rung]][verdict]
        bundle = rail.bundle
        mine = [n for n, part in enumerate(bundle.parts) if part in parts]
        if not mine:
            continue
        ideal = scene.width_for(rail) - rail.ladder.ideal_mm
        for at in range(first, last):
            numbers = bundle.numbers[at]
            axles = numbers[mine[0]] if len(mine) == 1 else sum([numbers[n] for n in mine])
            if axles:
                yield Spot(abs(ideal - bundle.anchors_mm[at]), verdict, rail, at, parts, axles)


def _first_of(scene: Scene, spots: list[Spot], preferences: Preferences, most: int) -> list[Found]:
    """The first axles of spots with one verdict and one probability."""
    if preferences == _NONE:
        return _nearest(scene, _enough(spots, most), most)
    found: list[Found] = []
    for missed in _MISSES:
        if len(found) < most:
            found += _nearest(scene, spots, most - len(found), preferences, missed)
    return found


_NONE = Preferences()


def _enough(spots: list[Spot], most: int) -> list[Spot]:
    """The spots that are near enough for their axles to be among the first."""
    spots.sort(key=lambda spot: spot.distance_mm)
    axles, farthest = 0, float("inf")
    for number, spot in enumerate(spots):
        if spot.distance_mm > farthest:
            return spots[:number]
        axles += spot.axles
        if axles >= most and farthest == float("inf"):
            farthest = spot.distance_mm + _NEAR_MM
    return spots


def _nearest(
    scene: Scene, spots: list[Spot], most: int, preferences: Preferences = _NONE, missed: int = 0
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
            if preferences == _NONE:
                places = bundle.first_axles(spot.at, spot.parts, wanted)
            else:
                places = bundle.by_preference(spot.at, spot.parts, preferences)[missed][:wanted]
            if places:
                lists.append(scene.found(spot.rail, spot.at, places, spot.verdict))
        if lists:
            found += in_order_of_equals(lists, wanted)
    return found
