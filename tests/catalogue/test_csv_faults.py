"""Every fault of a file is told: its row, its column, what was found there and what is allowed."""

import pytest

AXLES, FRAMES, SLEEVES = "axles", "frames", "sleeves"
GOOD_AXLE = {"sku": "A-1", "name": "An axle", "fastening": "two_piece"}
GOOD_FRAME = {"code": "F-1", "name": "A frame", "wheels": "4", "outside_widths_mm": "36.4"}
GOOD_SLEEVE = {"sku": "S-1", "name": "A sleeve", "inner_mm": "6", "outer_mm": "8", "length_mm": "24"}


@pytest.fixture
def faults_of_row(faults_in):
    """The faults of a file with one row: a good one with these cells changed."""

    def find(table, good, cells):
        cells = good | cells
        quoted = ",".join('"' + cell.replace('"', '""') + '"' for cell in cells.values())
        return faults_in(table, ",".join(cells) + "\n" + quoted + "\n")

    return find


@pytest.mark.parametrize(
    ("column", "found", "allowed"),
    [
        ("length_mm", "36,4", "a number with a decimal point: 36.4"),
        ("length_mm", "36.4 mm", "a number such as 36.4"),
        ("length_mm", "NaN", "number"),
        ("length_mm", "Infinity", "number"),
        ("length_mm", "1e999", "number"),
        ("length_mm", "٣٦", "a number such as 36.4"),
        ("length_mm", "36.4005", "at most three digits after the decimal point"),
        ("length_mm", "0.0004", "at most three digits after the decimal point"),
        ("length_mm", "0", "at least 0.001"),
        ("length_mm", "-36", "at least 0.001"),
        ("length_mm", "200.001", "at most 200"),
        ("barrel_mouth_mm", "-0.001", "at least 0"),
        ("fastening", "glued", "one of 'threaded_wall', 'two_piece' or 'bolt_and_nut'"),
        ("material", "cheese", "steel_8_8"),
        ("sku", "A 1", "1 to 40 letters"),
        ("gtin", "12345", "8, 12, 13 or 14 digits"),
        ("drive", "hexagon", "a drive with its size"),
        ("keyed_profile", "Larch", "a lower-case word"),
        ("shaft_tolerance", "9h", "an ISO 286 class"),
        ("thread", "screw", "an ISO metric designation"),
        ("thread", "M8x0.8", "M8x1.25"),
        ("brake_thread", "M13", "M12"),
        ("driven_heads", "3", "at most 2"),
        ("pack_quantity", "0", "at least 1"),
        ("stock", "-1", "at least 0"),
        ("stock", "9223372036854775808", "at most 1"),
        ("name", "An\taxle", "text without control characters"),
    ],
)
def test_a_faulty_cell_is_told_with_what_is_allowed(faults_of_row, column, found, allowed):
    good = GOOD_AXLE | {"fastening": "threaded_wall"}
    (fault,) = faults_of_row(AXLES, good, {column: found})
    assert fault[:2] == (2, column)
    assert fault[2] == found.replace("\t", r"\t")
    assert allowed in fault[3]


def test_a_nul_byte_is_a_fault_of_its_cell(faults_of_row):
    assert faults_of_row(AXLES, GOOD_AXLE, {"name": "An\0axle"}) == [
        (2, "name", r"An\x00axle", "text without control characters")
    ]


def test_a_long_cell_is_shown_cut_off(faults_of_row):
    ((row, column, found, _),) = faults_of_row(AXLES, GOOD_AXLE, {"name": "x" * 121})
    assert (row, column) == (2, "name")
    assert found == "x" * 79 + "…"


@pytest.mark.parametrize(
    ("table", "good", "cells", "column", "allowed"),
    [
        (AXLES, GOOD_AXLE, {"shaft_mm": "7"}, "shaft_mm", "8, 6.3 or 6"),
        (AXLES, GOOD_AXLE, {"grip_min_mm": "38", "grip_max_mm": "37.999"}, "grip_max_mm", "38"),
        (AXLES, GOOD_AXLE, {"length_mm": "9", "thread_length_mm": "9.001"}, "thread_length_mm", "9"),
        (
            AXLES,
            GOOD_AXLE,
            {"barrel_mm": "12", "barrel_mouth_mm": "1", "barrel_thread_mm": "11.001"},
            "barrel_thread_mm",
            "12",
        ),
        (AXLES, GOOD_AXLE, {"brake_thread": "M6x1"}, "brake_thread", "threaded_wall"),
        (AXLES, GOOD_AXLE, {"price": "4.90"}, "currency", "together"),
        (SLEEVES, GOOD_SLEEVE, {"currency": "EUR"}, "currency", "together"),
        (SLEEVES, GOOD_SLEEVE, {"inner_mm": "8"}, "inner_mm", "less than outer_mm (8)"),
        (FRAMES, GOOD_FRAME, {"bore_mm": "7"}, "bore_mm", "8, 6.3 or 6"),
        (FRAMES, GOOD_FRAME, {"outside_widths_mm": ""}, "outside_widths_mm", "inside_width_mm"),
        (FRAMES, GOOD_FRAME, {"outside_widths_mm": "38;37"}, "outside_widths_mm", "4 axles"),
        (FRAMES, GOOD_FRAME, {"axle_positions_mm": "0;80;80;160"}, "axle_positions_mm", "4 rising"),
        (FRAMES, GOOD_FRAME, {"axle_positions_mm": "0;80;160"}, "axle_positions_mm", "4 rising"),
        (FRAMES, GOOD_FRAME, {"holes": "round", "hole_offset_mm": "1"}, "hole_offset_mm", "oval"),
        (FRAMES, GOOD_FRAME, {"brake_position": "5"}, "brake_position", "at most the number of wheels (4)"),
        (FRAMES, GOOD_FRAME, {"brake_thread": "M6x1"}, "brake_thread", "brake_position"),
    ],
)
def test_cells_that_do_not_go_together_are_told_of_the_one_to_change(
    faults_of_row, table, good, cells, column, allowed
):
    (fault,) = faults_of_row(table, good, cells)
    assert fault[:2] == (2, column)
    assert allowed in fault[3]


