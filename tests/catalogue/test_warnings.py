"""`check` lists what a row of the catalogue cannot be right about, or leaves open."""

import pytest

from schemas.parts import AxleRecord, SleeveRecord
from service.catalogue.snapshot import Snapshot
from service.catalogue.warnings import data_warnings

# A two-piece axle of M6x1. The screw bottoms at a grip of 30 + 14 - 1 - 11 = 32 mm; two pitches, the least
# engagement that counts, are left at 30 + 14 - 1 - 2 = 41 mm.
TWO_PIECE = {
    "fastening": "two_piece",
    "shaft_mm": 8.0,
    "barrel_mm": 30.0,
    "barrel_mouth_mm": 1.0,
    "barrel_thread_mm": 11.0,
    "screw_mm": 14.0,
    "thread": "M6x1",
    "material": "steel_10_9",
}
THREADED = {"fastening": "threaded_wall", "length_mm": 36.0, "thread": "M8x1.25"}
BOLT = {"fastening": "bolt_and_nut", "length_mm": 45.0, "nut_height_mm": 5.2, "thread": "M6x1"}
SLEEVE = {"inner_mm": 6.0, "outer_mm": 8.0, "length_mm": 24.0}


def axle(sku="A", **fields):
    return AxleRecord(sku=sku, name="An axle", **(TWO_PIECE | fields))


def sleeve(sku="S", **fields):
    return SleeveRecord(sku=sku, name="A sleeve", **(SLEEVE | fields))


def warnings_of(*parts):
    """Each warning as SKU and code."""
    axles = {part.sku: part for part in parts if isinstance(part, AxleRecord)}
    sleeves = {part.sku: part for part in parts if isinstance(part, SleeveRecord)}
    found = data_warnings(Snapshot(revision=1, axles=axles, frames={}, sleeves=sleeves))
    return [(warning.sku, warning.code) for warning in found]


def texts_of(*parts):
    snapshot = Snapshot(revision=1, axles={part.sku: part for part in parts}, frames={}, sleeves={})
    return [warning.text for warning in data_warnings(snapshot)]


@pytest.mark.parametrize("fields", [TWO_PIECE, THREADED, BOLT], ids=lambda fields: fields["fastening"])
def test_a_part_of_which_all_is_known_has_no_warning(fields):
    assert warnings_of(AxleRecord(sku="A", name="An axle", **fields), sleeve()) == []


@pytest.mark.parametrize(
    ("fields", "missing"),
    [
        (THREADED, ["length_mm"]),
        (BOLT, ["length_mm"]),
        (BOLT, ["nut_height_mm"]),
        (TWO_PIECE, ["barrel_mm"]),
        (TWO_PIECE, ["barrel_mouth_mm", "screw_mm"]),
    ],
    ids=str,
)
def test_an_axle_whose_window_cannot_be_computed_is_told_with_what_is_missing(fields, missing):
    left = {name: value for name, value in fields.items() if name not in missing}
    part = AxleRecord(sku="A", name="An axle", **left)
    assert warnings_of(part) == [("A", "no_width_window")]
    assert [name for name in missing if name in texts_of(part)[0]] == missing


def test_a_stated_grip_is_enough_for_a_window():
    left = {name: value for name, value in TWO_PIECE.items() if name != "barrel_mm"}
    part = AxleRecord(sku="A", name="An axle", **left, grip_min_mm=32.0, grip_max_mm=41.0)
    assert warnings_of(part) == []


# A stated end may reach 0.1 mm farther than the axle's own lengths allow.
@pytest.mark.parametrize(
    ("grip_min_mm", "grip_max_mm", "codes"),
    [
        (32.0, 41.0, []),
        (33.0, 40.0, []),
        (31.901, 41.099, []),
        (31.9, 41.1, []),
        (31.899, 41.0, ["stated_grip_too_wide"]),
        (32.0, 41.101, ["stated_grip_too_wide"]),
        (None, 41.101, ["stated_grip_too_wide"]),
        (31.899, None, ["stated_grip_too_wide"]),
        (None, 41.0, []),
    ],
)
def test_a_stated_grip_wider_than_the_lengths_allow_is_told(grip_min_mm, grip_max_mm, codes):
    found = warnings_of(axle(grip_min_mm=grip_min_mm, grip_max_mm=grip_max_mm))
    assert [code for _, code in found] == codes


