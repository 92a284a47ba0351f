"""Which offset axles of the catalogue bring the wheels to the heights asked for, and how they are turned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from schemas.codes import Language
from schemas.rockers import (
    OffsetAxleAnswer,
    PlaceVerdictAnswer,
    SeatAnswer,
    WantedShapeAnswer,
    WayAnswer,
)
from service.catalogue.snapshot import Snapshot
from service.engine.codes import Holes
from service.engine.constants import GREATEST_OFFSET_MM
from service.engine.frame import Frame
from service.engine.judgement import Judgement
from service.engine.parts import Axle
from service.engine.ranking import Preferences, ranked
from service.engine.seats import Way, ways_to_seat
from service.fitting.lookup import judge_all
from service.fitting.rocker_shapes import note_of, positions_of, rounded, said, shape_answer
from service.fitting.translate import reason_answers
from service.fitting.wording import number

_MOST_WAYS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """The axles' places, from the front: the frame at each, where known, and the height asked for."""

    frames: Sequence[Frame | None]
    positions_mm: Sequence[float]
    diameters_mm: Sequence[float]
    wanted_mm: Sequence[float]
    limit: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Choice:
    """The offset axles for one place, best first, and what the lookup says of each where a frame is known."""

    axles: Sequence[Axle]
    judgements: Mapping[str, Judgement]
    takes_straight: bool

    @property
    def seats_mm(self) -> list[float]:
        """Every height that a wheel can have here [mm]."""
        offsets = {axle.offset_mm for axle in self.axles}
        return sorted(({0.0} if self.takes_straight else set()) | offsets | {-offset for offset in offsets})

    def skus_of(self, offset_mm: float) -> list[str]:
        """The axles of this offset, best first."""
        return [axle.sku for axle in self.axles if axle.offset_mm == offset_mm]


def wanted_shape(places: Places, snapshot: Snapshot, *, language: Language) -> WantedShapeAnswer:
    """The shape asked for, and the ways to it."""
    choices = _choices(places.frames, snapshot)
    ways = ways_to_seat(places.wanted_mm, [choice.seats_mm for choice in choices])[:_MOST_WAYS]
    shape = shape_answer(places.positions_mm, places.diameters_mm, places.wanted_mm, language=language)
    code, known = _outcome(ways, choices)
    answers = [_way_answer(way, places, choices, language) for way in ways]
    return WantedShapeAnswer(
        wheels=shape.wheels,
        stances=shape.stances,
        curve=shape.curve,
        notes=[*shape.notes, *(note_of(note, language) for note in _notes_of_holes(places.frames, ways))],
        ways=answers,
        axles=_axle_answers(answers, choices, snapshot, language),
        code=code,
        text=said(code, language, **known),
    )


def _choices(frames: Sequence[Frame | None], snapshot: Snapshot) -> list[_Choice]:
    """What there is for each place; places that are alike are judged once."""
    offset_axles = [axle for axle in snapshot.engine_axles if 0 < axle.offset_mm <= GREATEST_OFFSET_MM]
    found: list[_Choice] = []
    for n, frame in enumerate(frames):
        alike = next((found[m] for m in range(n) if frames[m] == frame), None)
        found.append(alike or _choice(frame, offset_axles, snapshot))
    return found


def _choice(frame: Frame | None, offset_axles: Sequence[Axle], snapshot: Snapshot) -> _Choice:
    if frame is None:
        return _Choice(axles=offset_axles, judgements={}, takes_straight=True)
    judgements = ranked(
        judge_all(offset_axles, frame, snapshot), width=frame.widths.outside, preferences=Preferences()
    )
    return _Choice(
        axles=[judgement.axle for judgement in judgements],
        judgements={judgement.axle.sku: judgement for judgement in judgements},
        takes_straight=frame.holes is not Holes.OVAL,
    )


def _notes_of_holes(frames: Sequence[Frame | None], ways: Sequence[Way]) -> list[str]:
    """What the shape of the holes means for the ways, or for there being none."""
    notes = []
    if any(frame is not None and frame.holes is Holes.ROUND for frame in frames):
        notes.append("holes_round")
    takes_offset = any(way.offset_axles for way in ways)
    if takes_offset and any(frame is None or frame.holes is None for frame in frames):
        notes.append("holes_not_given")
    return notes