@pytest.mark.parametrize(
    ("price", "currency", "column", "allowed"),
    [
        ("4.905", "EUR", "price", "at most 2 digits after the decimal point in EUR"),
        ("490.5", "JPY", "price", "at most 0 digits after the decimal point in JPY"),
        ("4.90", "ZZZ", "currency", "a currency code of ISO 4217, such as EUR"),
    ],
)
def test_a_price_that_its_currency_cannot_have_is_refused(faults_of_row, price, currency, column, allowed):
    found = {"price": price, "currency": currency}
    assert faults_of_row(SLEEVES, GOOD_SLEEVE, found) == [(2, column, found[column], allowed)]


def test_one_of_several_numbers_in_a_cell_is_told_by_itself(faults_of_row):
    assert faults_of_row(FRAMES, GOOD_FRAME, {"outside_widths_mm": "38;37,5;37;36"}) == [
        (2, "outside_widths_mm", "37,5", "a number with a decimal point: 37.5")
    ]


def test_a_key_may_stand_in_a_file_once(faults_in):
    rows = "sku,name,fastening\nA-1,One,two_piece\nA-2,Two,two_piece\nA-1,One more,two_piece\n"
    assert faults_in(AXLES, rows) == [(4, "sku", "A-1", "a sku once; it is in row 2 already")]


@pytest.mark.parametrize(
    ("row", "cells"), [("A-1,One", 2), ("A-1,One,two_piece,36,5", 5)], ids=["too few", "a decimal comma"]
)
def test_a_row_has_as_many_cells_as_the_header(faults_in, row, cells):
    assert faults_in(AXLES, f"sku,name,fastening,length_mm\n{row}\n") == [
        (2, "", f"{cells} cells", "4 cells, as the header has")
    ]


def test_an_unknown_column_is_told_with_the_name_that_was_meant(faults_in):
    assert faults_in(AXLES, "sku,name,fastening,lenght_mm\n") == [
        (1, "lenght_mm", "lenght_mm", "a known name; did you mean length_mm?")
    ]


def test_a_column_like_none_that_there_is_gets_no_suggestion(faults_in):
    assert faults_in(AXLES, "sku,name,fastening,weather\n") == [(1, "weather", "weather", "a known name")]


def test_a_column_may_stand_in_the_header_once(faults_in):
    assert faults_in(AXLES, "sku,name,fastening,name\n") == [(1, "name", "name", "a column once")]


@pytest.mark.parametrize("written", [b"", b"\n\n", b"gtin\n"], ids=["empty", "empty lines", "another column"])
def test_every_required_column_that_is_missing_is_told(faults_in, written):
    assert [fault[:2] for fault in faults_in(AXLES, written)] == [(1, "sku"), (1, "name"), (1, "fastening")]


def test_a_required_cell_that_is_empty_is_told(faults_of_row):
    assert faults_of_row(AXLES, GOOD_AXLE, {"name": "  "}) == [(2, "name", None, "a value is required")]


def test_a_file_that_is_not_utf_8_is_told_by_the_byte(faults_in):
    written = "sku,name,fastening\nA-1,Achse für 8,two_piece\n".encode("latin-1")
    ((_, column, found, allowed),) = faults_in(AXLES, written)
    assert (column, allowed) == ("", "text in UTF-8")
    assert "byte" in found


def test_a_quote_that_is_never_closed_is_told(faults_in):
    ((_, column, _, allowed),) = faults_in(AXLES, 'sku,name,fastening\nA-1,"An axle,two_piece\n')
    assert (column, allowed) == ("", "well-formed CSV")


def test_all_faults_of_a_file_are_told_at_once_in_the_order_of_its_rows(faults_in):
    rows = (
        "sku,name,fastening,length_mm,drive\n"
        'A-1,One,glued,"36,4",hexagon_4\n'
        "A-2,Two,two_piece,36,hexagon_4\n"
        "\n"
        "A-3,,two_piece,36\n"
        "A-4,,two_piece,-1,key\n"
        "A-2,Two again,two_piece,36,hexagon_4\n"
    )
    assert [fault[:2] for fault in faults_in(AXLES, rows)] == [
        (2, "fastening"),
        (2, "length_mm"),
        (5, ""),
        (6, "name"),
        (6, "length_mm"),
        (6, "drive"),
        (7, "sku"),
    ]
