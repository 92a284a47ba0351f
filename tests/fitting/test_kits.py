"""Kits for known and measured frames: what each position needs and gets, the lines, and what is said."""

from decimal import Decimal

import pytest

from schemas.codes import Language
from schemas.kits import KitRequest
from schemas.parts import AxleRecord, FrameRecord, SleeveRecord
from service.catalogue.snapshot import Snapshot
from service.errors import InvalidRequestError
from service.fitting.kits.kit import make_kit

MEASURED = {
    "fastening": "threaded_wall",
    "outside_width_mm": 36.4,
    "far_wall_mm": 6,
    "bore_mm": 8,
    "thread": "M8x1.25",
    "holes": "round",
}
THIN = MEASURED | {"bore_mm": 6, "thread": "M6x1", "child": True, "rider_mass_kg": 30}


def axle(sku="A", **others):
    values = {
        "name": "An axle",
        "fastening": "threaded_wall",
        "shaft_mm": 8,
        "shaft_tolerance": "f9",
        "length_mm": 36,
        "thread": "M8x1.25",
        "thread_length_mm": 12,
        "drive": "hexagon_4",
        "driven_heads": 1,
        "material": "steel_12_9",
        "price": "2.00",
        "currency": "EUR",
        "stock": 100,
    }
    return AxleRecord(sku=sku, **(values | others))


def thin_axle(sku="A", **others):
    return axle(sku, shaft_mm=6, shaft_tolerance=None, thread="M6x1", **others)


def sleeve(sku="S", **others):
    values = {"name": "A sleeve", "inner_mm": 6, "outer_mm": 8, "length_mm": 24}
    priced = {"price": "0.80", "currency": "EUR", "stock": 100}
    return SleeveRecord(sku=sku, **(values | priced | others))


def kit_from(*parts, frame=None, language=Language.ENGLISH, **asked):
    """A kit from a catalogue of these parts; for three wheels as measured if nothing else is asked for."""
    snapshot = Snapshot(
        revision=7,
        axles={part.sku: part for part in parts if isinstance(part, AxleRecord)},
        frames={} if frame is None else {"F": frame},
        sleeves={part.sku: part for part in parts if isinstance(part, SleeveRecord)},
    )
    if frame is not None:
        asked = {"frame": "F"} | asked
    elif "lookup" not in asked:
        asked = {"lookup": MEASURED} | asked
    if frame is None and "outside_widths_mm" not in asked:
        asked = {"wheels": 3} | asked
    return make_kit(KitRequest(**asked), snapshot, language=language)


def skus(kit):
    return [position.sku for position in kit.positions]


def codes(kit):
    return [caution.code for caution in kit.cautions]


def said(kit, code):
    return [caution.text for caution in kit.cautions if caution.code == code]


# --- positions -----------------------------------------------------------------------------------


def test_a_pair_has_every_axle_of_the_left_skate_then_of_the_right_one():
    kit = kit_from(axle())
    assert [(p.side, p.position) for p in kit.positions] == [
        ("left", 1), ("left", 2), ("left", 3), ("right", 1), ("right", 2), ("right", 3),
    ]  # fmt: skip
    assert kit.catalogue_revision == 7


@pytest.mark.parametrize(("brake", "side"), [("none", None), ("left", "left"), ("right", "right")])
def test_one_frame_is_of_the_side_whose_brake_it_has(brake, side):
    kit = kit_from(axle(), frames=1, brake=brake)
    assert [p.side for p in kit.positions] == [side] * 3
    assert [p.needs for p in kit.positions] == [
        "standard",
        "standard",
        "standard" if side is None else "brake",
    ]


