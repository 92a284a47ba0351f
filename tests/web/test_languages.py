"""The language of an answer over HTTP: Accept-Language in, Content-Language and Vary out."""

import pytest

from schemas.codes import Language

LOOKUP = {"outside_width_mm": 36.4, "fastening": "threaded_wall", "bore_mm": 8, "far_wall_mm": 6}
SENTENCES = {"text", "would_fit_if"}
WORDED = (
    "FitsResponse",
    "KitResponse",
    "IdentifyResponse",
    "EquivalentsResponse",
    "AxleFramesResponse",
    "RockersResponse",
    "MeasuringGuideResponse",
    "ToolsGuideResponse",
)
"""The answers that hold sentences."""


def without_sentences(answer):
    if isinstance(answer, dict):
        return {name: without_sentences(value) for name, value in answer.items() if name not in SENTENCES}
    return [without_sentences(value) for value in answer] if isinstance(answer, list) else answer


def sentences_of(answer):
    if isinstance(answer, dict):
        for name, value in answer.items():
            yield from [value] if name in SENTENCES else sentences_of(value)
    elif isinstance(answer, list):
        for value in answer:
            yield from sentences_of(value)


@pytest.fixture(params=["get", "post", "known frame"])
def look_up(client, request):
    """A lookup by each of the routes that answer in sentences, with header lines of the test's."""

    def send(*accepted):
        headers = [("Accept-Language", line) for line in accepted]
        if request.param == "get":
            return client.get("/v1/fits", params=LOOKUP, headers=headers)
        if request.param == "post":
            return client.post("/v1/fits", json=LOOKUP, headers=headers)
        return client.get("/v1/frames/QH-HEATHER/fits", headers=headers)

    return send


@pytest.fixture
def language_for(client):
    """The language of the answer to header lines, as the answer says it."""

    def ask(*accepted):
        headers = [("Accept-Language", line) for line in accepted]
        answer = client.get("/v1/fits?outside_width_mm=36.4", headers=headers)
        assert answer.status_code == 200
        return answer.headers["content-language"]

    return ask


@pytest.mark.parametrize("language", [language.value for language in Language if language != "en"])
def test_every_language_answers_with_the_same_codes_and_numbers_in_other_words(look_up, language):
    english, translated = look_up("en"), look_up(language)
    assert english.status_code == translated.status_code == 200
    assert without_sentences(english.json()) == without_sentences(translated.json())
    said = set(sentences_of(english.json()))
    assert len(said) > 10
    assert said.isdisjoint(sentences_of(translated.json()))


@pytest.mark.parametrize("language", [language.value for language in Language])
def test_the_answer_says_its_language_and_that_it_depends_on_the_header(look_up, language):
    answer = look_up(language)
    assert answer.headers["content-language"] == language  # RFC 9110, 8.5
    assert "accept-language" in answer.headers["vary"].lower().split(", ")  # RFC 9110, 12.5.5


def test_the_header_may_be_left_out(client):
    # httpx sends no Accept-Language of its own.
    answer = client.get("/v1/fits?outside_width_mm=36.4")
    assert "accept-language" not in answer.request.headers
    assert answer.headers["content-language"] == "en"
    assert "accept-language" in answer.headers["vary"].lower()


@pytest.mark.parametrize(
    ("accepted", "language"),
    [
        ("de-AT", "de"),  # RFC 4647, 3.4: the range is cut from its end until something matches
        ("de-CH-1996", "de"),
        ("FR-be", "fr"),  # RFC 4647, 2: case does not matter
        ("fr;q=0.4, it;q=0.8", "it"),  # RFC 9110, 12.4.2: the greater weight goes first
        ("nl;q=0.001", "nl"),
        ("es, it", "es"),  # of equals, the first
        ("de-AT, en;q=0.9", "de"),  # the greater weight, though English matches to the letter
        ("en-GB, de;q=0.9", "en"),
        ("zh-Hant-TW, pt;q=0.9, nl;q=0.1", "nl"),
        ("de;q=0, fr;q=0.1", "fr"),  # RFC 9110, 12.4.2: 0 is not acceptable
        ("de-AT, de;q=0", "en"),
        ("en;q=0, de;q=0.1", "de"),
        ("*", "en"),  # RFC 4647, 3.4: the range for anything leads to the default
        ("*, es;q=0.1", "es"),  # RFC 4647, 3.4: and is skipped if others follow
        ("pt-BR", "en"),
        ("en;q=0", "en"),  # RFC 9110, 12.5.4: the header may be disregarded where nothing suits
        ("ende", "en"),  # no prefix of a word, but of subtags
    ],
)
def test_the_language_is_the_best_of_those_asked_for(language_for, accepted, language):
    assert language_for(accepted) == language


def test_several_header_lines_are_one_list(language_for):
    # RFC 9110, 5.3
    assert language_for("zh", "it;q=0.3", "nl;q=0.4") == "nl"


@pytest.mark.parametrize(
    "junk",
    ["", " ", ",", ";", "de;q=2", "de;q=x", "de;;q=1", "de_DE", "dé".encode("cp1252"), "de fr", "q=1", "-de"],
)
def test_a_header_that_is_junk_means_english(language_for, junk):
    assert language_for(junk) == "en"


def test_a_header_longer_than_any_list_of_languages_is_junk(language_for):
    def of_length(characters):
        return "de" + ", zh;q=0.1" * 99 + "," * (characters - 2 - 99 * len(", zh;q=0.1"))

    assert language_for(of_length(1000)) == "de"
    assert language_for(of_length(1001)) == "en"


def test_the_description_names_the_header_where_the_answer_has_sentences(client):
    paths = client.get("/openapi.json").json()["paths"]
    worded = {
        (path, method)
        for path, operations in paths.items()
        for method, operation in operations.items()
        if any(parameter["name"] == "Accept-Language" for parameter in operation.get("parameters", []))
    }
    answering = {
        (path, method)
        for path, operations in paths.items()
        for method, operation in operations.items()
        if any(name in str(operation["responses"].get("200")) for name in (*WORDED, "image/svg+xml"))
    }
    assert answering
    assert worded == answering | {("/v1/fits/batch", "post")}  # lines, whose answers are the same
    for path, method in worded:
        headers = paths[path][method]["responses"]["200"]["headers"]
        assert headers["Content-Language"]["schema"]["enum"] == [language.value for language in Language]
