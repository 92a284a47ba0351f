"""The main job: a frame in, ranked axles with reasons out. A pure function of request and snapshot.

`look_up` reads what `answer_bytes` makes, whose cost hardly grows with the catalogue. `look_up_part_by_part`
says the same in the plainest way: it judges every part. It is what all quicker ways are held to.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from schemas.answers import CountsAnswer, FitsResponse
from schemas.codes import Language
from schemas.lookup import LookupRequest
from service.catalogue.snapshot import Snapshot
from service.engine.codes import Verdict
from service.engine.frame import Frame
from service.engine.judgement import Judgement, judge
from service.engine.parts import Axle
from service.engine.ranking import near_misses, ranked
from service.fitting.answer_bytes import answer_bytes
from service.fitting.ask_next import ask_next
from service.fitting.cautions import cautions_for
from service.fitting.cursor import DEMONSTRATION_CURSORS, Cursors
from service.fitting.translate import fit_answer, frame_answer, frame_of, near_miss_answer, preferences_of


def look_up(
    request: LookupRequest,
    snapshot: Snapshot,
    cursors: Cursors = DEMONSTRATION_CURSORS,
    *,
    language: Language = Language.ENGLISH,
) -> FitsResponse:
    """The axles of the catalogue that fit the frame, best first, each with its reasons in this language.

    Raises
    ------
    InvalidRequestError
        If the request describes no frame that can be.
    CursorError
        If the cursor is not one of this request at this revision.
    """
    return FitsResponse.model_validate_json(answer_bytes(request, snapshot, cursors, language=language))


def look_up_part_by_part(
    request: LookupRequest,
    snapshot: Snapshot,
    cursors: Cursors = DEMONSTRATION_CURSORS,
    *,
    language: Language = Language.ENGLISH,
) -> FitsResponse:
    """The same answer, from a judgement of every part; it refuses what `look_up` refuses."""
    frame = frame_of(request)
    offset = cursors.offset_of(request.cursor, request=request, snapshot=snapshot)
    judgements = judge_all(snapshot.engine_axles, frame, snapshot)
    width = frame.widths.outside
    order = ranked(judgements, width=width, preferences=preferences_of(request))
    page = order[offset : offset + request.limit]
    end = offset + len(page)
    misses = near_misses(judgements, width=width)[: request.near_misses]
    return FitsResponse(
        catalogue_revision=snapshot.revision,
        frame=frame_answer(frame, language=language),
        fits=[
            fit_answer(judgement, rank=rank, record=snapshot.axles[judgement.axle.sku], language=language)
            for rank, judgement in enumerate(page, start=offset + 1)
        ],
        near_misses=[
            near_miss_answer(miss, record=snapshot.axles[miss.judgement.axle.sku], language=language)
            for miss in misses
        ],
        ask_next=ask_next(frame, [judgement.axle for judgement in order], snapshot, language=language),
        cautions=cautions_for(frame, page, language=language),
        counts=_counts(judgements),
        next_cursor=cursors.after(end, request=request, snapshot=snapshot) if end < len(order) else None,
    )


def judge_all(axles: Iterable[Axle], frame: Frame, snapshot: Snapshot) -> list[Judgement]:
    """What the engine says of each of these axles; those without any width window are left out."""
    facts = snapshot.facts
    return [judgement for axle in axles if (judgement := judge(axle, frame, facts)) is not None]


def _counts(judgements: Iterable[Judgement]) -> CountsAnswer:
    """How many axles came to which verdict."""
    counts = Counter(judgement.verdict for judgement in judgements)
    return CountsAnswer(considered=counts.total(), **{str(v): counts[v] for v in Verdict})
