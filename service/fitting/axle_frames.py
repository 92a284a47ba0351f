"""The known frames that an axle fits, at which of their axles, and why."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from schemas.answers import WidthWindowAnswer
from schemas.codes import Language
from schemas.lookup import FrameLookupRequest, RiderAndWheel
from schemas.parts import FrameRecord
from schemas.replacements import (
    AxleFrameAnswer,
    AxleFramesRequest,
    AxleFramesResponse,
    FramesOfAxle,
    PositionsAnswer,
)
from service.catalogue.records import engine_axle
from service.catalogue.snapshot import Snapshot
from service.engine.codes import Verdict
from service.engine.judgement import Judgement, judge
from service.engine.parts import Axle
from service.fitting.browse import page_of, show_axle
from service.fitting.cursor import DEMONSTRATION_CURSORS, Cursors
from service.fitting.equivalents import no_window_note
from service.fitting.known_frames import lookup_of
from service.fitting.translate import frame_of, reason_answers, rounded

_VERDICTS = {verdict: place for place, verdict in enumerate(Verdict)}


@dataclass(frozen=True, slots=True, kw_only=True)
class AlikePositions:
    """Axles of a frame that are as wide and carry the brake or do not, and how the axle is judged there."""

    positions: tuple[int, ...]
    judgement: Judgement
    off_ideal_mm: float

    @property
    def order(self) -> tuple[float, ...]:
        """Best first: verdict, probability, distance from the ideal width."""
        judgement = self.judgement
        return (
            _VERDICTS[judgement.verdict],
            -round(judgement.fit_probability, 2),
            round(self.off_ideal_mm, 1),
        )


def frames_for(
    sku: str,
    request: AxleFramesRequest,
    snapshot: Snapshot,
    cursors: Cursors = DEMONSTRATION_CURSORS,
    *,
    language: Language = Language.ENGLISH,
) -> AxleFramesResponse:
    """The frames of the table that an axle fits at one of their axles at least, best first.

    Raises
    ------
    NotInCatalogueError
        If there is no such axle.
    CursorError
        If the cursor is not one of this request at this revision.
    """
    record = show_axle(sku, snapshot)
    axle = engine_axle(record)
    fitting = []
    for code, frame in snapshot.frames.items():
        found = list(judged_positions(axle, frame, request, snapshot))
        if any(alike.judgement.verdict is not Verdict.NO_FIT for alike in found):
            fitting.append((min(alike.order for alike in found), code, found))
    fitting.sort(key=lambda frame: frame[:2])
    asked = FramesOfAxle(sku=sku, **request.model_dump(exclude_unset=True))
    page, cursor = page_of(list(enumerate(fitting, start=1)), asked, snapshot, cursors)
    return AxleFramesResponse(
        catalogue_revision=snapshot.revision,
        axle=record,
        note=no_window_note(axle, language=language),
        items=[
            _frame_answer(snapshot.frames[code], found, rank=rank, language=language)
            for rank, (_, code, found) in page
        ],
        next_cursor=cursor,
    )


def judged_positions(
    axle: Axle, frame: FrameRecord, rider: RiderAndWheel, snapshot: Snapshot
) -> Iterator[AlikePositions]:
    """What the axle comes to at each axle of a frame, those that are alike together, from the front."""
    asked = rider.model_dump(include=set(RiderAndWheel.model_fields), exclude_unset=True)
    for positions in alike_positions(frame):
        lookup = lookup_of(frame, FrameLookupRequest(axle_position=positions[0], **asked))
        measured = frame_of(lookup)
        judgement = judge(axle, measured, snapshot.facts)
        if judgement is not None:
            off = abs(measured.widths.outside.value_mm - judgement.window.ideal_mm)
            yield AlikePositions(positions=positions, judgement=judgement, off_ideal_mm=off)


def alike_positions(frame: FrameRecord) -> list[tuple[int, ...]]:
    """The axles of a frame, from the front, those of one width and without a brake together."""
    widths = frame.outside_widths_mm
    alike: dict[tuple[float | None, bool], list[int]] = {}
    for position in range(1, frame.wheels + 1):
        width = None if len(widths) <= 1 else widths[position - 1]
        alike.setdefault((width, position == frame.brake_position), []).append(position)
    return [tuple(positions) for positions in alike.values()]


def _frame_answer(
    frame: FrameRecord, found: list[AlikePositions], *, rank: int, language: Language
) -> AxleFrameAnswer:
    best = min(found, key=lambda alike: alike.order).judgement
    return AxleFrameAnswer(
        rank=rank,
        verdict=best.verdict.value,
        fit_probability=rounded(best.fit_probability),
        frame=frame,
        positions=[_positions_answer(alike, language) for alike in found],
    )


def _positions_answer(alike: AlikePositions, language: Language) -> PositionsAnswer:
    judgement = alike.judgement
    window = judgement.window
    return PositionsAnswer(
        axle_positions=list(alike.positions),
        verdict=judgement.verdict.value,
        fit_probability=rounded(judgement.fit_probability),
        width_window_mm=WidthWindowAnswer(min=rounded(window.lower_mm), max=rounded(window.upper_mm)),
        ideal_width_mm=rounded(window.ideal_mm),
        reasons=reason_answers(judgement.reasons, language=language),
    )
