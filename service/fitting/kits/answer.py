"""A kit as an answer: its positions with their reasons, its lines, and their sum."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from schemas.answers import QuantityAnswer, ReasonAnswer
from schemas.codes import Language
from schemas.kits import (
    EmptyCode,
    KitLineAnswer,
    KitPositionAnswer,
    KitResponse,
    KitTotalAnswer,
    LineKindCode,
    WhyEmptyAnswer,
)
from service.catalogue.money import from_minor_units
from service.engine.codes import Check, Outcome
from service.engine.frame_notes import frame_notes
from service.engine.judgement import Judgement
from service.fitting.kits.cautions import cautions_of
from service.fitting.kits.grounds import Ground
from service.fitting.kits.made import MadeKit, Taken
from service.fitting.languages import sentences_in
from service.fitting.translate import frame_answer, near_miss_answer, reason_answers


def kit_answer(kit: MadeKit, *, language: Language) -> KitResponse:
    """The answer that a kit comes to, its sentences in this language."""
    return KitResponse(
        catalogue_revision=kit.snapshot.revision,
        positions=[
            _position(kit, place, ground, judgement, language) for place, ground, judgement in kit.at_places()
        ],
        notes=_notes(kit, language),
        lines=[*_lines(kit, "axle"), *_lines(kit, "sleeve"), *_tools(kit)],
        total=_total(kit),
        cautions=cautions_of(kit, language=language),
    )


def _position(
    kit: MadeKit, number: int, ground: Ground, judgement: Judgement | None, language: Language
) -> KitPositionAnswer:
    place = kit.places[number]
    records = kit.snapshot.axles
    return KitPositionAnswer(
        side=place.side,
        position=place.position,
        needs=place.needs,
        outside_width_mm=_width(ground, language),
        sku=judgement.axle.sku if judgement else None,
        sleeve_sku=kit.choice.sleeve_at.get(number),
        verdict=judgement.verdict.value if judgement else None,
        best_verdict=ground.best.value,
        fit_probability=round(judgement.fit_probability, 3) if judgement else None,
        reasons=_reasons(kit, number, judgement, language) if judgement else [],
        why_empty=None if judgement else _why_empty(kit, ground, language),
        near_misses=[
            near_miss_answer(miss, record=records[miss.judgement.axle.sku], language=language)
            for miss in ground.misses
        ],
    )


def _width(ground: Ground, language: Language) -> QuantityAnswer:
    return frame_answer(ground.frame, language=language).outside_width_mm


def _reasons(kit: MadeKit, number: int, judgement: Judgement, language: Language) -> list[ReasonAnswer]:
    """The reasons of the axle; the one that names a sleeve names that of the kit."""
    reasons = list(judgement.reasons)
    sku = kit.choice.sleeve_at.get(number)
    for place, reason in enumerate(reasons):
        if sku is not None and reason.check is Check.SLEEVE and reason.outcome is Outcome.PASS:
            sleeve = kit.snapshot.sleeves[sku]
            facts = {**reason.facts, "sku": sku, "name": sleeve.name}
            reasons[place] = reason._replace(value=sleeve.length_mm, facts=facts)
    return reason_answers(reasons, language=language)


def _why_empty(kit: MadeKit, ground: Ground, language: Language) -> WhyEmptyAnswer:
    code: EmptyCode = "nothing_fits"
    if ground.listed:
        in_currency = any(sku in kit.task.axles for sku in ground.listed)
        code = "stock_too_small" if in_currency else "priced_in_another_currency"
    return WhyEmptyAnswer(code=code, text=sentences_in(language).kits[code])


def _notes(kit: MadeKit, language: Language) -> list[ReasonAnswer]:
    """What is to be said of the frames, each thing once."""
    said: list[ReasonAnswer] = []
    for ground in kit.grounds:
        notes = reason_answers(frame_notes(ground.frame), language=language)
        said += [note for note in notes if note not in said]
    return said


def _lines(kit: MadeKit, kind: LineKindCode) -> Iterator[KitLineAnswer]:
    axles = kit.snapshot.axles
    for taken in kit.axles if kind == "axle" else kit.sleeves:
        yield KitLineAnswer(
            kind=kind,
            sku=taken.part.sku,
            drive=axles[taken.part.sku].drive if kind == "axle" else None,
            packs=taken.packs,
            pieces=taken.pieces,
            left_over=taken.left_over,
            line_price=_price(kit, taken),
        )


def _tools(kit: MadeKit) -> Iterator[KitLineAnswer]:
    """A line for each drive, with how many keys are needed at once."""
    heads: dict[str, list[int | None]] = {}
    for taken in kit.axles:
        record = kit.snapshot.axles[taken.part.sku]
        if record.drive is not None:
            heads.setdefault(record.drive, []).append(record.driven_heads)
    for drive, counts in sorted(heads.items()):
        known = [count for count in counts if count is not None]
        # With two keys for one axle there are enough for any; else a number that is not known may be two.
        keys = max(known, default=None) if len(known) == len(counts) or 2 in known else None
        yield KitLineAnswer(
            kind="tool", sku=None, drive=drive, packs=None, pieces=keys, left_over=None, line_price=None
        )


def _price(kit: MadeKit, taken: Taken) -> Decimal | None:
    if taken.price is None or kit.currency is None:
        return None
    return from_minor_units(taken.price, kit.currency)


def _total(kit: MadeKit) -> KitTotalAnswer | None:
    prices = [taken.price for taken in [*kit.axles, *kit.sleeves] if taken.price is not None]
    if not prices or kit.currency is None:
        return None
    return KitTotalAnswer(amount=from_minor_units(sum(prices), kit.currency), currency=kit.currency)
