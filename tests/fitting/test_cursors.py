"""A list is paged by cursors, each bound to its request and to the catalogue's revision."""

import dataclasses
import string

import pytest

from schemas.browse import AxleListRequest, FrameListRequest
from schemas.lookup import LookupRequest
from service.errors import CursorError
from service.fitting.browse import list_axles, list_frames
from service.fitting.cursor import Cursors, cursors_of
from service.fitting.lookup import look_up
from service.settings import Settings

FRAME = {"fastening": "threaded_wall", "outside_width_mm": 36.4, "far_wall_mm": 6}


def pages(first, limit, fetch):
    """All pages of a list, from the first request on."""
    cursor = None
    while True:
        page = fetch(first.model_copy(update={"limit": limit, "cursor": cursor}))
        yield page
        cursor = page.next_cursor
        if cursor is None:
            return


@pytest.fixture
def second_page_cursor(snapshot):
    return look_up(LookupRequest(**FRAME, limit=5), snapshot).next_cursor


@pytest.mark.parametrize("limit", [1, 7, 100])
def test_paging_through_the_fits_gives_each_axle_once_in_rank_order(snapshot, limit):
    whole = look_up(LookupRequest(**FRAME, limit=100), snapshot)
    assert whole.next_cursor is None
    paged = [
        fit
        for page in pages(LookupRequest(**FRAME), limit, lambda request: look_up(request, snapshot))
        for fit in page.fits
    ]
    assert [fit.rank for fit in paged] == list(range(1, len(whole.fits) + 1))
    assert paged == whole.fits


@pytest.mark.parametrize("limit", [9, 50])
def test_paging_through_the_axles_gives_each_once_in_the_order_of_skus(snapshot, limit):
    listed = [
        axle.sku
        for page in pages(AxleListRequest(), limit, lambda request: list_axles(request, snapshot))
        for axle in page.items
    ]
    assert listed == sorted(snapshot.axles)


def test_the_last_page_has_no_cursor(snapshot):
    whole = len(look_up(LookupRequest(**FRAME, limit=100), snapshot).fits)
    assert look_up(LookupRequest(**FRAME, limit=whole), snapshot).next_cursor is None
    assert look_up(LookupRequest(**FRAME, limit=whole - 1), snapshot).next_cursor is not None


def test_a_cursor_goes_on_with_another_page_size(snapshot, second_page_cursor):
    page = look_up(LookupRequest(**FRAME, limit=2, cursor=second_page_cursor), snapshot)
    assert [fit.rank for fit in page.fits] == [6, 7]


@pytest.mark.parametrize(
    "changed",
    [
        {"outside_width_mm": 36.5},
        {"bore_mm": 8},
        {"prefer_colour": "black"},
        {"near_misses": 4},
        {"instrument": "ruler"},
    ],
    ids=str,
)
def test_a_cursor_of_another_request_is_refused(snapshot, second_page_cursor, changed):
    request = LookupRequest(**(FRAME | changed), cursor=second_page_cursor)
    with pytest.raises(CursorError) as caught:
        look_up(request, snapshot)
    assert [fault.path for fault in caught.value.faults] == [("cursor",)]


def test_a_cursor_of_another_revision_is_refused(snapshot, second_page_cursor):
    moved = dataclasses.replace(snapshot, revision=snapshot.revision + 1)
    with pytest.raises(CursorError):
        look_up(LookupRequest(**FRAME, cursor=second_page_cursor), moved)


def test_a_cursor_of_another_list_is_refused(snapshot, second_page_cursor):
    with pytest.raises(CursorError):
        list_axles(AxleListRequest(cursor=second_page_cursor), snapshot)


@pytest.mark.parametrize(
    "junk",
    [
        "A",
        "next",
        "____",
        ".",
        "..",
        "WzUsImEiLCJiIl0",  # [5,"a","b"], not signed
        "WzUsImEiLCJiIl0.",
        "x" * 256,
    ],
)
def test_junk_is_refused_as_a_cursor(snapshot, junk):
    with pytest.raises(CursorError):
        look_up(LookupRequest(**FRAME, cursor=junk), snapshot)


ALPHABET = string.ascii_letters + string.digits + "-_."


def altered_cursors(cursor):
    """The cursor with one character changed, at each place; with one left out, or one more."""
    for place, character in enumerate(cursor):
        for other in {ALPHABET[(ALPHABET.index(character) + step) % len(ALPHABET)] for step in (1, 2, 30)}:
            yield cursor[:place] + other + cursor[place + 1 :]
        yield cursor[:place] + cursor[place + 1 :]
    yield from (cursor + character for character in ALPHABET)


def test_a_cursor_with_any_character_altered_is_refused(snapshot, second_page_cursor):
    # The last character of a text in Base64 has bits that no reader looks at (RFC 4648, 3.5): these too.
    altered = set(altered_cursors(second_page_cursor)) - {second_page_cursor}
    assert len(altered) > 4 * len(second_page_cursor)
    cursors = Cursors("demonstration")
    request = LookupRequest(**FRAME)
    assert cursors.offset_of(second_page_cursor, request=request, snapshot=snapshot) == 5
    for cursor in altered:
        with pytest.raises(CursorError):
            cursors.offset_of(cursor, request=request, snapshot=snapshot)


def test_a_cursor_signed_with_another_secret_is_refused(snapshot):
    request = LookupRequest(**FRAME, limit=5)
    cursor = look_up(request, snapshot, Cursors("one")).next_cursor
    page = request.model_copy(update={"cursor": cursor})
    assert look_up(page, snapshot, Cursors("one")).fits[0].rank == 6
    with pytest.raises(CursorError):
        look_up(page, snapshot, Cursors("other"))


def test_workers_with_the_same_secret_take_each_others_cursors(snapshot):
    own = "the shop's own"
    settings = Settings(cursor_secret=own)
    request = LookupRequest(**FRAME, limit=5)
    cursor = look_up(request, snapshot, cursors_of(settings)).next_cursor
    page = look_up(request.model_copy(update={"cursor": cursor}), snapshot, Cursors(own))
    assert page.fits[0].rank == 6


@pytest.mark.parametrize(
    "change", [{"revision": 2}, {"written_at": "2000-01-01T00:00:00.000+00:00"}], ids=str
)
def test_a_cursor_of_another_state_of_the_catalogue_is_told_to_begin_again(
    snapshot, second_page_cursor, change
):
    # The time tells a revision from one of the same number in a database that was put back.
    assert snapshot.revision == 1
    with pytest.raises(CursorError, match="changed"):
        look_up(LookupRequest(**FRAME, cursor=second_page_cursor), dataclasses.replace(snapshot, **change))


@pytest.mark.parametrize(
    "spelled",
    [{"thread": "M8"}, {"thread": "M8 x 1.25"}, {"thread": "M8X1.25"}, {"far_wall_mm": 6.0}],
    ids=str,
)
def test_a_cursor_goes_on_for_the_same_request_in_another_spelling(snapshot, spelled):
    frame = FRAME | {"thread": "M8x1.25"}
    cursor = look_up(LookupRequest(**frame, limit=5), snapshot).next_cursor
    page = look_up(LookupRequest(**(frame | spelled), cursor=cursor), snapshot)
    assert page.fits[0].rank == 6


def test_a_cursor_of_one_list_is_refused_by_another_with_as_few_conditions(snapshot):
    cursor = list_axles(AxleListRequest(limit=5), snapshot).next_cursor
    with pytest.raises(CursorError):
        list_frames(FrameListRequest(cursor=cursor), snapshot)
