"""What to ask next, for all axles in play at once: parts and states instead of axles, each with its number.

The bits are those of `ask_next`, digit for digit: a number of equal terms is added up exactly.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left, bisect_right
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple, cast

from service.catalogue.strands import Strand
from service.engine.checks.bore import bore
from service.engine.checks.match import fastening_equal, heads_sit_in_frame, holes_take_axle, thread_equal
from service.engine.codes import Fastening
from service.engine.judgement import window_on
from service.engine.questions import entropy_bits
from service.fitting.ask_next import Question, questions_about
from service.fitting.ready.bundles import Bundle
from service.fitting.ready.ladders import NO_FIT, STATES, Ladder, merged_zones, rung_of, scale_of
from service.fitting.ready.plans import Plan, with_wall
from service.fitting.ready.scene import Scene
from service.fitting.ready.statics import STATIC_CHECKS

States = tuple[int, ...]
"""The state of an axle with each answer; the state as it is now where no answer changes it."""
_DECIDED_BY = {
    "fastening": STATIC_CHECKS.index(fastening_equal),
    "bore_mm": STATIC_CHECKS.index(bore),
    "holes": STATIC_CHECKS.index(holes_take_axle),
    "hole_offset_mm": STATIC_CHECKS.index(holes_take_axle),
    "thread": STATIC_CHECKS.index(thread_equal),
    "keys_needed": STATIC_CHECKS.index(heads_sit_in_frame),
    "keyed_profile": STATIC_CHECKS.index(heads_sit_in_frame),
}


class _WallRail(NamedTuple):
    """Strands that no usual wall tells apart: their states over the distance, the present one first."""

    edges_mm: tuple[float, ...]
    guards_mm: tuple[float, ...]
    states: tuple[States, ...]
    bundle: Bundle
    factor: float


def bits_of_questions(scene: Scene, walls: Mapping[float, int]) -> list[tuple[float, str]]:
    """How much the answer to each question is expected to tell."""
    parts = scene.plan.parts
    counts: dict[int, int] = {}
    for (_, part), count in scene.tally.items():
        counts[part] = counts.get(part, 0) + count
    in_play = [(parts[part], count) for part, count in counts.items()]
    return [
        (_bits(scene, question), question.field) for question in questions_about(scene.frame, in_play, walls)
    ]


def _bits(scene: Scene, question: Question) -> float:
    axles = sum(scene.tally.values())
    if not axles or len(question.weights) < 2:
        return 0.0
    told = _told_by_walls(scene, question) if question.field == "far_wall_mm" else _told(scene, question)
    return mean_of(told, axles)


def mean_of(told: Mapping[float, int], axles: int) -> float:
    """The mean of so many of each value, rounded as if all were added up exactly."""
    return math.fsum(_addends(told)) / axles


def _addends(told: Mapping[float, int]) -> Iterator[float]:
    """Each value times a power of two, which is exact, for each binary digit of its number."""
    for bits, count in told.items():
        while bits and count:
            lowest = count & -count
            yield bits * lowest
            count ^= lowest  # noqa: PLW2901 (digit by digit, to nothing)


def _told(scene: Scene, question: Question) -> dict[float, int]:
    """How many axles the answer tells how much of, where it changes nothing about the width."""
    levels = [_levels(scene, question, value) for value in question.weights]
    weights = tuple(question.weights.values())
    known: dict[Hashable, float] = {}
    told: dict[float, int] = {}
    for (state, part), count in scene.tally.items():
        verdicts = tuple([max(state, level[part]) for level in levels])
        if (bits := known.get(verdicts)) is None:
            bits = known[verdicts] = verdict_bits(verdicts, weights)
        told[bits] = told.get(bits, 0) + count
    return told


def verdict_bits(verdicts: Sequence[int], weights: Iterable[float]) -> float:
    """Entropy of one axle's verdict over answers of these weights."""
    sums: dict[int, float] = {}
    for verdict, weight in zip(verdicts, weights, strict=True):
        sums[verdict] = sums.get(verdict, 0.0) + weight
    return entropy_bits(sums.values())


def _levels(scene: Scene, question: Question, value: Hashable) -> tuple[int, ...]:
    """The level of each part with this answer."""
    frame, plan = scene.frame, scene.plan
    key = (question.field, value, frame.keys_needed, frame.keyed_profile, frame.hole_offset_mm)
    if (known := plan.remembered.get(key)) is None:
        place = _DECIDED_BY[question.field]
        answered = replace(frame, **question.change(value))
        known = plan.levels_with(place, plan.statics.masks(place, answered))
        plan.remember(key, known)
    return cast(tuple[int, ...], known)


