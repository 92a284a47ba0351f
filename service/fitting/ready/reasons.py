"""The reasons about the width as JSON: made anew for each frame, and so in the shortest way."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from json import JSONEncoder
from string import Formatter
from typing import Any, NamedTuple

from schemas.codes import Language
from service.engine.codes import Check, Outcome
from service.engine.reasons import Reason
from service.fitting.languages import sentences_in
from service.fitting.translate import reason_answers, rounded
from service.fitting.wording import number, percentage

as_json = JSONEncoder(ensure_ascii=False).encode

_MARGINS: Mapping[str, Callable[[Any, Any, Any], Any]] = {
    "value": lambda value, _minimum, _maximum: value,
    "minimum": lambda _value, minimum, _maximum: minimum,
    "maximum": lambda _value, _minimum, maximum: maximum,
    "shortfall": lambda value, minimum, _maximum: minimum - value,
    "short": lambda value, minimum, _maximum: minimum - value,
    "excess": lambda value, _minimum, maximum: value - maximum,
    "margin": lambda value, minimum, maximum: min(value - minimum, maximum - value),
}
"""What sentences mention of a reason's value and limits; the same as `wording` makes of them."""


class _Template(NamedTuple):
    """The JSON of a reason up to its numbers, with a place for each thing mentioned."""

    text: str
    names: tuple[tuple[str, Callable[[Any, Any, Any], Any] | None], ...]


def reason_json(reason: Reason, language: Language) -> bytes:
    """A reason with its sentence."""
    (answer,) = reason_answers([reason], language=language)
    return answer.model_dump_json().encode()


def width_reason_json(reason: Reason, language: Language) -> bytes:
    """The same for a reason about the width or the engagement; what mentions no number is remembered."""
    facts = reason.facts
    if "column" in facts:
        return _of_column(reason.check, reason.outcome, reason.code, reason.source, facts["column"], language)
    key = reason.code, id(reason.outcome), facts.get("remarks"), id(language)  # a member's own hash is slow
    if (template := _TEMPLATES.get(key)) is None:
        template = _TEMPLATES[key] = _template(reason, language)
    value, minimum, maximum = reason.value, reason.minimum, reason.maximum
    said = [
        _said(name, facts[name] if margin is None else margin(value, minimum, maximum), language)
        for name, margin in template.names
    ]
    text = template.text % tuple(said)
    end = _end(reason.unit, reason.source)
    numbers = f'{_json(value)},"minimum":{_json(minimum)},"maximum":{_json(maximum)}'
    return f"{text}{numbers}{end}".encode()


def _said(name: str, found: Any, language: Language) -> str:
    if name == "probability":
        return _percentage(found, language)
    return _number(found) if isinstance(found, float) else str(found)


@lru_cache(maxsize=1024)
def _percentage(probability: float, language: Language) -> str:
    return as_json(percentage(probability, language=language))[1:-1]


# The axles of an answer have the width in common, and often its uncertainty, their limits, their torques.
_number = lru_cache(maxsize=8192)(number)


@lru_cache(maxsize=8192)
def _json(value: float | None) -> str:
    return "null" if value is None else repr(rounded(value))


_TEMPLATES: dict[tuple[str, int, Any, int], _Template] = {}
"""As many as there are codes, outcomes and languages."""


def _template(reason: Reason, language: Language) -> _Template:
    sentences, code = sentences_in(language), reason.code
    remarks: Any = reason.facts.get("remarks", ())
    parts: list[str] = []
    names: list[tuple[str, Callable[[Any, Any, Any], Any] | None]] = []
    for literal, name, _, _ in Formatter().parse(sentences.reasons[code]):
        parts.append(_literal(literal))
        if name is not None:
            parts.append("%s")
            names.append((name, _MARGINS.get(name)))
    parts.extend(_literal(f" {sentences.remarks[remark]}") for remark in remarks)
    begin = f'{{"check":"{reason.check}","outcome":"{reason.outcome}","code":"{code}","text":"'
    return _Template(f'{_literal(begin, is_json=True)}{"".join(parts)}","value":', tuple(names))


def _literal(text: str, *, is_json: bool = False) -> str:
    return (text if is_json else as_json(text)[1:-1]).replace("%", "%%")


@lru_cache(maxsize=256)
def _end(unit: str | None, source: str) -> str:
    return f',"unit":{as_json(unit)},"source":{as_json(source)}}}'


@lru_cache(maxsize=1024)
def _of_column(
    check: Check, outcome: Outcome, code: str, source: str, column: str, language: Language
) -> bytes:
    reason = Reason(check, outcome, code, source, unit="mm", facts={"column": column})
    return reason_json(reason, language)
