"""The first near misses, in the order of the ranking, without judging what is far from being one."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from operator import itemgetter
from typing import NamedTuple

from service.catalogue.kinds import Kind
from service.catalogue.strands import Strand
from service.engine.codes import Check
from service.engine.constants import NEAR_WIDTH_MM, NO_FIT_BELOW
from service.engine.judgement import fit_probability, window_on
from service.engine.ranking import place_of_check
from service.engine.windows import WidthWindow
from service.fitting.ready.bundles import Place, places_of
from service.fitting.ready.ladders import NO_FIT, rung_of, scale_of, shift_of
from service.fitting.ready.plans import Rail
from service.fitting.ready.scene import NO_FIT_PLACE, Found, Scene, first_at, in_order_of_equals
from service.fitting.ready.statics import STATIC_CHECKS, checked_by

_NEAR, _OTHER, _FAR = range(3)
_REACHES_MM = (0.4, 0.8, NEAR_WIDTH_MM)
_FAR_REACHES_MM = (8.0, 32.0, float("inf"))
_ROUNDING_MM = 0.11  # a distance is said to a tenth
_EMPTY_MM = 1e-6  # windows nearly as narrow as nothing are looked at one by one


class Missed(NamedTuple):
    """An axle with one thing wrong: the width, or what this check found."""

    found: Found
    check: Check


class _Spot(NamedTuple):
    """The axles at an anchor, with what they are ranked by among near misses before the order of equals."""

    key: tuple[int, float, int]
    check: Check
    rail: Rail
    at: int


def first_misses(scene: Scene, most: int) -> list[Missed]:
    """The first near misses, nearest first."""
    if most == 0:
        return []
    if (spots := _surely_nearest(scene, most)) is not None:
        return _first(scene, spots, most)
    for reach in _REACHES_MM:
        near = [spot for spot in _within(scene, reach) if spot.key[0] == _NEAR]
        sure = [spot for spot in near if spot.key[1] <= reach - _ROUNDING_MM]
        if _axles(sure) >= most:
            return _first(scene, sure, most)
    spots = [spot for spot in _within(scene, NEAR_WIDTH_MM) if spot.key[0] != _FAR]
    found = _first(scene, [spot for spot in spots if spot.key[0] == _NEAR], most)
    if len(found) < most:
        found += _others(scene, spots, most - len(found))
    if len(found) < most:
        found += _far(scene, most - len(found))
    return found


def _surely_nearest(scene: Scene, most: int) -> list[_Spot] | None:
    """The nearest anchors whose windows the width misses by little; None where it is not so simple."""
    if any(0.0 < factor < 1.0 for _, factor in scene.factors):
        return None
    for reach in _REACHES_MM[:-1]:
        close, axles = sorted(_missing_about(scene, reach), key=itemgetter(0)), 0
        for missing, rail, at in close:
            axles += rail.bundle.totals[at]
            if axles >= most:
                farthest = missing + _ROUNDING_MM
                if farthest > reach:
                    break
                spots = [_spot(scene, one, n) for about, one, n in close if about <= farthest]
                near = [spot for spot in spots if spot.key[0] == _NEAR]
                return near if _axles(near) >= most else None
    return None


def _missing_about(scene: Scene, reach_mm: float) -> Iterator[tuple[float, Rail, int]]:
    """By how much about the width misses the windows of anchors that are so near [mm]."""
    for rail in scene.rails:
        ladder, anchors, width = rail.ladder, rail.bundle.anchors_mm, scene.width_for(rail)
        least, greatest = width - ladder.upper_mm, width - ladder.lower_mm
        if greatest - least <= _EMPTY_MM:
            continue
        begin, end = scene.in_play.get(id(rail), (None, 0))
        first = bisect_left(anchors, least - reach_mm, 0, begin)
        for at in range(first, bisect_right(anchors, least + _EMPTY_MM, first, begin)):
            yield least - anchors[at], rail, at
        first = bisect_left(anchors, greatest - _EMPTY_MM, end)
        for at in range(first, bisect_right(anchors, greatest + reach_mm, first)):
            yield anchors[at] - greatest, rail, at


def _axles(spots: Sequence[_Spot]) -> int:
    return sum(spot.rail.bundle.totals[spot.at] for spot in spots)


def _within(scene: Scene, reach_mm: float) -> Iterator[_Spot]:
    """The anchors in play that do not fit, and whose windows are so near; all that have no window."""
    for rail in scene.rails:
        ladder, anchors, width = rail.ladder, rail.bundle.anchors_mm, scene.width_for(rail)
        first, last = 0, len(anchors)
        if ladder.upper_mm - ladder.lower_mm > _EMPTY_MM:
            first = bisect_left(anchors, width - ladder.upper_mm - reach_mm - _EMPTY_MM)
            last = bisect_right(anchors, width - ladder.lower_mm + reach_mm + _EMPTY_MM)
        begin, end = scene.in_play.get(id(rail), (last, last))
        for at in (*range(first, min(begin, last)), *range(max(end, first), last)):
            yield _spot(scene, rail, at)


def _spot(scene: Scene, rail: Rail, at: int) -> _Spot:
    """What is wrong with the axles at an anchor that no other check fails, as the ranking sees it."""
    window, width = scene.window(rail, at), scene.width_mm
    check = Check.WIDTH
    if rail.factor < 1.0 and NO_FIT_BELOW <= scene.width_probability(rail, at) > rail.factor:
        check = Check.BORE
    missing = 0.0
    if check is Check.WIDTH and window.upper_mm > window.lower_mm:
        missing = max(window.lower_mm - width, width - window.upper_mm)
    if missing > 0:
        group = _NEAR if missing <= NEAR_WIDTH_MM else _FAR
        return _Spot((group, round(missing, 1), place_of_check(check)), check, rail, at)
    return _Spot((_OTHER, 0.0, place_of_check(check)), check, rail, at)


def _first(scene: Scene, spots: list[_Spot], most: int) -> list[Missed]:
    """The first axles of these spots."""
    spots.sort(key=lambda spot: spot.key)
    missed: list[Missed] = []
    every = scene.plan.every_part
    while spots and len(missed) < most:
        key, check = spots[0].key, spots[0].check
        alike = [spot for spot in spots if spot.key == key]
        spots = spots[len(alike) :]
        wanted = most - len(missed)
        lists = [
            (spot.rail, spot.at, NO_FIT_PLACE, spot.rail.bundle.first_axles(spot.at, every, wanted))
            for spot in alike
        ]
        missed += [Missed(found, check) for found in first_at(scene, lists, wanted)]
    return missed


def _others(scene: Scene, spots: Sequence[_Spot], most: int) -> list[Missed]:
    """The first axles with a single thing wrong that is no lack of width, by the order of the checks."""
    missed: list[Missed] = []
    mine = [spot for spot in spots if spot.key[0] == _OTHER]
    for check in sorted({Check.WIDTH, *map(checked_by, STATIC_CHECKS)}, key=place_of_check):
        wanted = most - len(missed)
        if wanted <= 0:
            break
        alike = _first(scene, [spot for spot in mine if spot.check is check], wanted)
        failed = [] if check is Check.WIDTH else _failed_alone(scene, check, wanted)
        both = in_order_of_equals([[one.found for one in alike], failed], wanted)
        missed += [Missed(found, check) for found in both]
    return missed


def _failed_alone(scene: Scene, check: Check, most: int) -> list[Found]:
    """The first axles that this check alone fails, in the order of equals."""
    place = next(n for n, one in enumerate(STATIC_CHECKS) if checked_by(one) is check)
    alone = scene.said[place].fails
    for n, masks in enumerate(scene.said):
        if n != place:
            alone &= ~masks.fails
    places: list[Place] = []
    for strand in scene.plans.strands.strands if alone else ():
        if alone >> strand.manner & 1:
            for kind in _fitting_in_width(scene, strand):
                places += places_of(kind, strand.manner, most)
    found = []
    for one in sorted(places)[:most]:
        window = _window(scene, one.kind)
        probability = fit_probability(one.kind.axle, scene.frame, window)
        found.append(Found(one, window, probability, 1.0))
    return found


def _fitting_in_width(scene: Scene, strand: Strand) -> Iterator[Kind]:
    """The kinds of a strand that may fit as far as the width goes."""
    fastening = strand.shape.fastening
    ladder = scale_of(fastening, scene.setting, 1.0).ladder(strand.shape)
    if not ladder.edges_mm:
        return
    width = scene.width_mm - shift_of(fastening, scene.frame)
    least = width - ladder.edges_mm[-1] - ladder.guards_mm[-1]
    greatest = width - ladder.edges_mm[0] + ladder.guards_mm[0]
    for at in range(bisect_left(strand.anchors_mm, least), bisect_right(strand.anchors_mm, greatest)):
        rung = ladder.rung_at(width - strand.anchors_mm[at])
        if rung is None:
            kind = strand.kinds[at][0]
            rung = rung_of(kind.axle, scene.frame, _window(scene, kind), 1.0)
        if rung != NO_FIT:
            yield from strand.kinds[at]


def _window(scene: Scene, kind: Kind) -> WidthWindow:
    window = window_on(kind.axle, scene.frame)
    assert window is not None  # noqa: S101 (strands are of axles that have one)
    return window


def _far(scene: Scene, most: int) -> list[Missed]:
    """The first axles whose windows are far from the width."""
    spots: list[_Spot] = []
    for reach in _FAR_REACHES_MM:
        spots = [spot for spot in _within(scene, reach) if spot.key[0] == _FAR]
        sure = [spot for spot in spots if spot.key[1] <= reach - _ROUNDING_MM]
        if _axles(sure) >= most:
            return _first(scene, sure, most)
    return _first(scene, spots, most)