@pytest.mark.parametrize(
    ("brake", "sides"), [("none", []), ("left", ["left"]), ("right", ["right"]), ("both", ["left", "right"])]
)
def test_the_brake_is_at_the_frames_axle_of_the_sides_that_have_one(snapshot, brake, sides):
    # Alder carries its brake at the fourth axle, with M6x1.
    kit = make_kit(KitRequest(frame="QH-ALDER", brake=brake), snapshot)
    braked = [position for position in kit.positions if position.needs == "brake"]
    assert [(position.side, position.position) for position in braked] == [(side, 4) for side in sides]
    assert {snapshot.axles[position.sku].brake_thread for position in braked} <= {"M6x1"}
    others = [position for position in kit.positions if position.needs == "standard"]
    assert {snapshot.axles[position.sku].brake_thread for position in others} == {None}
    assert ("frame_takes_brake" in codes(kit)) == (brake == "none")


@pytest.mark.parametrize(("asked", "at"), [({}, 3), ({"brake_position": 1}, 1)])
def test_a_measured_frame_carries_its_brake_at_the_rear_axle_or_where_it_is_said_to(asked, at):
    lookup = MEASURED | {"brake_thread": "M6x1"}
    parts = axle("A"), axle("B", brake_thread="M6x1"), axle("C", brake_thread="M5x0.8")
    kit = kit_from(*parts, lookup=lookup, brake="left", **asked)
    assert {(p.side, p.position): p.sku for p in kit.positions if p.sku != "A"} == {("left", at): "B"}


def test_a_tapering_frame_gets_an_axle_for_the_width_at_each_position(snapshot):
    # Coltsfoot is 38.5 mm wide at the front and 1 mm less at each next axle.
    kit = make_kit(KitRequest(frame="QH-COLTSFOOT"), snapshot)
    for position in kit.positions:
        assert position.outside_width_mm.value == 38.5 - (position.position - 1)
    assert len(set(skus(kit))) > 1
    assert skus(kit)[:4] == skus(kit)[4:]


def test_measured_widths_stand_for_the_width_at_each_position():
    kit = kit_from(
        axle("LONG", length_mm=40), axle("SHORT"),
        lookup={k: v for k, v in MEASURED.items() if k != "outside_width_mm"}, outside_widths_mm=[40.4, 36.4],
    )  # fmt: skip
    assert skus(kit) == ["LONG", "SHORT"] * 2


def test_the_inside_width_of_a_tapering_frame_is_not_taken_for_each_axle():
    walls = {"fastening": "threaded_wall", "inside_width_mm": 24.4, "head_wall_mm": 6, "far_wall_mm": 6}
    for widths, compared in (([36.4, 36.4], {"readings_agree"}), ([40.4, 36.4], set())):
        kit = kit_from(axle("A"), lookup=walls, outside_widths_mm=widths)
        assert {note.check for note in kit.notes} & {"readings_agree"} == compared


def test_offset_axles_go_where_they_are_asked_for_and_straight_ones_elsewhere():
    lookup = MEASURED | {"holes": "oval", "hole_offset_mm": 1}
    kit = kit_from(axle("STRAIGHT"), axle("OFFSET", offset_mm=1), lookup=lookup, offset_positions=[3, 1])
    assert skus(kit) == ["OFFSET", "STRAIGHT", "OFFSET"] * 2
    assert [position.needs for position in kit.positions] == ["offset", "standard", "offset"] * 2


def test_where_all_holes_are_oval_every_position_needs_an_offset_axle(snapshot):
    # Burdock has oval holes, offset by 1 mm.
    kit = make_kit(KitRequest(frame="QH-BURDOCK"), snapshot)
    assert {position.needs for position in kit.positions} == {"offset"}
    assert {snapshot.axles[sku].offset_mm for sku in skus(kit)} == {1}


def test_offset_axles_for_holes_whose_offset_is_not_known_are_to_be_checked_first():
    lookup = {k: v for k, v in MEASURED.items() if k != "holes"}
    kit = kit_from(axle("STRAIGHT"), axle("OFFSET", offset_mm=1), lookup=lookup, offset_positions=[1])
    assert skus(kit) == ["OFFSET", "STRAIGHT", "STRAIGHT"] * 2
    assert [position.verdict for position in kit.positions] == ["check_first", "fits", "fits"] * 2