def test_how_far_a_stated_grip_reaches_outside_is_told():
    assert "1.50 mm" in texts_of(axle(grip_min_mm=30.5, grip_max_mm=41.2))[0]  # 32 - 30.5, more than 0.2


# GS1 General Specifications, 7.9 (from memory): from the right, the digits before the check digit count 3, 1,
# 3, 1 …, and the check digit makes the sum a multiple of 10. A 2 that counts 1 needs an 8, one that counts 3
# a 4; 6291041500213 is an example of GS1's own.
@pytest.mark.parametrize(
    "gtin", ["20000004", "200000000004", "2000000000008", "20000000000004", "6291041500213"]
)
def test_a_gtin_with_its_right_check_digit_has_no_warning(gtin):
    assert warnings_of(axle(gtin=gtin)) == []


@pytest.mark.parametrize("gtin", ["20000005", "200000000008", "2000000000004", "20000000000008"])
def test_a_gtin_with_another_check_digit_is_told(gtin):
    assert warnings_of(axle(gtin=gtin), sleeve(gtin=f"{gtin[:-2]}1{gtin[-1]}"))[0] == (
        "A",
        "gtin_check_digit",
    )


def test_a_sleeve_with_a_wrong_gtin_and_no_price_is_told_too():
    part = sleeve(gtin="2000000000004", price="0.00", currency="EUR")
    assert warnings_of(part) == [("S", "gtin_check_digit"), ("S", "price_of_zero")]


def test_a_thread_that_is_not_known_is_told():
    assert warnings_of(AxleRecord(sku="A", name="An axle", fastening="threaded_wall", length_mm=36.0)) == [
        ("A", "thread_not_known")
    ]


# ISO 262 selects M6x1, M8x1.25 and M8x1; M8x0.75 is of ISO 261 alone.
@pytest.mark.parametrize(
    ("thread", "codes"), [("M6x1", []), ("M8x1.25", []), ("M8x1", []), ("M8x0.75", ["thread_unusual"])]
)
def test_a_thread_that_no_screw_is_selected_with_is_told(thread, codes):
    assert [code for _, code in warnings_of(axle(thread=thread))] == codes


@pytest.mark.parametrize(("price", "codes"), [("0", ["price_of_zero"]), ("0.01", []), (None, [])])
def test_a_price_of_zero_is_told(price, codes):
    part = axle(price=price, currency=price and "EUR")
    assert [code for _, code in warnings_of(part)] == codes


def test_the_second_of_two_axles_that_are_the_same_is_told_with_the_first():
    assert warnings_of(axle("A"), axle("B")) == [("B", "twin")]
    assert "A" in texts_of(axle("A"), axle("B"))[0]


@pytest.mark.parametrize(
    "fields",
    [{"gtin": "20000004"}, {"price": "4.90", "currency": "EUR"}, {"stock": 3}],
    ids=str,
)
def test_axles_that_differ_in_what_the_shop_says_alone_are_twins(fields):
    assert warnings_of(axle("A"), axle("B", **fields)) == [("B", "twin")]


@pytest.mark.parametrize(
    "fields", [{"screw_mm": 14.001}, {"colour": "black"}, {"pack_quantity": 8}, {"driven_heads": 2}], ids=str
)
def test_axles_that_differ_for_the_customer_are_no_twins(fields):
    assert warnings_of(axle("A"), axle("B", **fields)) == []


# GS1: a shorter GTIN is the longer one with zeros before it.
@pytest.mark.parametrize("gtin", ["2000000000008", "02000000000008"])
def test_the_second_part_with_the_gtin_of_another_is_told(gtin):
    assert warnings_of(axle(gtin="2000000000008"), sleeve(gtin=gtin)) == [("S", "gtin_twice")]


def test_all_warnings_are_told_by_sku():
    found = warnings_of(
        axle("B", thread="M8x0.75", price="0", currency="EUR"), axle("A", price="0", currency="EUR")
    )
    assert found == [("A", "price_of_zero"), ("B", "price_of_zero"), ("B", "thread_unusual")]


def test_the_demonstration_has_gaps_on_purpose_and_they_are_told(snapshot):
    told = {warning.sku for warning in data_warnings(snapshot)}
    assert {"TW8-UNMEASURED", "TP8-33-NOMOUTH", "BN8-48-NONUT"} <= told
