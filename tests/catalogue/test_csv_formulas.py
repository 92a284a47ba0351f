"""No exported cell is a formula to a spreadsheet, and what was exported is imported as it was."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from schemas.fields import Text
from service.catalogue.csv_files import read_csv, write_csv
from service.catalogue.formulas import TEXTS, as_cell, from_cell
from service.catalogue.records import TABLES

# OWASP, CSV Injection: what begins a formula; the wide forms too.
SIGNS = "=+-@\t\r＝＋－＠"
GOOD = {
    "axles": {"sku": "F-1", "name": "One", "fastening": "two_piece"},
    "frames": {"code": "F-1", "name": "One", "wheels": 4, "outside_widths_mm": (36.4,)},
    "sleeves": {"sku": "F-1", "name": "One", "inner_mm": 6.0, "outer_mm": 8.0, "length_mm": 24.0},
}


def exported(table, *names):
    """The file of records with these names."""
    key = TABLES[table].key
    records = [
        TABLES[table].record.model_validate(GOOD[table] | {key: f"F-{number}", "name": name})
        for number, name in enumerate(names)
    ]
    out = io.StringIO(newline="")
    write_csv(TABLES[table], records, out)
    return out.getvalue()


def names_in(table, file):
    entries = [entry for chunk in read_csv(TABLES[table], io.BytesIO(file.encode())) for entry in chunk]
    place = TABLES[table].columns.index("name")
    return [entry.row[place] for entry in entries]


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize(
    "name", ["=1+1", "+31 20", "-10 %", "@shop", "＝1", "=cmd|' /C calc'!A0", "'=1", "''-1"]
)
def test_a_name_that_is_like_a_formula_leaves_as_text_and_comes_back_as_it_was(table, name):
    file = exported(table, name)
    for cell in list(csv.reader(io.StringIO(file)))[1]:
        assert not cell or cell[0] not in SIGNS
    assert names_in(table, file) == [name]
    assert exported(table, *names_in(table, file)) == file


@pytest.mark.parametrize("name", ["'n Beugel", "One = two", "8 x 36 mm", '"=1"', "'"])
def test_a_name_that_is_no_formula_leaves_as_it_is(name):
    file = exported("axles", name)
    place = TABLES["axles"].columns.index("name")
    assert list(csv.reader(io.StringIO(file)))[1][place] == name
    assert names_in("axles", file) == [name]


def test_a_formula_that_somebody_typed_into_a_file_is_the_same_text():
    assert names_in("axles", "sku,name,fastening\nF-1,=1+1,two_piece\n") == ["=1+1"]


def test_rows_that_are_alike_lose_their_apostrophe_too():
    # The second row takes the short way, since its other cells are known by then.
    rows = "".join(f"F-{number},,'={number},two_piece\n" for number in range(3))
    assert names_in("axles", "sku,gtin,name,fastening\n" + rows) == ["=0", "=1", "=2"]


@pytest.mark.parametrize("sign", ["\t", "\r", "\n", "\0"])
def test_tab_and_line_ends_that_begin_a_formula_too_are_in_no_text(sign):
    with pytest.raises(ValidationError):
        TypeAdapter(Text).validate_python(f"a{sign}=1")


@pytest.mark.parametrize("table", TABLES)
def test_every_column_that_lets_a_formula_in_is_one_whose_texts_are_marked(table):
    letting_in = set()
    for column in TABLES[table].columns:
        for sign in SIGNS:
            try:
                record = TABLES[table].record.model_validate(GOOD[table] | {column: f"{sign}x"})
            except ValidationError:
                continue
            if str(getattr(record, column))[0] in SIGNS:
                letting_in.add(column)
    assert letting_in == TEXTS


@given(st.text(alphabet="'=+-@＝ab ", max_size=8))
def test_any_text_comes_back_from_its_cell_and_no_cell_is_a_formula(text):
    cell = as_cell(text)
    assert from_cell(cell) == text
    assert cell[:1] not in {*SIGNS}


@given(st.text(alphabet="'=+-@ab  ", min_size=1, max_size=8).filter(lambda text: text.strip()))
def test_whatever_a_name_is_exporting_importing_and_exporting_gives_the_same_bytes(name):
    file = exported("axles", name, "Another")
    assert exported("axles", *names_in("axles", file)) == file
