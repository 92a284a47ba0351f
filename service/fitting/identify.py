"""What an old axle is, and what replaces it. A pure function of request and snapshot."""

from __future__ import annotations

from collections.abc import Sequence

from schemas.codes import Language
from schemas.identify import (
    AgreementAnswer,
    IdentifyRequest,
    IdentifyResponse,
    InferenceAnswer,
    SamePartAnswer,
    ThreadAnswer,
)
from schemas.replacements import EquivalentAnswer
from service.catalogue.snapshot import Snapshot
from service.engine.equivalence import stand_ins
from service.engine.identify import Candidate, identified
from service.engine.identify_agreement import Agreement, OldAxle
from service.engine.identify_part import as_part
from service.engine.threads import Thread
from service.fitting.browse import page_of
from service.fitting.cursor import DEMONSTRATION_CURSORS, Cursors
from service.fitting.equivalents import differing_columns, equivalent_answer, said_value, use_of
from service.fitting.inferences import Inference, inference_answer, inferences
from service.fitting.languages import Sentences, sentences_in
from service.fitting.lookup import look_up
from service.fitting.old_axle import NO_THREAD, lookup_from, old_axle_of
from service.fitting.translate import rounded
from service.fitting.wording import filled

_EQUAL_DIGITS = 6
_LEAST_THREAD_PROBABILITY = 0.001


def identify(
    request: IdentifyRequest,
    snapshot: Snapshot,
    cursors: Cursors = DEMONSTRATION_CURSORS,
    *,
    language: Language = Language.ENGLISH,
) -> IdentifyResponse:
    """What the old axle is, what was inferred of it and what could not be, and what replaces it.

    Raises
    ------
    InvalidRequestError
        If a thread does not exist.
    CursorError
        If the cursor is not one of this request at this revision.
    """
    old = old_axle_of(request, snapshot)
    same = identified(old, snapshot.engine_axles)
    differ_in = differing_columns([snapshot.axles[candidate.axle.sku] for candidate in same])
    found = [*inferences(old, request), *_of_the_catalogue(same)]
    page, cursor = page_of(list(zip(_ranks(same), same, strict=True)), request, snapshot, cursors)
    lookup = lookup_from(old, request)
    return IdentifyResponse(
        catalogue_revision=snapshot.revision,
        inferred=_answers(found, language, is_inferred=True),
        not_inferred=_answers(found, language, is_inferred=False),
        threads=_threads(old),
        same=[_same_answer(rank, candidate, snapshot, language) for rank, candidate in page],
        differ_in=differ_in,
        stand_ins=_stand_ins(old, request, same, snapshot, language),
        lookup=lookup,
        answer=None if lookup is None else look_up(lookup, snapshot, cursors, language=language),
        next_cursor=cursor,
    )


def _of_the_catalogue(same: Sequence[Candidate]) -> list[Inference]:
    """What could not be told by the catalogue: which of several parts it is, or that it is none."""
    if len(same) == 1:
        return []
    code = "parts_not_told_apart" if same else "no_part_agrees"
    return [Inference(about="same", code=code, is_inferred=False, facts={"count": len(same)})]


def _answers(found: Sequence[Inference], language: Language, *, is_inferred: bool) -> list[InferenceAnswer]:
    return [inference_answer(each, language=language) for each in found if each.is_inferred is is_inferred]


def _threads(old: OldAxle) -> list[ThreadAnswer]:
    return [
        ThreadAnswer(thread=thread.designation, probability=rounded(probability))
        for thread, probability in (old.threads or {}).items()
        if probability >= _LEAST_THREAD_PROBABILITY
    ]


def _ranks(same: Sequence[Candidate]) -> list[int]:
    """Places in the order; those that are equally probable have the first one's place."""
    ranks: list[int] = []
    for place, candidate in enumerate(same):
        equal = place > 0 and round(candidate.probability - same[place - 1].probability, _EQUAL_DIGITS) == 0
        ranks.append(ranks[-1] if equal else place + 1)
    return ranks


def _stand_ins(
    old: OldAxle,
    request: IdentifyRequest,
    same: Sequence[Candidate],
    snapshot: Snapshot,
    language: Language,
) -> list[EquivalentAnswer]:
    """The parts that serve the same widths as the old axle; what differs is told of the one that it is."""
    part = as_part(old)
    if part is None:
        return []
    found = stand_ins(part, snapshot.engine_axles, snapshot.facts, use=use_of(request, snapshot))
    record = snapshot.axles[same[0].axle.sku] if len(same) == 1 else None
    others = [each for each in found if record is None or each.judgement.axle.sku != record.sku]
    return [
        equivalent_answer(stand_in, record, snapshot, rank=rank, language=language)
        for rank, stand_in in enumerate(others[: request.limit], start=1)
    ]


def _same_answer(rank: int, candidate: Candidate, snapshot: Snapshot, language: Language) -> SamePartAnswer:
    sentences = sentences_in(language)
    return SamePartAnswer(
        rank=rank,
        verdict=candidate.verdict.value,
        probability=rounded(candidate.probability),
        axle=snapshot.axles[candidate.axle.sku],
        reasons=[_agreement_answer(agreement, sentences) for agreement in candidate.agreements],
    )


def _agreement_answer(agreement: Agreement, sentences: Sentences) -> AgreementAnswer:
    return AgreementAnswer(
        field=agreement.feature,
        outcome=agreement.outcome.value,
        code=agreement.code,
        text=filled(sentences.agreements[agreement.code], _known_of(agreement, sentences), sentences),
    )


def _known_of(agreement: Agreement, sentences: Sentences) -> dict[str, object]:
    """What the sentence of an agreement may mention."""
    known: dict[str, object] = {
        "feature": sentences.features[agreement.feature],
        "value": agreement.value,
        "expected": agreement.expected,
        "limit": agreement.limit,
        "probability": agreement.probability,
    }
    if agreement.code == "within_range":
        assert isinstance(agreement.expected, tuple)  # noqa: S101 (a range has two ends)
        known["minimum"], known["maximum"] = agreement.expected
    elif agreement.code != "as_long":
        known["value"] = _said(agreement.feature, agreement.value, sentences)
        known["expected"] = _said(agreement.feature, agreement.expected, sentences)
    return known


def _said(feature: str, value: object, sentences: Sentences) -> str:
    if isinstance(value, Thread):
        return value.designation
    if value is None and feature == "brake_thread":
        return NO_THREAD
    return said_value(feature, value, sentences)