def test_a_straight_axle_never_stands_in_where_an_offset_one_is_asked_for():
    kit = kit_from(axle("STRAIGHT"), axle("OFFSET", offset_mm=1), offset_positions=[1])
    assert skus(kit) == [None, "STRAIGHT", "STRAIGHT"] * 2
    # The frame's holes were said to be round: that is what would have to change.
    assert (
        kit.positions[0].near_misses[0].would_fit_if.startswith("It would fit if the frame's holes were oval")
    )


# --- what nothing fits, and what is to be checked ------------------------------------------------


def test_where_nothing_fits_the_kit_says_so_with_the_near_misses_and_gives_the_rest():
    kit = kit_from(axle("A"), lookup=MEASURED | {"brake_thread": "M6x1"}, brake="right")
    assert skus(kit) == ["A"] * 5 + [None]
    empty = kit.positions[-1]
    assert (empty.verdict, empty.best_verdict, empty.why_empty.code) == (None, "no_fit", "nothing_fits")
    (miss,) = empty.near_misses
    assert (miss.axle.sku, miss.would_fit_if) == ("A", "It would fit at a position that carries no brake.")
    assert said(kit, "positions_stay_empty") == ["Without an axle: 1 of 6 positions; each of them says why."]
    assert kit.lines[0].pieces == 5


def test_where_nothing_fits_at_all_there_are_no_lines_and_no_total():
    kit = kit_from(axle("A"), lookup=MEASURED | {"outside_width_mm": 50}, near_misses=0)
    assert (set(skus(kit)), kit.lines, kit.total) == ({None}, [], None)
    assert {len(position.near_misses) for position in kit.positions} == {0}


def test_what_is_to_be_checked_first_comes_with_its_reasons():
    lookup = MEASURED | {"bore_mm": None}
    kit = kit_from(axle("A"), lookup=lookup)
    assert {position.verdict for position in kit.positions} == {"check_first"}
    (bore,) = (reason for reason in kit.positions[0].reasons if reason.check == "bore")
    assert bore.outcome == "unknown"
    assert said(kit, "check_first") == ["To be checked before you buy: 6 of 6 axles; their reasons say what."]


def test_what_is_to_be_said_of_the_frame_alone_is_said_once():
    # A hub of 24 mm does not go between walls 23 mm apart.
    kit = kit_from(axle("A"), lookup=MEASURED | {"inside_width_mm": 23})
    assert [(note.check, note.outcome) for note in kit.notes] == [("hub_room", "fail")]


# --- stock, prices, currencies -------------------------------------------------------------------


def test_stock_counts_packs():
    assert set(skus(kit_from(axle("A", stock=2, pack_quantity=3)))) == {"A"}
    assert skus(kit_from(axle("A", stock=1, pack_quantity=3))) == ["A"] * 3 + [None] * 3


def test_where_the_stock_is_too_small_for_all_the_empty_positions_say_so():
    kit = kit_from(axle("A", stock=4))
    assert [p.why_empty.code for p in kit.positions if p.why_empty] == ["stock_too_small"] * 2
    assert {position.best_verdict for position in kit.positions} == {"fits"}


def test_where_the_best_axle_is_out_of_stock_the_next_best_is_given_and_that_is_said():
    # A shaft of class k6 may be tight in the bearing: a caution.
    kit = kit_from(axle("A", stock=0), axle("B", shaft_tolerance="k6", price="9.00"))
    assert set(skus(kit)) == {"B"}
    assert {(p.verdict, p.best_verdict) for p in kit.positions} == {("fits_with_caution", "fits")}
    assert said(kit, "lesser_verdict")[0].endswith("6 of 6 positions.")


