"""Every sentence stands in every language, with what it mentions, its numbers, and nothing out of date."""

import importlib
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

import service.fitting
from schemas.codes import Language
from schemas.lookup import LookupRequest
from schemas.parts import AxleRecord
from service.engine.judgement import judge
from service.fitting import sentences
from service.fitting.languages import KINDS, sentences_in
from service.fitting.translate import frame_of
from service.fitting.wording import mentioned_in, percentage, reason_text

LOCALE = Path(service.fitting.__file__).parent / "locale"
TRANSLATED = [language for language in Language if language is not Language.ENGLISH]
ENGLISH = {
    f"{name.lower()}.{code}": sentence
    for path in LOCALE.parent.glob("*sentences.py")
    for name, codes in vars(importlib.import_module(f"service.fitting.{path.stem}")).items()
    if name.isupper()
    for code, sentence in codes.items()
}
"""Every sentence of the English modules, whatever its kind is called."""

in_each_language = pytest.mark.parametrize("language", TRANSLATED)


@pytest.fixture(scope="module")
def catalogue_of():
    """The entries of a language's file as they are written, the header aside."""

    def read(language):
        with (LOCALE / language / "LC_MESSAGES" / "axlefit.po").open("rb") as lines:
            catalogue = read_po(lines, locale=language, abort_invalid=True)
        return [message for message in catalogue if message.id], catalogue.obsolete

    return read


def numbers_in(text):
    return Counter(re.findall(r"\d+(?:\.\d+)?", text))


def test_there_is_a_catalogue_for_each_language_and_none_besides():
    assert {path.name for path in LOCALE.iterdir()} == {language.value for language in TRANSLATED}


def test_no_sentence_of_the_english_is_of_a_kind_that_is_not_translated():
    assert {context.partition(".")[0] for context in ENGLISH} == set(KINDS)


@in_each_language
def test_every_code_has_its_sentence_in_the_language_beside_the_english_of_today(catalogue_of, language):
    entries, obsolete = catalogue_of(language)
    assert {entry.context: entry.id for entry in entries} == ENGLISH
    assert not obsolete


@in_each_language
def test_no_entry_is_empty_or_fuzzy_or_still_english(catalogue_of, language):
    entries, _ = catalogue_of(language)
    assert [entry.context for entry in entries if not entry.string or entry.fuzzy] == []
    assert [entry.context for entry in entries if entry.string == entry.id] == []


@in_each_language
def test_a_translation_mentions_what_the_english_mentions(catalogue_of, language):
    for entry in catalogue_of(language)[0]:
        assert mentioned_in(entry.string) == mentioned_in(entry.id), entry.context


@in_each_language
def test_a_translation_has_the_numbers_of_the_english(catalogue_of, language):
    for entry in catalogue_of(language)[0]:
        assert numbers_in(entry.string) == numbers_in(entry.id), entry.context


@in_each_language
def test_a_translation_is_made_of_sentences_where_the_english_is(catalogue_of, language):
    for entry in catalogue_of(language)[0]:
        assert entry.string.endswith(".") == entry.id.endswith("."), entry.context
        if entry.id.endswith("."):
            assert re.match(r"[A-ZÀ-Ý{]", entry.string), entry.context
        assert "  " not in entry.string, entry.context


def test_a_no_break_space_stands_before_every_high_mark_of_the_french(catalogue_of):
    # The French rule for ; : » and «, as the typographic codes of the language have it.
    for entry in catalogue_of(Language.FRENCH)[0]:
        marks = re.findall(r"(.)[;:»]|«(.)", entry.string)
        assert all("\u00a0" in found for found in marks), entry.context


@in_each_language
def test_the_service_says_what_the_catalogue_says(catalogue_of, language):
    said = sentences_in(language)
    for entry in catalogue_of(language)[0]:
        kind, _, code = entry.context.partition(".")
        assert getattr(said, kind)[code] == entry.string


def test_the_service_says_in_english_what_the_modules_say():
    said = sentences_in(Language.ENGLISH)
    assert {f"{kind}.{code}": text for kind in KINDS for code, text in getattr(said, kind).items()} == ENGLISH


@pytest.mark.parametrize("language", Language)
@pytest.mark.parametrize(
    ("probability", "figure", "is_bound"),
    [(1.0, "99.9 %", True), (0.0, "0.1 %", True), (0.5, "50.0 %", False)],
)
def test_a_probability_has_the_same_figure_in_each_language(language, probability, figure, is_bound):
    said = percentage(probability, language=language)
    assert said.endswith(figure)
    assert (said != figure) == is_bound


@pytest.mark.parametrize("language", Language)
def test_a_column_that_is_missing_is_named_as_the_catalogue_names_it(snapshot, language):
    frame = frame_of(LookupRequest(outside_width_mm=34.5, far_wall_mm=6))
    optional = [name for name in AxleRecord.model_fields if name in type(snapshot.engine_axles[0]).__slots__]
    named = set()
    for axle in snapshot.engine_axles:
        for column in optional:
            if column in {"sku", "fastening", "length_tolerance_mm", "offset_mm"}:
                continue
            judgement = judge(replace(axle, **{column: None}), frame, snapshot.facts)
            for reason in judgement.reasons if judgement else ():
                if "{column}" in sentences.REASONS[reason.code]:
                    missing = reason.facts["column"]
                    assert missing in reason_text(reason, language=language)
                    named.add(missing)
    assert named == set(sentences.COLUMNS)
