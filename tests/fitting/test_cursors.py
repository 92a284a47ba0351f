"""A list is paged by cursors, each bound to its request and to the catalogue's revision."""

import base64
import dataclasses

import pytest

from schemas.browse import AxleListRequest
from schemas.lookup import LookupRequest
from service.errors import CursorError
from service.fitting.browse import list_axles
from service.fitting.lookup import look_up

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


def encoded(text):
    return base64.urlsafe_b64encode(text.encode("latin-1")).decode().rstrip("=")


@pytest.mark.parametrize(
    "junk",
    [
        "A",
        "next",
        "____",
        encoded("5"),
        encoded("5."),
        encoded("\xff\xfe"),
        encoded("-5.0123456789abcdef"),
        encoded("5.0123456789abcdef"),
        "x" * 256,
    ],
)
def test_junk_is_refused_as_a_cursor(snapshot, junk):
    with pytest.raises(CursorError):
        look_up(LookupRequest(**FRAME, cursor=junk), snapshot)


@pytest.mark.parametrize("place", ["-5", "+5", "5.5", "٥", " 5", ""])
def test_a_cursor_with_another_place_than_a_whole_number_is_refused(snapshot, second_page_cursor, place):
    padded = second_page_cursor + "=" * (-len(second_page_cursor) % 4)
    bound = base64.urlsafe_b64decode(padded).decode().partition(".")[2]
    forged = base64.urlsafe_b64encode(f"{place}.{bound}".encode()).decode().rstrip("=")
    with pytest.raises(CursorError):
        look_up(LookupRequest(**FRAME, cursor=forged), snapshot)
