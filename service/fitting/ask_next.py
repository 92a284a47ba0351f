"""What to measure next: the questions whose answers would tell most, from the catalogue itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from schemas.answers import QuestionAnswer
from schemas.codes import Language
from service.catalogue.snapshot import Snapshot
from service.engine.codes import ROUND_HEADED, Fastening, Holes
from service.engine.constants import INSTRUMENT_HALF_WIDTH_MM
from service.engine.frame import Frame
from service.engine.measurement import quantity_from_readings
from service.engine.parts import Axle
from service.engine.probability import nominal_bore
from service.engine.questions import Hypothesis, expected_bits
from service.fitting.languages import sentences_in

K = TypeVar("K", bound=Hashable)
Question = tuple[str, list[Hypothesis]]
"""A field, and the frame as it would be with each answer."""
_MOST = 3
_LEAST_BITS = 0.005


def ask_next(
    frame: Frame, in_play: Sequence[Axle], snapshot: Snapshot, *, language: Language = Language.ENGLISH
) -> list[QuestionAnswer]:
    """The best three questions about this frame, those that tell most first."""
    questions = [
        (expected_bits(in_play, hypotheses, catalogue=snapshot.facts), field)
        for field, hypotheses in _questions(frame, in_play, snapshot)
    ]
    questions.sort(key=lambda question: (-round(question[0], 2), question[1]))
    texts = sentences_in(language).questions
    return [
        QuestionAnswer(field=field, expected_bits=round(bits, 2), text=texts[field])
        for bits, field in questions[:_MOST]
        if bits >= _LEAST_BITS
    ]


def _questions(frame: Frame, axles: Sequence[Axle], snapshot: Snapshot) -> Iterator[Question]:
    """For each field that was not given the answers that the catalogue knows, with their weights."""
    if frame.fastening is None:
        yield "fastening", _hypotheses(frame, (a.fastening for a in axles), lambda v: {"fastening": v})
    if frame.bore is None:
        yield "bore_mm", _hypotheses(frame, (a.shaft_mm for a in axles), lambda v: {"bore": nominal_bore(v)})
    if frame.holes is None:
        yield "holes", _hypotheses(frame, (a.offset_mm for a in axles), _holes)
    elif frame.holes is Holes.OVAL and frame.hole_offset_mm is None:
        offsets = (a.offset_mm for a in axles if a.offset_mm)
        yield "hole_offset_mm", _hypotheses(frame, offsets, lambda v: {"hole_offset_mm": v})
    if frame.fastening in {None, Fastening.THREADED_WALL}:
        yield from _questions_of_wall(frame, axles, snapshot)
    if frame.fastening in {None, Fastening.TWO_PIECE} and frame.keyed_profile is None:
        yield from _questions_of_heads(frame, axles)


def _questions_of_wall(frame: Frame, axles: Sequence[Axle], snapshot: Snapshot) -> Iterator[Question]:
    if frame.thread is None:
        yield "thread", _hypotheses(frame, _threads(axles), lambda v: {"thread": v})
    if frame.widths.far_wall is None:
        yield "far_wall_mm", _hypotheses(frame, _far_walls(snapshot), lambda v: _far_wall(frame, v))


def _questions_of_heads(frame: Frame, axles: Sequence[Axle]) -> Iterator[Question]:
    profiles = [a.keyed_profile for a in axles if a.keyed_profile is not None]
    if frame.keys_needed is None:
        keys = (2 if profile == ROUND_HEADED else 1 for profile in profiles)
        yield "keys_needed", _hypotheses(frame, keys, lambda v: {"keys_needed": v})
    elif frame.keys_needed == 1:
        keyed = (profile for profile in profiles if profile != ROUND_HEADED)
        yield "keyed_profile", _hypotheses(frame, keyed, lambda v: {"keyed_profile": v})


def _hypotheses(
    frame: Frame, values: Iterable[K | None], change: Callable[[K], dict[str, Any]]
) -> list[Hypothesis]:
    """One hypothesis for each value, weighted by how often the catalogue has it."""
    counts = Counter(value for value in values if value is not None)
    return [
        Hypothesis(frame=replace(frame, **change(value)), weight=count) for value, count in counts.items()
    ]


def _holes(offset_mm: float) -> dict[str, Any]:
    if offset_mm == 0:
        return {"holes": Holes.ROUND}
    return {"holes": Holes.OVAL, "hole_offset_mm": offset_mm}


def _threads(axles: Iterable[Axle]) -> Iterator[Any]:
    return (axle.thread for axle in axles if axle.fastening is Fastening.THREADED_WALL)


def _far_walls(snapshot: Snapshot) -> Iterator[float | None]:
    """The far walls of the known threaded-wall frames [mm]."""
    return (frame.far_wall_mm for frame in snapshot.frames.values() if frame.fastening == "threaded_wall")


def _far_wall(frame: Frame, far_wall_mm: float) -> dict[str, Any]:
    read = quantity_from_readings([far_wall_mm], half_width_mm=INSTRUMENT_HALF_WIDTH_MM["calliper"])
    return {"widths": replace(frame.widths, far_wall=read)}
