"""What can stand in for an axle of the catalogue, and what differs in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Any

from schemas.answers import WidthWindowAnswer
from schemas.codes import Language
from schemas.lookup import RiderAndWheel
from schemas.parts import AxleRecord
from schemas.replacements import (
    DifferenceAnswer,
    EquivalentAnswer,
    EquivalentsOfAxle,
    EquivalentsRequest,
    EquivalentsResponse,
)
from service.catalogue.records import engine_axle
from service.catalogue.snapshot import Snapshot
from service.engine.constants import DEFAULT_LENGTH_TOLERANCE_MM
from service.engine.equivalence import StandIn, Use, frame_family, stand_ins
from service.engine.parts import Axle
from service.engine.windows import missing_for_window
from service.fitting.browse import page_of, show_axle
from service.fitting.cursor import DEMONSTRATION_CURSORS, Cursors
from service.fitting.languages import Sentences, sentences_in
from service.fitting.translate import reason_answers, rounded
from service.fitting.wording import filled, number

_NOT_COMPARED = {"sku", "gtin", "name", "stock", "currency"}
COMPARED = tuple(column for column in AxleRecord.model_fields if column not in _NOT_COMPARED)
"""The columns in which parts may differ; two prices differ in their currency too."""
_NOT_STATED = {"offset_mm": 0.0, "length_tolerance_mm": DEFAULT_LENGTH_TOLERANCE_MM}
"""What counts where the catalogue states nothing."""


def equivalents_of(
    sku: str,
    request: EquivalentsRequest,
    snapshot: Snapshot,
    cursors: Cursors = DEMONSTRATION_CURSORS,
    *,
    language: Language = Language.ENGLISH,
) -> EquivalentsResponse:
    """The parts that can stand in for an axle, best first.

    Raises
    ------
    NotInCatalogueError
        If there is no such axle.
    CursorError
        If the cursor is not one of this request at this revision.
    """
    record = show_axle(sku, snapshot)
    axle = engine_axle(record)
    found = stand_ins(axle, snapshot.engine_axles, snapshot.facts, use=use_of(request, snapshot))
    asked = EquivalentsOfAxle(sku=sku, **request.model_dump(exclude_unset=True))
    answers, cursor = page_of(list(enumerate(found, start=1)), asked, snapshot, cursors)
    return EquivalentsResponse(
        catalogue_revision=snapshot.revision,
        axle=record,
        note=no_window_note(axle, language=language),
        items=[
            equivalent_answer(stand_in, record, snapshot, rank=rank, language=language)
            for rank, stand_in in answers
        ],
        next_cursor=cursor,
    )


def use_of(request: RiderAndWheel, snapshot: Snapshot) -> Use:
    """Who rides, in which wheel, and the thinnest and the thickest tapped wall of the known frames."""
    walls = {
        frame.far_wall_mm
        for frame in snapshot.frames.values()
        if frame.fastening == "threaded_wall" and frame.far_wall_mm is not None
    }
    return Use(
        walls_mm=tuple(sorted({min(walls), max(walls)})) if walls else (),
        rider_mass_kg=request.rider_mass_kg,
        child=request.child,
        hub_width_mm=request.hub_width_mm,
    )


def no_window_note(axle: Axle, *, language: Language) -> str | None:
    """Why nothing can be said of the widths that an axle serves; None where something can."""
    missing = missing_for_window(axle)
    if not missing:
        return None
    sentences = sentences_in(language)
    return filled(sentences.replacements["no_window"], {"columns": ", ".join(missing)}, sentences)


def equivalent_answer(
    stand_in: StandIn, axle: AxleRecord | None, snapshot: Snapshot, *, rank: int, language: Language
) -> EquivalentAnswer:
    """One part that can stand in; without a record to compare it with, nothing differs."""
    judgement = stand_in.judgement
    record = snapshot.axles[judgement.axle.sku]
    family = frame_family(judgement.axle)
    window = judgement.window
    return EquivalentAnswer(
        rank=rank,
        verdict=judgement.verdict.value,
        axle=record,
        width_window_mm=WidthWindowAnswer(min=rounded(window.lower_mm), max=rounded(window.upper_mm)),
        windows_apart_mm=rounded(stand_in.apart_mm),
        differs=[] if axle is None else differences(axle, record, language=language),
        frame_family=family,
        frame_family_text=None if family is None else _family_text(family, sentences_in(language)),
        reasons=reason_answers(judgement.reasons, language=language),
    )


def _family_text(profile: str, sentences: Sentences) -> str:
    return filled(sentences.replacements["one_frame_family"], {"profile": profile}, sentences)


def differing_columns(records: Sequence[AxleRecord]) -> list[str]:
    """The columns in which these parts are not all alike."""
    return [column for column in COMPARED if len({_value_of(record, column) for record in records}) > 1]


def differences(
    axle: AxleRecord, other: AxleRecord, *, language: Language = Language.ENGLISH
) -> list[DifferenceAnswer]:
    """What differs between an axle and a part that stands in for it, column by column."""
    return list(_differences(axle, other, sentences_in(language)))


def _differences(axle: AxleRecord, other: AxleRecord, sentences: Sentences) -> Iterator[DifferenceAnswer]:
    for column in differing_columns([axle, other]):
        own, found = _value_of(axle, column), _value_of(other, column)
        known = {
            "feature": sentences.features[column],
            "axle": said_value(column, own, sentences),
            "equivalent": said_value(column, found, sentences),
        }
        text = filled(sentences.replacements["differs"], known, sentences)
        yield DifferenceAnswer(field=column, axle=own, equivalent=found, text=text)


def _value_of(record: AxleRecord, column: str) -> Any:
    """A column as it is compared: a price with its currency, and what counts where it is not stated."""
    value = getattr(record, column)
    if isinstance(value, Decimal):
        return f"{value:f} {record.currency}"
    return _NOT_STATED.get(column) if value is None else value


def said_value(column: str, value: object, sentences: Sentences) -> str:
    """A value as a sentence says it: lengths with their unit, what is not known as not known."""
    if value is None:
        return sentences.words["not_known"]
    if column == "fastening":
        return sentences.fastenings[str(value)]
    if isinstance(value, float):
        return f"{number(value)} mm" if column.endswith("_mm") else number(value)
    return str(value)
