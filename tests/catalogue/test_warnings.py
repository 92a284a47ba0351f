"""The data warnings of `check`: what a part's row cannot be right about, or leaves open."""

import pytest

from schemas.parts import AxleRecord, SleeveRecord
from service.catalogue.snapshot import Snapshot
from service.catalogue.warnings import data_warnings

BARREL = {
    "fastening": "two_piece",
    "barrel_mm": 30.0,
    "barrel_mouth_mm": 1.0,
    "barrel_thread_mm": 11.0,
    "screw_mm": 14.0,
    "thread": "M6x1",
    "material": "steel_8_8",
}
"""A two-piece axle that its lengths let grip 32.0 to 41.0 mm."""


def axle(sku="A", **columns):
    usual = {"fastening": "threaded_wall", "length_mm": 36.0, "thread": "M8x1.25", "name": f"Axle {sku}"}
    return AxleRecord(sku=sku, **(usual | columns))


def warned(*axles, sleeves=()):
    snapshot = Snapshot(
        revision=1,
        axles={record.sku: record for record in axles},
        frames={},
        sleeves={record.sku: record for record in sleeves},
    )
    return [(warning.sku, warning.code) for warning in data_warnings(snapshot)]


def test_a_part_that_is_in_order_has_no_warning():
    assert warned(axle(gtin="6291041500213", price="2.40", currency="EUR")) == []


def test_a_part_without_a_width_window_is_never_listed_and_says_what_is_missing():
    part = axle(length_mm=None)
    assert warned(part) == [("A", "no_width_window")]
    [warning] = data_warnings(Snapshot(revision=1, axles={"A": part}, frames={}, sleeves={}))
    assert "length_mm" in warning.text


@pytest.mark.parametrize(
    ("lower", "upper", "wide"),
    [(32.0, 41.0, False), (31.9, 41.1, False), (31.8, 41.0, True), (32.0, 41.2, True), (None, 42.0, True)],
)
def test_a_stated_grip_may_reach_a_tenth_beyond_what_the_lengths_allow(lower, upper, wide):
    part = axle(**(BARREL | {"length_mm": None, "grip_min_mm": lower, "grip_max_mm": upper}))
    assert (("A", "stated_grip_too_wide") in warned(part)) is wide


@pytest.mark.parametrize(("gtin", "wrong"), [("6291041500213", False), ("6291041500214", True)])
def test_a_wrong_check_digit_is_told(gtin, wrong):
    # GS1's own example: 629104150021 has the check digit 3.
    assert (("A", "gtin_check_digit") in warned(axle(gtin=gtin))) is wrong


def test_a_thread_that_is_not_known_is_told():
    assert ("A", "thread_not_known") in warned(axle(thread=None))


@pytest.mark.parametrize(("thread", "unusual"), [("M8x1.25", False), ("M8x1", False), ("M8x0.75", True)])
def test_a_thread_that_screws_are_not_made_in_is_told(thread, unusual):
    # ISO 262:1998 selects M8 and M8x1 for screws, not M8x0.75 (from memory).
    assert (("A", "thread_unusual") in warned(axle(thread=thread))) is unusual


@pytest.mark.parametrize(("price", "told"), [("0.00", True), ("0.01", False)])
def test_a_price_of_zero_is_told(price, told):
    assert (("A", "price_of_zero") in warned(axle(price=price, currency="EUR"))) is told


@pytest.mark.parametrize(
    ("other", "twins"),
    [({}, True), ({"name": "Other", "price": "9.00", "currency": "EUR", "stock": 3}, True)]
    + [
        ({column: value}, False)
        for column, value in {"colour": "white", "pack_quantity": 8, "length_mm": 37.0}.items()
    ],
)
def test_parts_that_differ_in_name_price_and_stock_alone_are_twins(other, twins):
    assert (("B", "twin") in warned(axle("A"), axle("B", **other))) is twins


def test_a_barcode_that_two_parts_have_is_told_however_long_it_is_written():
    sleeve = SleeveRecord(
        sku="S", name="Sleeve", gtin="06291041500213", inner_mm=6.0, outer_mm=8.0, length_mm=24.0
    )
    assert ("S", "gtin_twice") in warned(axle("A", gtin="6291041500213"), sleeves=[sleeve])