def test_a_stock_and_a_price_that_are_not_known_are_said_of_each_part():
    kit = kit_from(axle("A", stock=None, price=None, currency=None))
    assert set(skus(kit)) == {"A"}
    assert (kit.lines[0].line_price, kit.total) == (None, None)
    assert said(kit, "stock_not_known")[0].startswith("The stock of A is not known")
    assert said(kit, "price_not_known")[0].startswith("The price of A is not known")


def test_a_part_without_a_price_is_taken_only_where_no_other_is_as_good():
    unpriced = {"price": None, "currency": None}
    assert set(skus(kit_from(axle("A", **unpriced), axle("B", price="900.00")))) == {"B"}
    assert set(skus(kit_from(axle("A", **unpriced), axle("B", shaft_tolerance="k6")))) == {"A"}


def test_a_kit_is_in_one_currency_and_says_so():
    # Most of these parts have prices in euros; 1 krone is not compared with 2 euros.
    euros = axle("A"), axle("B", length_mm=50), axle("C", length_mm=50)
    kit = kit_from(*euros, axle("D", price="1.00", currency="DKK"))
    assert (set(skus(kit)), kit.total.currency) == ({"A"}, "EUR")
    assert "(DKK, EUR). This kit is in EUR alone" in said(kit, "one_currency")[0]


def test_the_currency_is_that_in_which_the_kit_lacks_least():
    kit = kit_from(axle("A", stock=5), axle("B", length_mm=50), axle("D", price="1.00", currency="DKK"))
    assert (set(skus(kit)), kit.total.currency) == ({"D"}, "DKK")


def test_where_an_axle_has_its_price_in_another_currency_only_the_position_stays_empty():
    lookup = {k: v for k, v in MEASURED.items() if k != "outside_width_mm"}
    parts = axle("A"), axle("B", length_mm=40, price="1.00", currency="DKK")
    kit = kit_from(*parts, lookup=lookup, outside_widths_mm=[36.4, 36.4, 40.4])
    assert skus(kit) == ["A", "A", None] * 2
    assert kit.positions[2].why_empty.code == "priced_in_another_currency"


@pytest.mark.parametrize(("currency", "price", "amount"), [("JPY", "300", "1800"), ("KWD", "1.005", "6.030")])
def test_the_total_has_the_digits_of_its_currency(currency, price, amount):
    # ISO 4217: the yen has no minor unit, the Kuwaiti dinar has three digits.
    kit = kit_from(axle("A", currency=currency, price=price))
    assert kit.model_dump(mode="json")["total"] == {"amount": amount, "currency": currency}


def test_a_total_may_be_greater_than_any_price():
    assert kit_from(axle("A", price="1000000.00")).total.amount == Decimal("6000000.00")


# --- sleeves, tools, preferences -----------------------------------------------------------------


def test_a_thin_axle_has_its_sleeve_at_each_position_the_cheapest_that_suits_the_hub():
    sleeves = (
        sleeve("S"),
        sleeve("P8", pack_quantity=8, price="4.00"),
        sleeve("SHORT", length_mm=22, price="0.01"),
    )
    kit = kit_from(thin_axle(), *sleeves, sleeve("WIDE", inner_mm=6.3, price="0.01"), lookup=THIN)
    assert {position.sleeve_sku for position in kit.positions} == {"P8"}
    (line,) = (line for line in kit.lines if line.kind == "sleeve")
    assert (line.sku, line.packs, line.pieces, line.left_over) == ("P8", 1, 6, 2)
    assert kit.total.amount == Decimal("16.00")  # 6 × 2.00 + 4.00
    (reason,) = (reason for reason in kit.positions[0].reasons if reason.check == "sleeve")
    assert "(P8)" in reason.text


def test_sleeves_that_are_missing_are_counted():
    kit = kit_from(thin_axle(), sleeve(stock=4), lookup=THIN)
    assert [position.sleeve_sku for position in kit.positions] == ["S"] * 4 + [None] * 2
    assert "6 mm inside" in said(kit, "sleeves_missing")[0]
    assert "hub of 24 mm: 2 axles" in said(kit, "sleeves_missing")[0]


