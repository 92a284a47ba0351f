"""The parts and frames of the catalogue, listed by their columns; the files themselves are the oracle."""

import csv

import pytest

from schemas.browse import AxleListRequest, FrameListRequest
from service.errors import InvalidRequestError, NotInCatalogueError
from service.fitting.browse import list_axles, list_frames, show_axle, show_frame


@pytest.fixture(scope="module")
def rows(seed_data):
    def read(table):
        with (seed_data / f"{table}.csv").open(encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file))

    return read


@pytest.fixture
def listed(snapshot):
    """The SKUs of the axles that meet the conditions, all of them."""

    def fetch(**conditions):
        found, cursor = [], None
        while True:
            page = list_axles(AxleListRequest(**conditions, limit=100, cursor=cursor), snapshot)
            found += [axle.sku for axle in page.items]
            cursor = page.next_cursor
            if cursor is None:
                return found

    return fetch


@pytest.mark.parametrize(
    ("column", "asked", "cell"),
    [
        ("fastening", "two_piece", "two_piece"),
        ("shaft_mm", 6.3, "6.3"),
        ("thread", "M8x1.25", "M8x1.25"),
        ("thread", "M8", "M8x1.25"),  # the coarse pitch goes without saying
        ("drive", "hexalobular_25", "hexalobular_25"),
        ("driven_heads", 2, "2"),
        ("keyed_profile", "larch", "larch"),
        ("brake_thread", "M6x1", "M6x1"),
        ("material", "titanium_6al_4v", "titanium_6al_4v"),
        ("colour", "white", "white"),
    ],
)
def test_axles_are_listed_by(column, asked, cell, listed, rows):
    expected = sorted(row["sku"] for row in rows("axles") if row[column] == cell)
    assert expected
    assert listed(**{column: asked}) == expected


def test_several_conditions_hold_together(listed, rows):
    expected = sorted(
        row["sku"] for row in rows("axles") if (row["colour"], row["fastening"]) == ("black", "two_piece")
    )
    assert listed(colour="black", fastening="two_piece") == expected


@pytest.mark.parametrize("barcode", ["2000000000060", "02000000000060"], ids=["13 digits", "14 digits"])
def test_an_axle_is_found_by_its_barcode_number(listed, barcode):
    assert listed(gtin=barcode) == ["TW8-36-M8-BK"]


@pytest.mark.parametrize(("width", "is_listed"), [(34.9, False), (35.0, True), (36.5, True), (36.6, False)])
def test_an_axle_is_listed_for_the_widths_that_it_serves(listed, width, is_listed):
    # 36 mm long: at most 1 mm proud, and 0.5 mm short while the wall is unknown.
    assert ("TW8-36-M8-BK" in listed(outside_width_mm=width)) is is_listed


def test_an_axle_of_unknown_length_serves_no_width(listed):
    assert "TW8-UNMEASURED" in listed()
    assert "TW8-UNMEASURED" not in listed(outside_width_mm=36)


def test_a_condition_that_nothing_meets_gives_an_empty_list(listed):
    assert listed(colour="purple") == []


def test_a_thread_that_does_not_exist_is_refused_by_field(listed):
    with pytest.raises(InvalidRequestError) as caught:
        listed(thread="M8x9")
    assert [fault.path for fault in caught.value.faults] == [("thread",)]


@pytest.mark.parametrize("fastening", [None, "bolt_and_nut"])
def test_frames_are_listed_by_fastening(snapshot, rows, fastening):
    expected = sorted(row["code"] for row in rows("frames") if fastening in {None, row["fastening"]})
    found = list_frames(FrameListRequest(fastening=fastening), snapshot)
    assert [frame.code for frame in found.items] == expected


def test_a_part_is_shown_with_every_column(snapshot):
    axle = show_axle("TW8-38-M8-BR6", snapshot)
    assert (axle.length_mm, axle.thread, axle.brake_thread) == (38.0, "M8x1.25", "M6x1")
    assert (f"{axle.price:f}", axle.currency, axle.stock) == ("4.10", "EUR", 16)
    assert axle.barrel_mm is None


def test_a_frame_is_shown_with_every_column(snapshot):
    frame = show_frame("QH-BRACKEN", snapshot)
    assert frame.outside_widths_mm == (38.8, 38.3, 37.8, 37.3)
    assert frame.axle_positions_mm == (0.0, 93.0, 186.0, 279.0)


@pytest.mark.parametrize("show", [show_axle, show_frame])
def test_a_key_that_is_not_there_is_said_to_be_missing(snapshot, show):
    with pytest.raises(NotInCatalogueError):
        show("NOTHING", snapshot)
