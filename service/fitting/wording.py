"""Reasons as sentences: the numbers of a reason put into the sentence of its code, in any language."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from string import Formatter
from typing import Any

from schemas.codes import Language
from service.engine.codes import Fastening
from service.engine.reasons import Reason
from service.engine.threads import Thread
from service.fitting.languages import Sentences, sentences_in


def reason_text(reason: Reason, *, language: Language = Language.ENGLISH) -> str:
    """The sentence of a reason, and what was taken for granted in it."""
    sentences = sentences_in(language)
    sentence = _filled(sentences.reasons[reason.code], reason, sentences)
    remarks = reason.facts.get("remarks", ())
    assert isinstance(remarks, tuple)  # noqa: S101 (the engine's reasons hold tuples of codes)
    return " ".join([sentence, *(sentences.remarks[code] for code in remarks)])


def would_fit_text(reason: Reason, *, language: Language = Language.ENGLISH) -> str:
    """What would have to change for this failing reason to pass, and by how much."""
    sentences = sentences_in(language)
    return _filled(sentences.would_fit_if[reason.code], reason, sentences)


def number(value: float) -> str:
    """A number as one says it: 36.4, 0.03, 8; the same in every language."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text.replace("-", "−")


def percentage(probability: float, *, language: Language = Language.ENGLISH) -> str:
    """A probability as a percentage that never claims certainty."""
    return _percentage(probability, sentences_in(language))


def _percentage(probability: float, sentences: Sentences) -> str:
    if probability >= 0.9995:
        return sentences.probabilities["nearly_certain"]
    if probability < 0.001:
        return sentences.probabilities["nearly_impossible"]
    return f"{probability * 100:.1f} %"


def _filled(sentence: str, reason: Reason, sentences: Sentences) -> str:
    """The sentence with what it mentions of a reason put in."""
    return filled(sentence, _known_of(reason), sentences)


def filled(sentence: str, known: Mapping[str, Any], sentences: Sentences) -> str:
    """The sentence with what it mentions put in, as this language says it."""
    return sentence.format_map({name: _said(name, known[name], sentences) for name in mentioned_in(sentence)})


@cache
def mentioned_in(sentence: str) -> frozenset[str]:
    """The names in a sentence's braces."""
    return frozenset(name for _, name, _, _ in Formatter().parse(sentence) if name is not None)


def _known_of(reason: Reason) -> Mapping[str, Any]:
    """Everything that a sentence may mention, with the margins that follow from value and limits."""
    value, minimum, maximum = reason.value, reason.minimum, reason.maximum
    known: dict[str, Any] = {**reason.facts, "value": value, "minimum": minimum, "maximum": maximum}
    if value is not None and minimum is not None:
        known["shortfall"] = known["short"] = minimum - value
        known["lacking"] = -value
    if value is not None and maximum is not None:
        known["excess"] = value - maximum
        if minimum is not None:
            known["margin"] = min(value - minimum, maximum - value)
    return known


def _said(name: str, found: Any, sentences: Sentences) -> str:
    """A number with at most two digits after the point; threads, fastenings and columns by their names."""
    if name == "probability":
        return _percentage(found, sentences)
    if name == "column":
        return sentences.columns[found]
    if isinstance(found, float):
        return number(found)
    if isinstance(found, Thread):
        return found.designation
    if isinstance(found, Fastening):
        return sentences.fastenings[found]
    return str(found)
