"""Whole answers are kept in bounded memory, and never longer than the edition that gave them."""

import pytest

from schemas.codes import Language
from service.web.answer_cache import AnswerCache, KeptAnswer

MOST = 80_000


def answer(name, size=1000):
    return KeptAnswer(name, ((b"etag", name.encode()),), b"x" * size)


def asked(name, language=Language.ENGLISH):
    return (name.encode(), language)


@pytest.fixture
def cache():
    """A cache that answers for the first edition."""
    made = AnswerCache(MOST)
    made.of_query(asked("nothing"), "first")
    return made


def test_an_answer_is_found_by_its_query_and_by_its_tag(cache):
    kept = answer("a")
    cache.keep(asked("query"), kept)
    assert cache.of_query(asked("query"), "first") is kept
    assert cache.of_tag("a") is kept
    assert cache.of_query(asked("another"), "first") is None


def test_a_query_in_another_language_is_another(cache):
    cache.keep(asked("query"), answer("a"))
    assert cache.of_query(asked("query", Language.GERMAN), "first") is None


def test_nothing_of_another_edition_is_found(cache):
    cache.keep(asked("query"), answer("a"))
    assert cache.of_query(asked("query"), "second") is None
    assert cache.of_query(asked("query"), "first") is None
    assert len(cache) == cache.bytes == 0


def test_what_is_kept_never_takes_more_than_it_may(cache):
    for number in range(300):
        cache.keep(asked(f"query {number}"), answer(str(number)))
        assert cache.bytes <= MOST
    assert len(cache) > 20


def test_many_spellings_of_one_request_take_no_more_than_they_may(cache):
    for number in range(2000):
        cache.keep(asked("0" * number), answer("a"))
        assert cache.bytes <= MOST
    assert cache.of_tag("a") is not None


def test_what_was_asked_for_longest_ago_goes_first(cache):
    cache.keep(asked("old"), answer("old", MOST // 4))
    cache.keep(asked("new"), answer("new", MOST // 4))
    assert cache.of_query(asked("old"), "first") is not None  # and is the newer one now
    cache.keep(asked("third"), answer("third", MOST // 2))
    assert cache.of_query(asked("new"), "first") is None
    assert cache.of_query(asked("old"), "first") is not None


def test_an_answer_that_is_larger_than_all_is_not_kept(cache):
    cache.keep(asked("query"), answer("a", 2 * MOST))
    assert cache.of_query(asked("query"), "first") is None
    assert cache.bytes <= MOST


def test_a_cache_without_room_keeps_nothing():
    none = AnswerCache(0)
    none.of_query(asked("query"), "first")
    none.keep(asked("query"), answer("a"))
    assert none.of_query(asked("query"), "first") is None
    assert none.bytes == 0