@pytest.mark.parametrize(
    ("heads", "keys"), [((1, 1), 1), ((1, 2), 2), ((2, None), 2), ((1, None), None), ((None, None), None)]
)
def test_a_tool_is_a_line_with_as_many_keys_as_are_needed_at_once(heads, keys):
    one, other = heads
    parts = axle("A", driven_heads=one, stock=3), axle("B", driven_heads=other, stock=3)
    (tool,) = (line for line in kit_from(*parts).lines if line.kind == "tool")
    assert (tool.drive, tool.pieces, tool.sku, tool.packs, tool.line_price) == (
        "hexagon_4",
        keys,
        None,
        None,
        None,
    )


def test_each_drive_has_its_tool_and_a_drive_that_is_not_known_is_said():
    kit = kit_from(axle("A", drive=None, stock=3), axle("B", drive="hexalobular_25", stock=3))
    assert [line.drive for line in kit.lines if line.kind == "tool"] == ["hexalobular_25"]
    assert said(kit, "tool_not_known")[0].startswith("What turns A,")
    assert "tools_without_price" in codes(kit)


@pytest.mark.parametrize(
    "asked",
    [{"prefer_colour": "white"}, {"lookup": MEASURED | {"prefer_colour": "white"}}],
    ids=["kit", "lookup"],
)
def test_a_preference_decides_between_parts_at_one_price(asked):
    parts = axle("A", colour="black"), axle("B", colour="white")
    assert set(skus(kit_from(*parts))) == {"A"}
    assert set(skus(kit_from(*parts, **asked))) == {"B"}


def test_what_the_kit_says_of_the_rider_goes_before_what_the_lookup_says():
    parts, lookup = (thin_axle(), sleeve()), THIN | {"rider_mass_kg": None, "child": False}
    assert "thin_axles_not_for_adults" in codes(kit_from(*parts, lookup=lookup))
    assert "thin_axles_not_for_adults" not in codes(kit_from(*parts, lookup=lookup, rider_mass_kg=30))


# --- refused, and said in other languages --------------------------------------------------------

KNOWN = FrameRecord(code="F", name="A frame", outside_widths_mm=[36.4], wheels=3)


@pytest.mark.parametrize(
    ("frame", "asked", "path"),
    [
        (KNOWN, {"wheels": 4}, ("wheels",)),
        (KNOWN, {"brake": "left"}, ("brake",)),
        (KNOWN, {"offset_positions": [4]}, ("offset_positions",)),
        (KNOWN.model_copy(update={"holes": "oval"}), {"offset_positions": [1]}, ("offset_positions",)),
        (None, {"lookup": MEASURED | {"thread": "M8x0.8"}}, ("lookup", "thread")),
        (
            None,
            {"lookup": {"inside_width_mm": 24, "head_wall_mm": 6, "far_wall_mm": 6, "brake_thread": "M6x0.8"},
             "brake": "left"},
            ("lookup", "brake_thread"),
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_of_this_frame_is_refused_by_field(frame, asked, path):
    with pytest.raises(InvalidRequestError) as caught:
        kit_from(axle(), frame=frame, **asked)
    assert [fault.path for fault in caught.value.faults] == [path]


def test_all_that_cannot_be_of_a_known_frame_is_told_at_once():
    with pytest.raises(InvalidRequestError) as caught:
        kit_from(frame=KNOWN, wheels=9, brake="both")
    assert [fault.path for fault in caught.value.faults] == [("wheels",), ("brake",)]


def test_a_kit_says_the_same_in_each_language():
    kits = [kit_from(axle("A", stock=None, drive=None), brake="left", language=one) for one in Language]
    english = kits[0]
    for other in kits[1:]:
        assert (skus(other), other.lines, codes(other)) == (skus(english), english.lines, codes(english))
        assert {c.text for c in other.cautions}.isdisjoint({c.text for c in english.cautions})
        assert other.positions[2].why_empty.text != english.positions[2].why_empty.text
