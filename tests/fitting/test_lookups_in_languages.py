"""One lookup in six languages: the same codes, numbers and verdicts, in other words."""

import random
import re
from collections import Counter

import pytest

from schemas.codes import Language
from schemas.lookup import FrameLookupRequest, LookupRequest
from service.engine.codes import Check
from service.fitting.known_frames import look_up_frame
from service.fitting.lookup import look_up
from service.fitting.sentences import REMARKS

TRANSLATED = [language for language in Language if language is not Language.ENGLISH]
SENTENCES = {"text", "would_fit_if"}
CHOICES = {
    "fastening": ["threaded_wall", "two_piece", "bolt_and_nut"],
    "instrument": ["calliper", "ruler", "tape", "declared"],
    "bore_mm": [8, 6.3, 6, 7.96, 6.15, 7],
    "thread": ["M8x1.25", "M8x1", "M6x1"],
    "recess_mm": [0.5, 2, 6],
    "keyed_profile": ["larch", "rowan", "none"],
    "keys_needed": [1, 2],
    "position": ["brake"],
    "rider_mass_kg": [32.5, 59.9, 81],
    "child": [True],
    "hub_width_mm": [24, 25.25, 30],
    "holes": ["round", "oval"],
    "near_misses": [20],
}
WALLS = {"inside_width_mm": [23.5, 24.4, 26], "head_wall_mm": [4.5, 6], "far_wall_mm": [3, 4.5, 6.25]}


def lookups(count):
    """Lookups as shops ask them, each field known or not; the same on every machine."""
    drawn = random.Random(9110)  # noqa: S311 (draws examples, guards nothing)
    for _ in range(count):
        fields = {name: drawn.choice(some) for name, some in CHOICES.items() if drawn.random() < 0.4}
        fields |= {name: drawn.choice(some) for name, some in WALLS.items() if drawn.random() < 0.6}
        fields["outside_width_mm"] = round(drawn.uniform(30, 50), 2)
        if fields.get("holes") == "oval" and drawn.random() < 0.7:
            fields["hole_offset_mm"] = drawn.choice([0.75, 1])
        if "position" in fields and drawn.random() < 0.5:
            fields["brake_thread"] = drawn.choice(["M6x1", "M8x1.25"])
        yield LookupRequest(**fields)


def without_sentences(answer):
    if isinstance(answer, dict):
        return {name: without_sentences(value) for name, value in answer.items() if name not in SENTENCES}
    return [without_sentences(value) for value in answer] if isinstance(answer, list) else answer


def sentences_of(answer):
    """Every sentence of the answer, in the answer's order."""
    if isinstance(answer, dict):
        for name, value in answer.items():
            yield from [value] if name in SENTENCES else sentences_of(value)
    elif isinstance(answer, list):
        for value in answer:
            yield from sentences_of(value)


def numbers_in(text):
    return Counter(re.findall(r"\d+(?:\.\d+)?", text))


@pytest.fixture(scope="module")
def answers(snapshot):
    """Many lookups of the demonstration catalogue, each in every language."""
    return [
        {language: look_up(request, snapshot, language=language).model_dump() for language in Language}
        for request in lookups(60)
    ]


def test_the_lookups_meet_every_check(answers):
    fits = [fit for answer in answers for fit in answer[Language.ENGLISH]["fits"]]
    misses = [miss for answer in answers for miss in answer[Language.ENGLISH]["near_misses"]]
    notes = [note for answer in answers for note in answer[Language.ENGLISH]["frame"]["notes"]]
    met = {reason["check"] for found in [*fits, *misses] for reason in found["reasons"]}
    assert met | {note["check"] for note in notes} == {check.value for check in Check}
    assert any(fit["also_needed"] for fit in fits)


@pytest.mark.parametrize("language", TRANSLATED)
def test_codes_numbers_and_verdicts_are_the_same_in_every_language(answers, language):
    for answer in answers:
        assert without_sentences(answer[language]) == without_sentences(answer[Language.ENGLISH])


@pytest.mark.parametrize("language", TRANSLATED)
def test_a_sentence_has_the_same_numbers_in_every_language(answers, language):
    for answer in answers:
        pairs = zip(sentences_of(answer[Language.ENGLISH]), sentences_of(answer[language]), strict=True)
        for english, translated in pairs:
            assert numbers_in(translated) == numbers_in(english), (english, translated)


@pytest.mark.parametrize("language", TRANSLATED)
def test_no_sentence_of_an_answer_stays_english(answers, language):
    for answer in answers:
        english = set(sentences_of(answer[Language.ENGLISH]))
        assert english
        assert english.isdisjoint(sentences_of(answer[language]))


@pytest.mark.parametrize("language", TRANSLATED)
def test_a_remark_within_a_text_is_in_its_language_too(answers, language):
    said = {text for answer in answers for text in sentences_of(answer[language])}
    english = {text for answer in answers for text in sentences_of(answer[Language.ENGLISH])}
    for remark in REMARKS.values():
        assert any(remark in text for text in english)
        assert not any(remark in text for text in said)


def test_english_is_what_nobody_asked_another_language_of(snapshot):
    request = LookupRequest(outside_width_mm=36.4)
    assert look_up(request, snapshot) == look_up(request, snapshot, language=Language.ENGLISH)


def test_a_known_frame_is_answered_in_the_language_too(snapshot):
    request = FrameLookupRequest()
    english, dutch = (
        look_up_frame("QH-HEATHER", request, snapshot, language=language).model_dump()
        for language in (Language.ENGLISH, Language.DUTCH)
    )
    assert without_sentences(english) == without_sentences(dutch)
    assert set(sentences_of(english)).isdisjoint(sentences_of(dutch))


def test_a_cursor_of_one_language_goes_on_in_another(snapshot):
    first = look_up(LookupRequest(outside_width_mm=36.4, limit=2), snapshot, language=Language.FRENCH)
    request = LookupRequest(outside_width_mm=36.4, limit=2, cursor=first.next_cursor)
    second = look_up(request, snapshot, language=Language.ITALIAN)
    assert [fit.rank for fit in second.fits] == [3, 4]


# Worded by hand beside the English, with the trade's words.
@pytest.mark.parametrize(
    ("language", "said"),
    [
        (
            Language.GERMAN,
            "Befestigungsart der Achse ist „Gewinde in der Wand“, dieselbe wie bei der Schiene.",
        ),
        (
            Language.FRENCH,
            "fixation de l'axe est du type «\u00a0paroi taraudée\u00a0», comme celle de la platine.",
        ),
        (Language.DUTCH, "bevestiging van de as is ‘wand met schroefdraad’, net als die van het frame."),
        (Language.SPANISH, "fijación del eje es «pared roscada», igual que la de la guía."),
        (Language.ITALIAN, "fissaggio del perno è «parete filettata», come quello del telaio."),
    ],
)
def test_the_fastening_in_a_sentence_is_named_in_its_language(snapshot, language, said):
    request = LookupRequest(outside_width_mm=36.4, fastening="threaded_wall", bore_mm=8)
    answer = look_up(request, snapshot, language=language).model_dump()
    assert any(sentence.endswith(said) for sentence in sentences_of(answer))
