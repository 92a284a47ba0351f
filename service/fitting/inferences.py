"""What was inferred of an old axle, and what could not be: codes and numbers, then sentences."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from schemas.codes import Language
from schemas.identify import IdentifyRequest, InferenceAnswer
from service.engine.codes import ROUND_HEADED, Fastening
from service.engine.constants import COMMON_PRACTICE, HEAD_HEIGHT, THREAD_LIMITS
from service.engine.identify_agreement import OldAxle, head_height
from service.engine.identify_part import as_part, length_as_counted, probable_shaft, probable_thread
from service.engine.parts import Axle
from service.engine.threads import Thread
from service.engine.windows import width_window
from service.fitting.languages import sentences_in
from service.fitting.translate import rounded
from service.fitting.wording import filled


@dataclass(frozen=True, slots=True, kw_only=True)
class Inference:
    """One thing that was inferred, or not; ``facts`` is what its sentence mentions."""

    about: str
    code: str
    is_inferred: bool = True
    value: float | str | None = None
    unit: str | None = None
    probability: float | None = None
    source: str = COMMON_PRACTICE
    facts: dict[str, Any] = field(default_factory=dict)


def inferences(old: OldAxle, request: IdentifyRequest) -> Iterator[Inference]:
    """What follows from the old axle alone, and what does not."""
    yield _fastening(old, request)
    yield _shaft(old)
    yield _thread(old, request)
    yield from _length(old)
    yield from _frame(old, request)
    yield _width(old)


def inference_answer(inference: Inference, *, language: Language) -> InferenceAnswer:
    """An inference with its sentence."""
    sentences = sentences_in(language)
    known = inference.facts | {"value": inference.value, "probability": inference.probability}
    return InferenceAnswer(
        field=inference.about,
        code=inference.code,
        text=filled(sentences.inferences[inference.code], known, sentences),
        value=rounded(inference.value) if isinstance(inference.value, float) else inference.value,
        unit=inference.unit,
        probability=None if inference.probability is None else rounded(inference.probability),
        source=inference.source,
    )


def _not_told(about: str, code: str, **others: Any) -> Inference:
    return Inference(about=about, code=code, is_inferred=False, **others)


def _fastening(old: OldAxle, request: IdentifyRequest) -> Inference:
    if old.fastening is None:
        return _not_told("fastening", "fastening_not_told")
    code = "fastening_from_pieces" if request.fastening is None else "fastening_stated"
    return Inference(
        about="fastening", code=code, value=old.fastening.value, facts={"fastening": old.fastening}
    )


def _shaft(old: OldAxle) -> Inference:
    if old.shaft is None:
        return _not_told("shaft_mm", "shaft_not_given")
    nominal, reading = old.shaft.nominal_mm, old.shaft.reading
    measured = reading.value_mm if reading is not None else nominal
    if nominal is None:
        return _not_told("shaft_mm", "shaft_of_no_class", value=measured, unit="mm")
    probability = old.shaft.probability_of(nominal)
    facts = {"class": nominal}
    if probable_shaft(old) is None:
        return _not_told(
            "shaft_mm", "shaft_unsure", value=measured, unit="mm", probability=probability, facts=facts
        )
    return Inference(
        about="shaft_mm", code="shaft_found", value=nominal, unit="mm", probability=probability, facts=facts
    )


def _thread(old: OldAxle, request: IdentifyRequest) -> Inference:
    if old.threads is None:
        return _not_told("thread", "thread_not_given")
    best = next(iter(old.threads), None)
    if best is None:
        return _not_told("thread", "thread_of_no_size", source=THREAD_LIMITS)
    if request.thread is not None:
        return Inference(about="thread", code="thread_stated", value=best.designation, facts={"thread": best})
    sure = probable_thread(old.threads) is not None
    return Inference(
        about="thread",
        code="thread_found" if sure else "thread_unsure",
        is_inferred=sure,
        value=best.designation,
        probability=old.threads[best],
        source=THREAD_LIMITS,
        facts={"thread": best},
    )


def _length(old: OldAxle) -> Iterator[Inference]:
    """The length as the fastening counts it, and the widths that the lengths of a barrel or bolt serve."""
    part = as_part(old)
    told = []
    if (length := length_as_counted(old)) is not None:
        told.append(_counted(old, length))
    grip = old.lengths.get("grip_mm")
    if grip is not None and old.fastening is Fastening.TWO_PIECE:
        told.append(Inference(about="grip_mm", code="length_is_grip", value=grip.value_mm, unit="mm"))
    if part is not None and part.fastening is not Fastening.THREADED_WALL:
        told += _served(part)
    if not told:
        told = [_not_told("length_mm", "length_not_given")]
    yield from told


def _served(part: Axle) -> list[Inference]:
    window = width_window(part)
    if window is None:
        return []
    facts = {"minimum": window.lower_mm, "maximum": window.upper_mm}
    return [Inference(about="outside_width_mm", code="widths_from_lengths", unit="mm", facts=facts)]


def _counted(old: OldAxle, length: float) -> Inference:
    source, facts = COMMON_PRACTICE, {}
    if old.fastening is Fastening.THREADED_WALL:
        code = "length_is_whole"
    elif "under_head_mm" in old.lengths:
        code = "length_is_under_head"
    else:
        head = head_height(probable_thread(old.threads))
        assert head is not None  # noqa: S101 (the length follows from it)
        code, source, facts = "length_less_head", HEAD_HEIGHT, {"head": head[0]}
    return Inference(about="length_mm", code=code, value=length, unit="mm", source=source, facts=facts)


def _frame(old: OldAxle, request: IdentifyRequest) -> Iterator[Inference]:
    """The frame's holes, recesses and brake, as the axle tells them."""
    if (offset := request.offset_mm) is None:
        yield _not_told("offset_mm", "holes_not_told")
    elif offset:
        yield Inference(about="hole_offset_mm", code="holes_oval", value=offset, unit="mm")
    else:
        yield Inference(about="holes", code="holes_round", value="round")
    if old.fastening is Fastening.TWO_PIECE:
        yield _heads(request.keyed_profile)
    if isinstance(brake := old.seen.get("brake_thread"), Thread):
        yield Inference(
            about="brake_thread", code="brake_carried", value=brake.designation, facts={"thread": brake}
        )


def _heads(profile: str | None) -> Inference:
    if profile is None:
        return _not_told("keyed_profile", "heads_not_told")
    code = "heads_round" if profile == ROUND_HEADED else "heads_keyed"
    return Inference(about="keyed_profile", code=code, value=profile, facts={"profile": profile})


def _width(old: OldAxle) -> Inference:
    """The frame's outside width, as the lookup that follows takes it."""
    length, grip = length_as_counted(old), old.lengths.get("grip_mm")
    about = "outside_width_mm"
    if old.fastening is Fastening.THREADED_WALL and length is not None:
        return Inference(about=about, code="width_from_length", value=length, unit="mm")
    if old.fastening is not None and grip is not None:
        return Inference(about=about, code="width_from_grip", value=grip.value_mm, unit="mm")
    return _not_told(about, "width_not_told")
