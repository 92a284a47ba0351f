"""The sentences in every language, each language read once: English, and gettext's catalogues in ``locale``.

The catalogues are kept as text and compiled in memory when they are read, so that no compiled file can be
behind its text. Every entry has as its context the kind and the code of its sentence.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from gettext import GNUTranslations, NullTranslations
from importlib.resources import files
from io import BytesIO

from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

from schemas.codes import Language
from service.fitting import (
    counter_sentences,
    drawing_sentences,
    filter_sentences,
    guide_sentences,
    kit_sentences,
    replacement_sentences,
    rocker_sentences,
    sentences,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentences:
    """All sentences of one language, by kind and code."""

    fastenings: Mapping[str, str]
    columns: Mapping[str, str]
    probabilities: Mapping[str, str]
    reasons: Mapping[str, str]
    remarks: Mapping[str, str]
    would_fit_if: Mapping[str, str]
    questions: Mapping[str, str]
    cautions: Mapping[str, str]
    words: Mapping[str, str]
    features: Mapping[str, str]
    agreements: Mapping[str, str]
    replacements: Mapping[str, str]
    inferences: Mapping[str, str]
    kits: Mapping[str, str]
    rockers: Mapping[str, str]
    guides: Mapping[str, str]
    counter: Mapping[str, str]
    drawings: Mapping[str, str]
    filters: Mapping[str, str]


ENGLISH = (
    sentences,
    replacement_sentences,
    kit_sentences,
    rocker_sentences,
    guide_sentences,
    counter_sentences,
    drawing_sentences,
    filter_sentences,
)
"""The modules with the English sentences; each kind stands in one of them."""
KINDS = tuple(field.name for field in fields(Sentences))


@cache
def sentences_in(language: Language) -> Sentences:
    """The sentences of a language; one that is not translated stays English."""
    translations = NullTranslations() if language is Language.ENGLISH else _catalogue(language)
    return Sentences(
        **{
            kind: {
                code: translations.pgettext(context_of(kind, code), english)
                for code, english in english_of(kind).items()
            }
            for kind in KINDS
        }
    )


def read_every_language() -> None:
    """Read the sentences of all languages now, so that no lookup waits for them."""
    for language in Language:
        sentences_in(language)


def english_of(kind: str) -> Mapping[str, str]:
    """The English sentences of one kind, by code."""
    module = next(module for module in ENGLISH if hasattr(module, kind.upper()))
    english: Mapping[str, str] = getattr(module, kind.upper())
    return english


def context_of(kind: str, code: str) -> str:
    """What names a sentence in the catalogues: a code alone may have a sentence of several kinds."""
    return f"{kind}.{code}"


def _catalogue(language: Language) -> GNUTranslations:
    """The translations of a language, compiled from its text."""
    text = files("service.fitting") / "locale" / language / "LC_MESSAGES" / "axlefit.po"
    compiled = BytesIO()
    with text.open("rb") as lines:
        write_mo(compiled, read_po(lines, locale=language, abort_invalid=True))
    compiled.seek(0)
    return GNUTranslations(compiled)