def _told_by_walls(scene: Scene, question: Question) -> dict[float, int]:
    """How many axles the far wall tells how much of."""
    plan, weights = scene.plan, tuple(question.weights.values())
    told: dict[float, int] = {}
    for states, part, count in _with_walls(scene):
        key = states, part
        if (bits := plan.remembered.get(key)) is None:
            verdicts = [
                max(state, level[part]) for state, level in zip(states, plan.wall_levels, strict=True)
            ]
            bits = verdict_bits(verdicts, weights)
            plan.remember(key, bits)
        told[cast(float, bits)] = told.get(cast(float, bits), 0) + count
    return told


def _with_walls(scene: Scene) -> Iterator[tuple[States, int, int]]:
    """The axles in play: their states with each usual wall, their part, their number."""
    walls, parts = len(scene.plans.walls), scene.plan.parts
    for (state, part), count in scene.tally.items():
        if parts[part].fastening is not Fastening.THREADED_WALL:
            yield (state,) * walls, part, count
    for rail in _wall_rails(scene):
        anchors, bundle, width = rail.bundle.anchors_mm, rail.bundle, scene.width_mm
        first = bisect_left(anchors, width - rail.edges_mm[-1] - rail.guards_mm[-1])
        last = bisect_right(anchors, width - rail.edges_mm[0] + rail.guards_mm[0])
        for at in range(first, last):
            states = _states_at(scene, rail, at)
            if not states:
                continue
            for part, count in bundle.numbers[at]:
                yield states, part, count


def _states_at(scene: Scene, rail: _WallRail, at: int) -> States:
    """The states of the axles at an anchor, the present one left out; none if they are not in play."""
    distance = scene.width_mm - rail.bundle.anchors_mm[at]
    place = bisect_right(rail.edges_mm, distance)
    for near in (place - 1, place):
        if 0 <= near < len(rail.edges_mm) and abs(distance - rail.edges_mm[near]) <= rail.guards_mm[near]:
            return _judged(scene, rail, at)
    return rail.states[place]


def _judged(scene: Scene, rail: _WallRail, at: int) -> States:
    """The same, as the engine judges."""
    axle, states = rail.bundle.at[at][0][2].axle, []
    for frame in (scene.frame, *(with_wall(scene.frame, wall) for wall in scene.plans.walls)):
        window = window_on(axle, frame)
        assert window is not None  # noqa: S101 (strands are of axles that have one)
        states.append(STATES[rung_of(axle, frame, window, rail.factor)])
    return () if states[0] == STATES[NO_FIT] else tuple(states[1:])


def _wall_rails(scene: Scene) -> list[_WallRail]:
    """The threaded-wall strands in play with their states under each usual wall."""
    key = "walls", scene.setting, scene.factors
    if (known := scene.plan.remembered.get(key)) is None:
        known = list(_made_wall_rails(scene))
        scene.plan.remember(key, known)
    return cast(list[_WallRail], known)


def _made_wall_rails(scene: Scene) -> Iterator[_WallRail]:
    plan: Plan = scene.plan
    settings = [scene.setting._replace(far_wall_mm=wall.value_mm) for wall in scene.plans.walls]
    factor_of = dict(scene.factors)
    together: dict[tuple[int, ...], tuple[list[Ladder], float, list[tuple[Strand, int]]]] = {}
    for strand, part in plan.strands:
        if strand.shape.fastening is not Fastening.THREADED_WALL:
            continue
        factor = factor_of[plan.parts[part].shaft_mm]
        scales = [
            scale_of(Fastening.THREADED_WALL, setting, factor) for setting in (scene.setting, *settings)
        ]
        ladders = [scale.ladder(strand.shape) for scale in scales]
        together.setdefault(tuple(map(id, ladders)), (ladders, factor, []))[2].append((strand, part))
    for ladders, factor, strands in together.values():
        if ladders[0].edges_mm:
            yield _wall_rail(ladders, factor, plan.bundle(strands))


def _wall_rail(ladders: Sequence[Ladder], factor: float, bundle: Bundle) -> _WallRail:
    """One ladder of all states, over the distances at which an axle may fit as it is now."""
    now = ladders[0]
    begin, end = now.edges_mm[0] - now.guards_mm[0], now.edges_mm[-1] + now.guards_mm[-1]
    zones = merged_zones(sorted(zone for one in ladders for zone in one.zones()))
    within = [zone for zone in zones if zone[1] >= begin and zone[0] <= end]
    middles = [(a[1] + b[0]) / 2 for a, b in itertools.pairwise(within)]
    return _WallRail(
        tuple((begin + end) / 2 for begin, end in within),
        tuple((end - begin) / 2 for begin, end in within),
        ((), *(_states(ladders, middle) for middle in middles), ()),
        bundle,
        factor,
    )


def _states(ladders: Sequence[Ladder], distance_mm: float) -> States:
    """The states at a distance that is on no edge; none where no axle is in play."""
    rungs = [one.rungs[bisect_right(one.edges_mm, distance_mm)] for one in ladders]
    return () if rungs[0] == NO_FIT else tuple(STATES[rung] for rung in rungs[1:])
