"""Ready answers are, byte for byte, what the plain lookup answers, which judges every part by itself."""

# ruff: noqa: S311 (draws examples, guards nothing)

import random
from itertools import islice

import pytest
from pydantic import ValidationError

from schemas.codes import Language
from schemas.lookup import LookupRequest
from schemas.parts import AxleRecord
from service.catalogue.snapshot import Snapshot
from service.errors import CursorError, InvalidRequestError
from service.fitting.answer_bytes import answer_bytes, ready, ready_answer
from service.fitting.lookup import look_up, look_up_part_by_part
from tests.fitting.random_lookups import LANGUAGES, random_lookup, snapshot_of, twisted

LOOKUPS = 1000
PAGES = 3


def asked(drawn):
    """Lookups without end; what no request may say is passed over."""
    while True:
        try:
            yield LookupRequest(**random_lookup(drawn))
        except ValidationError:
            continue


def outcome_of(answer, request, snapshot, language):
    """The bytes of an answer, or what is said instead of one."""
    try:
        return answer(request, snapshot, language=language)
    except InvalidRequestError as error:
        return str(error).encode()


def slow(request, snapshot, language):
    return look_up_part_by_part(request, snapshot, language=language).model_dump_json().encode()


def pages(request, snapshot, language, drawn):
    """The request, and those that its cursors lead to, with other limits."""
    for _ in range(PAGES):
        yield request
        answer = look_up_part_by_part(request, snapshot, language=language)
        if answer.next_cursor is None:
            return
        update = {"cursor": answer.next_cursor, "limit": drawn.choice([1, 4, 60])}
        request = request.model_copy(update=update)


@pytest.fixture(scope="module")
def catalogues():
    """Catalogues of hardly any part, of some, and of parts that nobody would make."""
    return [
        Snapshot(revision=0, axles={}, frames={}, sleeves={}),
        snapshot_of(1, 1),
        snapshot_of(40, 2),
        snapshot_of(120, 3),
        snapshot_of(120, 4, changed=twisted(random.Random(4))),
    ]


@pytest.mark.parametrize("round_of", range(4))
def test_a_thousand_random_lookups_are_answered_with_the_same_bytes(catalogues, snapshot, round_of):
    drawn = random.Random(20_261 + round_of)
    for request in islice(asked(drawn), LOOKUPS // 4):
        catalogue, language = drawn.choice([*catalogues, snapshot]), drawn.choice(LANGUAGES)
        made = outcome_of(answer_bytes, request, catalogue, language)
        assert made == outcome_of(slow, request, catalogue, language), request.model_dump(
            exclude_defaults=True
        )


def test_each_page_of_a_list_has_the_same_bytes(catalogues, snapshot):
    drawn = random.Random(7)
    further = 0
    for fields in islice(asked(drawn), 120):
        request = fields.model_copy(update={"limit": 2, "thread": None, "inside_width_mm": None})
        catalogue = drawn.choice([*catalogues[-2:], snapshot])
        for number, page in enumerate(pages(request, catalogue, Language.GERMAN, drawn)):
            further += number > 0
            made = answer_bytes(page, catalogue, language=Language.GERMAN)
            assert made == slow(page, catalogue, Language.GERMAN)
    assert further > 20


@pytest.mark.parametrize("beyond_mm", [-1e-9, -1e-12, 0.0, 1e-12, 1e-9, 1e-7])
def test_widths_on_the_limits_of_windows_and_cautions_have_the_same_bytes(snapshot, beyond_mm):
    # An axle of 36 mm: 1 mm proud at 35, half a millimetre at 35.5; at 37.9 a wall of 6 mm takes just enough.
    for width in (35.0, 35.5, 36.0, 36.95, 37.9, 38.0):
        request = LookupRequest(
            fastening="threaded_wall", outside_width_mm=width + beyond_mm, far_wall_mm=6, bore_mm=8, limit=30
        )
        assert answer_bytes(request, snapshot) == slow(request, snapshot, Language.ENGLISH)


def test_what_a_plan_knows_of_one_frame_is_not_said_of_another(snapshot):
    # The masses lie on both sides of what a shaft of 8 mm bears, and of an adult's; each is asked for twice.
    for mass in (25, 59.9, 60, 80, 80.5, 81, 120, 240) * 2:
        request = LookupRequest(outside_width_mm=36.4, rider_mass_kg=mass, limit=100)
        assert answer_bytes(request, snapshot) == slow(request, snapshot, Language.ENGLISH)


def test_a_page_far_into_a_list_of_many_alike_has_the_same_bytes():
    columns = {"fastening": "threaded_wall", "shaft_mm": 8, "length_mm": 36, "thread": "M8x1.25"}
    axles = [
        AxleRecord(
            sku=f"A{n:03}", name="An axle", colour=colour, drive=drive, price=n % 7, currency="EUR", **columns
        )
        for n in range(150)
        for colour, drive in [("black" if n % 3 else "white", "slot" if n % 5 else None)]
    ]
    snapshot = Snapshot(revision=1, axles={axle.sku: axle for axle in axles}, frames={}, sleeves={})
    request = LookupRequest(outside_width_mm=36.4, limit=60, prefer_colour="white", prefer_drive="slot")
    for page in pages(request, snapshot, Language.ENGLISH, random.Random(1)):
        assert answer_bytes(page, snapshot) == slow(page, snapshot, Language.ENGLISH)


def test_a_cursor_of_another_request_is_refused_as_the_plain_lookup_refuses_it(snapshot):
    cursor = ready_answer(LookupRequest(outside_width_mm=36.4, limit=2), snapshot).next_cursor
    request = LookupRequest(outside_width_mm=36.5, limit=2, cursor=cursor)
    with pytest.raises(CursorError):
        answer_bytes(request, snapshot)


def test_links_stand_where_the_model_has_them(snapshot):
    request = LookupRequest(outside_width_mm=36.4, limit=2)
    answer = look_up_part_by_part(request, snapshot)
    linked = answer.model_copy(update={"links": {"first": "/a", "next": None}})
    made = ready_answer(request, snapshot)
    assert made.with_links(b'{"first":"/a","next":null}') == linked.model_dump_json(warnings=False).encode()
    assert made == ready(answer)
    assert look_up(request, snapshot) == answer
