"""What to measure next: the questions whose answers would tell most, from the catalogue itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, NamedTuple, Protocol

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

_MOST = 3
_LEAST_BITS = 0.005


class Seen(Protocol):
    """What the questions ask of an axle."""

    @property
    def fastening(self) -> Fastening: ...  # noqa: D102 (see Axle)
    @property
    def shaft_mm(self) -> float | None: ...  # noqa: D102
    @property
    def offset_mm(self) -> float: ...  # noqa: D102
    @property
    def thread(self) -> Any: ...  # noqa: D102
    @property
    def keyed_profile(self) -> str | None: ...  # noqa: D102


class Question(NamedTuple):
    """A field, how often the catalogue has each answer, and what an answer changes of the frame."""

    field: str
    weights: Mapping[Any, int]
    change: Callable[[Any], dict[str, Any]]


def ask_next(
    frame: Frame, in_play: Sequence[Axle], snapshot: Snapshot, *, language: Language = Language.ENGLISH
) -> list[QuestionAnswer]:
    """The best three questions about this frame, those that tell most first."""
    questions = questions_about(frame, [(axle, 1) for axle in in_play], far_walls(snapshot))
    bits = [
        (expected_bits(in_play, _hypotheses(frame, question), catalogue=snapshot.facts), question.field)
        for question in questions
    ]
    return best_questions(bits, language)


def best_questions(bits: Iterable[tuple[float, str]], language: Language) -> list[QuestionAnswer]:
    """The best three of these questions, each of which is expected to tell so much."""
    texts = sentences_in(language).questions
    return [
        QuestionAnswer(field=field, expected_bits=told, text=texts[field])
        for told, field in those_that_tell_most(bits)
    ]


def those_that_tell_most(bits: Iterable[tuple[float, str]]) -> list[tuple[float, str]]:
    """The best three questions; what they tell is rounded as it is answered."""
    in_order = sorted(bits, key=lambda question: (-round(question[0], 2), question[1]))
    return [(round(told, 2), field) for told, field in in_order[:_MOST] if told >= _LEAST_BITS]


def questions_about(
    frame: Frame, in_play: Sequence[tuple[Seen, int]], walls: Mapping[float, int]
) -> Iterator[Question]:
    """For each field that was not given the answers that the catalogue knows, with their weights.

    The parts in play have the number of axles beside them, the usual far walls that of frames.
    """
    if frame.fastening is None:
        yield _question("fastening", in_play, lambda a: a.fastening, lambda v: {"fastening": v})
    if frame.bore is None:
        yield _question("bore_mm", in_play, lambda a: a.shaft_mm, lambda v: {"bore": nominal_bore(v)})
    if frame.holes is None:
        yield _question("holes", in_play, lambda a: a.offset_mm, _holes)
    elif frame.holes is Holes.OVAL and frame.hole_offset_mm is None:
        yield _question(
            "hole_offset_mm", in_play, lambda a: a.offset_mm or None, lambda v: {"hole_offset_mm": v}
        )
    if frame.fastening in {None, Fastening.THREADED_WALL}:
        if frame.thread is None:
            yield _question("thread", in_play, _wall_thread, lambda v: {"thread": v})
        if frame.widths.far_wall is None:
            yield Question("far_wall_mm", walls, lambda v: _far_wall(frame, v))
    if frame.fastening in {None, Fastening.TWO_PIECE} and frame.keyed_profile is None:
        yield from _questions_of_heads(frame, in_play)


def _questions_of_heads(frame: Frame, in_play: Sequence[tuple[Seen, int]]) -> Iterator[Question]:
    if frame.keys_needed is None:
        yield _question("keys_needed", in_play, _keys, lambda v: {"keys_needed": v})
    elif frame.keys_needed == 1:
        yield _question("keyed_profile", in_play, _keyed, lambda v: {"keyed_profile": v})


def _question(
    field: str,
    in_play: Sequence[tuple[Seen, int]],
    value_of: Callable[[Seen], Any],
    change: Callable[[Any], dict[str, Any]],
) -> Question:
    """A question about what the axles in play tell apart; what is not known of an axle is no answer."""
    weights: dict[Any, int] = {}
    for axle, count in in_play:
        if (value := value_of(axle)) is not None:
            weights[value] = weights.get(value, 0) + count
    return Question(field, weights, change)


def _hypotheses(frame: Frame, question: Question) -> list[Hypothesis]:
    """One hypothesis for each answer."""
    return [
        Hypothesis(frame=replace(frame, **question.change(value)), weight=weight)
        for value, weight in question.weights.items()
    ]


def _holes(offset_mm: float) -> dict[str, Any]:
    if offset_mm == 0:
        return {"holes": Holes.ROUND}
    return {"holes": Holes.OVAL, "hole_offset_mm": offset_mm}


def _wall_thread(axle: Seen) -> Any:
    return axle.thread if axle.fastening is Fastening.THREADED_WALL else None


def _keys(axle: Seen) -> int | None:
    if axle.keyed_profile is None:
        return None
    return 2 if axle.keyed_profile == ROUND_HEADED else 1


def _keyed(axle: Seen) -> str | None:
    return None if axle.keyed_profile == ROUND_HEADED else axle.keyed_profile


def far_walls(snapshot: Snapshot) -> Mapping[float, int]:
    """The far walls of the known threaded-wall frames [mm], and how many frames have them."""
    known = (f.far_wall_mm for f in snapshot.frames.values() if f.fastening == "threaded_wall")
    return Counter(wall for wall in known if wall is not None)


def _far_wall(frame: Frame, far_wall_mm: float) -> dict[str, Any]:
    read = quantity_from_readings([far_wall_mm], half_width_mm=INSTRUMENT_HALF_WIDTH_MM["calliper"])
    return {"widths": replace(frame.widths, far_wall=read)}