def _outcome(ways: Sequence[Way], choices: Sequence[_Choice]) -> tuple[str, dict[str, str]]:
    """What is said of the shape as a whole."""
    if not ways:
        empty = [n for n, choice in enumerate(choices) if not choice.seats_mm]
        return "wanted_has_no_seat", {"positions": positions_of(empty)}
    best = ways[0]
    if not best.is_exact:
        return "wanted_not_reached", {"miss": number(best.greatest_miss_mm)}
    return "wanted_reached" if best.offset_axles else "wanted_needs_no_offset", {}


def _way_answer(way: Way, places: Places, choices: Sequence[_Choice], language: Language) -> WayAnswer:
    code = "way_exact" if way.is_exact else "way_nearest"
    heights = [seat + way.shift_mm for seat in way.seats_mm]
    shape = shape_answer(places.positions_mm, places.diameters_mm, heights, language=language)
    say = partial(said, language=language)
    return WayAnswer(
        exact=way.is_exact,
        greatest_miss_mm=rounded(way.greatest_miss_mm),
        shift_mm=rounded(way.shift_mm),
        offset_axles=way.offset_axles,
        seats=[
            _seat_answer(n, seat, height, choices[n], places.limit)
            for n, (seat, height) in enumerate(zip(way.seats_mm, heights, strict=True))
        ],
        curve=shape.curve,
        code=code,
        text=" ".join([say(code, miss=number(way.greatest_miss_mm)), *_seats_said(way, language)]),
    )


def _seat_answer(n: int, seat_mm: float, height_mm: float, choice: _Choice, limit: int) -> SeatAnswer:
    skus = choice.skus_of(abs(seat_mm)) if seat_mm else []
    return SeatAnswer(
        position=n + 1,
        turned="up" if seat_mm > 0 else "down" if seat_mm < 0 else "straight",
        offset_mm=abs(seat_mm),
        height_mm=rounded(height_mm),
        skus=skus[:limit],
        more=max(0, len(skus) - limit),
    )


def _seats_said(way: Way, language: Language) -> list[str]:
    """One sentence for the places of each seat."""
    sentences = []
    for seat in sorted(set(way.seats_mm), reverse=True):
        code = "seat_up" if seat > 0 else "seat_down" if seat < 0 else "seat_straight"
        where = positions_of([n for n, other in enumerate(way.seats_mm) if other == seat])
        sentences.append(said(code, language, positions=where, offset=number(abs(seat))))
    return sentences


def _axle_answers(
    ways: Iterable[WayAnswer], choices: Sequence[_Choice], snapshot: Snapshot, language: Language
) -> list[OffsetAxleAnswer]:
    """Each axle that is named for a seat, with its verdicts at the places that it is named for."""
    named: dict[str, set[int]] = {}
    for way in ways:
        for seat in way.seats:
            for sku in seat.skus:
                named.setdefault(sku, set()).add(seat.position - 1)
    return [
        OffsetAxleAnswer(axle=snapshot.axles[sku], verdicts=_verdicts(sku, sorted(places), choices, language))
        for sku, places in sorted(named.items())
    ]


def _verdicts(
    sku: str, places: Sequence[int], choices: Sequence[_Choice], language: Language
) -> list[PlaceVerdictAnswer]:
    """The verdicts on an axle, places with the same judgement together."""
    together: dict[int, tuple[Judgement, list[int]]] = {}
    for n in places:
        judgement = choices[n].judgements.get(sku)
        if judgement is not None:
            together.setdefault(id(judgement), (judgement, []))[1].append(n + 1)
    return [
        PlaceVerdictAnswer(
            positions=positions,
            verdict=judgement.verdict.value,
            fit_probability=rounded(judgement.fit_probability),
            reasons=reason_answers(judgement.reasons, language=language),
        )
        for judgement, positions in together.values()
    ]
