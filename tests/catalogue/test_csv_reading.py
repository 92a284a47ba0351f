"""A file of the catalogue as a shop's spreadsheet writes it."""

from decimal import Decimal

import pytest

PLAIN = "sku,name,fastening,length_mm\nA-1,Short,threaded_wall,34\nA-2,Long,threaded_wall,36.4\n"


@pytest.fixture
def one_axle(records_in):
    """The record of a file that has one axle with these cells."""

    def read(**cells):
        cells = {"sku": "A-1", "name": "An axle", "fastening": "threaded_wall"} | cells
        text = ",".join(cells) + "\n" + ",".join(f'"{cell}"' for cell in cells.values()) + "\n"
        (record,) = records_in("axles", text)
        return record

    return read


@pytest.mark.parametrize(
    "written",
    [
        pytest.param(PLAIN.encode(), id="as it is"),
        pytest.param(PLAIN.encode("utf-8-sig"), id="with a byte order mark"),
        pytest.param(PLAIN.replace("\n", "\r\n").encode(), id="with CRLF"),
        pytest.param(PLAIN.rstrip("\n").encode(), id="without a last line end"),
        pytest.param(PLAIN.replace("\n", "\n\n").encode(), id="with empty lines"),
        pytest.param(PLAIN.replace(",", " , ").encode(), id="with spaces around the cells"),
    ],
)
def test_a_file_is_read_however_it_was_written(records_in, written):
    assert [(axle.sku, axle.name, axle.length_mm) for axle in records_in("axles", written)] == [
        ("A-1", "Short", 34.0),
        ("A-2", "Long", 36.4),
    ]


def test_columns_stand_in_any_order(records_in):
    backwards = "length_mm,fastening,name,sku\n34,threaded_wall,Short,A-1\n"
    assert records_in("axles", backwards)[0].length_mm == 34.0


def test_an_empty_cell_is_not_known(one_axle):
    assert one_axle(length_mm="", stock="", price="", currency="").length_mm is None


def test_an_empty_pack_quantity_is_a_pack_of_one(one_axle):
    assert one_axle(pack_quantity="").pack_quantity == 1


def test_a_price_keeps_its_digits(one_axle):
    assert one_axle(price="4.90", currency="EUR").price == Decimal("4.90")


@pytest.mark.parametrize("name", ["Axle, 36 mm", "Axle of 36 mm, ''long''", "Achse für Ø 8", "軸"])
def test_a_name_may_hold_commas_quotes_and_any_script(one_axle, name):
    assert one_axle(name=name).name == name


def test_a_quoted_cell_keeps_its_commas_and_quotes(records_in):
    text = 'sku,name,fastening\nA-1,"Axle, ""long"", 36 mm",threaded_wall\n'
    assert records_in("axles", text)[0].name == 'Axle, "long", 36 mm'


def test_a_cell_with_several_numbers_has_semicolons_between_them(records_in):
    text = "code,name,wheels,outside_widths_mm,axle_positions_mm\nF,A frame,3,38; 37.5 ;37,0;113;226\n"
    (frame,) = records_in("frames", text)
    assert frame.outside_widths_mm == (38.0, 37.5, 37.0)
    assert frame.axle_positions_mm == (0.0, 113.0, 226.0)


def test_a_file_with_only_a_header_has_no_records(records_in):
    assert records_in("axles", "sku,name,fastening\n") == []


def test_a_thousandth_of_a_millimetre_is_fine_enough_for_the_catalogue(one_axle):
    assert one_axle(length_mm="36.401").length_mm == 36.401


COLUMNS = (
    "sku,gtin,name,fastening,shaft_mm,shaft_tolerance,length_mm,length_tolerance_mm,grip_min_mm,"
    "grip_max_mm,barrel_mm,barrel_mouth_mm,barrel_thread_mm,screw_mm,thread,thread_length_mm,"
    "nut_height_mm,drive,driven_heads,keyed_profile,offset_mm,brake_thread,material,colour,"
    "pack_quantity,price,currency,stock"
)
"""The columns of the contract, in its order."""


def test_a_written_file_has_the_columns_of_the_contract(database, export_csv):
    assert export_csv(database, "axles") == COLUMNS + "\n"


def test_a_written_cell_is_plain_decimals_and_quoted_where_it_must_be(database, one_axle, export_csv):
    one_axle(name="Axle, 36 mm", length_mm="36.400", price="100", currency="EUR", stock="0")
    cells = 'A-1,,"Axle, 36 mm",threaded_wall,,,36.4,,,,,,,,,,,,,,,,,,1,100.00,EUR,0'
    assert export_csv(database, "axles") == f"{COLUMNS}\n{cells}\n"
