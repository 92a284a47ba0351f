"""Reasons as sentences: the numbers of a reason put into the sentence of its code."""

from __future__ import annotations

from collections.abc import Mapping
from string import Formatter
from typing import Any

from service.engine.reasons import Reason
from service.engine.threads import Thread
from service.fitting.sentences import FASTENINGS, REASONS, REMARKS, WOULD_FIT_IF


def reason_text(reason: Reason) -> str:
    """The sentence of a reason, and what was taken for granted in it."""
    sentence = _NUMBERS.vformat(REASONS[reason.code], (), _mentioned(reason))
    remarks = reason.facts.get("remarks", ())
    assert isinstance(remarks, tuple)  # noqa: S101 (the engine's reasons hold tuples of codes)
    return " ".join([sentence, *(REMARKS[code] for code in remarks)])


def would_fit_text(reason: Reason) -> str:
    """What would have to change for this failing reason to pass, and by how much."""
    return _NUMBERS.vformat(WOULD_FIT_IF[reason.code], (), _mentioned(reason))


class _Numbers(Formatter):
    """Writes a number with at most two digits after the point, and threads and fastenings by their names."""

    def format_field(self, value: Any, format_spec: str) -> str:
        if isinstance(value, float) and not format_spec:
            return number(value)
        if isinstance(value, Thread):
            return value.designation
        text = str(super().format_field(value, format_spec))
        return FASTENINGS.get(text, text)


_NUMBERS = _Numbers()


def number(value: float) -> str:
    """A number as one says it: 36.4, 0.03, 8."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text.replace("-", "−")


def percentage(probability: float) -> str:
    """A probability as a percentage that never claims certainty."""
    if probability >= 0.9995:
        return "over 99.9 %"
    if probability < 0.001:
        return "under 0.1 %"
    return f"{probability * 100:.1f} %"


def _mentioned(reason: Reason) -> Mapping[str, Any]:
    """Everything that the sentence may mention, with the margins that follow from value and limits."""
    mentioned: dict[str, Any] = dict(reason.facts)
    mentioned |= {"value": reason.value, "minimum": reason.minimum, "maximum": reason.maximum}
    if "probability" in mentioned:
        mentioned["probability"] = percentage(float(mentioned["probability"]))
    value, minimum, maximum = reason.value, reason.minimum, reason.maximum
    if value is not None and minimum is not None:
        mentioned["shortfall"] = mentioned["short"] = minimum - value
        mentioned["lacking"] = -value
    if value is not None and maximum is not None:
        mentioned["excess"] = value - maximum
        if minimum is not None:
            mentioned["margin"] = min(value - minimum, maximum - value)
    return mentioned
