"""The demonstration catalogue shows the whole trade, and everything in it is invented."""

import csv
from collections import Counter

import pytest
from stdnum import ean


@pytest.fixture(scope="module")
def rows(seed_data):
    """The rows of a table's file as text."""

    def read(table):
        with (seed_data / f"{table}.csv").open(encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file))

    return read


def families(drives):
    """The kinds of drives without their sizes."""
    return {drive.rstrip("0123456789").removesuffix("_h").removesuffix("_") for drive in drives if drive}


def test_there_are_at_least_150_axles_40_frames_and_10_sleeves(rows):
    assert len(rows("axles")) >= 150
    assert len(rows("frames")) >= 40
    assert len(rows("sleeves")) >= 10


@pytest.mark.parametrize(
    ("column", "values"),
    [
        ("fastening", {"threaded_wall", "two_piece", "bolt_and_nut"}),
        ("shaft_mm", {"8", "6.3", "6"}),
        ("keyed_profile", {"none", "larch", "rowan", "hazel"}),
        ("driven_heads", {"1", "2"}),
        ("colour", {"black", "silver", "white"}),
        (
            "material",
            {"steel_8_8", "steel_12_9", "stainless_a2_70", "aluminium_7075_t6", "titanium_6al_4v"},
        ),
    ],
)
def test_the_axles_are_of_every(column, values, rows):
    assert values <= {axle[column] for axle in rows("axles")}


def test_every_family_of_drives_is_there(rows):
    drives = families(axle["drive"] for axle in rows("axles"))
    assert drives == {"hexagon", "hexalobular", "cross", "slot", "external_hexagon"}


def test_threaded_wall_axles_are_30_to_50_mm_long(rows):
    lengths = {
        float(axle["length_mm"])
        for axle in rows("axles")
        if axle["fastening"] == "threaded_wall" and axle["length_mm"]
    }
    assert (min(lengths), max(lengths)) == (30.0, 50.0)
    assert {34.0, 35.0, 36.0, 37.0, 38.0, 40.0} <= lengths


@pytest.mark.parametrize(
    "is_so",
    [
        pytest.param(lambda axle: float(axle["offset_mm"] or 0) > 0, id="an offset"),
        pytest.param(lambda axle: axle["brake_thread"], id="a thread for the brake"),
        pytest.param(lambda axle: axle["stock"] == "0", id="no stock"),
        pytest.param(lambda axle: int(axle["stock"] or 0) > 0, id="stock"),
        pytest.param(lambda axle: not axle["shaft_mm"], id="no stated thickness"),
        pytest.param(lambda axle: not axle["thread"], id="no stated thread"),
        pytest.param(lambda axle: not axle["price"], id="no stated price"),
        pytest.param(
            lambda axle: not (axle["length_mm"] or axle["barrel_mm"] or axle["grip_min_mm"]),
            id="no length of any kind",
        ),
    ],
)
def test_there_are_axles_with(is_so, rows):
    assert any(is_so(axle) for axle in rows("axles"))


def test_there_are_packs_of_several_sizes(rows):
    assert len({axle["pack_quantity"] for axle in rows("axles")}) >= 3


def test_some_frames_taper(rows):
    tapering = [frame for frame in rows("frames") if len(set(frame["outside_widths_mm"].split(";"))) > 1]
    assert len(tapering) >= 2


def test_some_frames_have_a_brake_and_some_oval_holes(rows):
    assert any(frame["brake_position"] for frame in rows("frames"))
    assert any(frame["holes"] == "oval" for frame in rows("frames"))


@pytest.mark.parametrize("table", ["axles", "sleeves"])
def test_every_barcode_number_has_the_right_check_digit(table, rows):
    numbers = [part["gtin"] for part in rows(table) if part["gtin"]]
    assert numbers
    assert [number for number in numbers if not ean.is_valid(number)] == []


def test_no_barcode_number_stands_twice(rows):
    numbers = Counter(part["gtin"] for table in ("axles", "sleeves") for part in rows(table))
    assert [number for number, count in numbers.items() if number and count > 1] == []


def test_barcode_numbers_are_of_the_range_for_use_inside_a_shop(rows):
    # GS1: prefixes 20 to 29 are for restricted circulation within a company or region.
    numbers = [part["gtin"] for table in ("axles", "sleeves") for part in rows(table) if part["gtin"]]
    assert {number[0] for number in numbers} == {"2"}


def test_every_frame_says_that_it_is_invented_and_the_readme_says_it_of_all(rows, seed_data):
    assert [frame["name"] for frame in rows("frames") if "invented" not in frame["name"]] == []
    assert "Everything here is invented" in (seed_data / "README.md").read_text(encoding="utf-8")
