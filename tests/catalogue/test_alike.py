"""Rows that share the checks of rows before them come out as if each had been checked alone."""

import csv
import io
import itertools
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schemas.parts import AxleRecord, SleeveRecord
from service.catalogue import csv_files
from service.catalogue.csv_files import FileFaultsError, read_csv
from service.catalogue.records import TABLES, record_json, record_of

SEED = Path(__file__).parents[2] / "seed_data"
OWN = ["sku", "gtin", "name"]


def seed_rows(name):
    with (SEED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


ROWS = {name: seed_rows(name) for name in ("axles", "sleeves")}
ODD_CELLS = ("", " ", "x", "0", "-0", "-1", "36", "36.0", " 36", "3_6", "36,4", "1e1", "M8", "M8x1.25")
ODD_WORDS = ("two_piece", "12.345", "12.3456", '"', "é\u2019", "EUR", "JPY")


@st.composite
def files(draw):
    """Rows of the demonstration with some cells put in the place of others."""
    name = draw(st.sampled_from(sorted(ROWS)))
    columns = list(ROWS[name][0])
    rows = []
    for number in range(draw(st.integers(2, 8))):
        row = dict(draw(st.sampled_from(ROWS[name][:6])), sku=f"A{number}")
        for column in draw(st.lists(st.sampled_from(columns), max_size=2)):
            other = draw(st.sampled_from(ROWS[name]))[column]
            row[column] = draw(st.sampled_from([*ODD_CELLS, *ODD_WORDS, other]))
        rows.append(row)
    kept = [c for c in columns if c == "sku" or draw(st.integers(0, 9)) > 0]
    return name, draw(st.permutations(kept)), rows


def read(name, columns, rows):
    """The entries of a file of these rows, or its faults."""
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    file = io.BytesIO(text.getvalue().encode())
    try:
        return list(itertools.chain.from_iterable(read_csv(TABLES[name], file))), []
    except FileFaultsError as error:
        return [], error.faults


@given(files())
def test_rows_read_together_are_as_rows_read_alone(file):
    name, columns, rows = file
    entries, faults = read(name, columns, rows)
    alone = [read(name, columns, [row]) for row in rows]
    keys = [row["sku"].strip() for row in rows]
    repeated = {key for key in keys if key and keys.count(key) > 1}
    told = [
        fault.model_copy(update={"row": place})
        for place, (_, found) in enumerate(alone, start=2)
        for fault in found
        if fault.row > 1
    ]
    if any(fault.row == 1 for fault in faults):  # the header is at fault, for all alike
        assert all(found == faults for _, found in alone)
    else:
        assert [f for f in faults if "once" not in f.allowed] == told
        assert bool([f for f in faults if "once" in f.allowed]) == bool(repeated)
        if not faults:
            assert entries == [entry for found, _ in alone for entry in found]


@pytest.mark.parametrize("name", sorted(ROWS))
def test_the_json_of_a_row_that_is_like_another_is_that_of_its_record(name):
    table = TABLES[name]
    rows = [row | {"sku": f"{row['sku']}-{n}", "name": f'"{n}" \\ é'} for n in (1, 2) for row in ROWS[name]]
    entries, faults = read(name, list(rows[0]), rows)
    assert not faults
    for entry in entries:
        record = record_of(table, dict(zip(table.row_columns, entry.row, strict=True)))
        assert (entry.key, entry.json) == (record.sku, record_json(record))


@pytest.mark.parametrize(("name", "record"), [("axles", AxleRecord), ("sleeves", SleeveRecord)])
def test_the_groups_hold_each_column_once_and_in_order(name, record):
    grouped = [column for columns, _ in TABLES[name].groups for column in columns]
    assert OWN + grouped == list(record.model_fields)


@pytest.mark.parametrize("name", sorted(ROWS))
def test_a_row_like_one_before_is_not_checked_in_full(name, monkeypatch):
    checked = []
    in_full = csv_files._Reading._checked  # noqa: SLF001 (it is counted, nothing else)

    def counted(reading, number, cells):
        checked.append(number)
        return in_full(reading, number, cells)

    monkeypatch.setattr(csv_files._Reading, "_checked", counted)  # noqa: SLF001
    row = ROWS[name][0]
    read(name, list(row), [row | {"sku": f"A{n}", "name": f"Axle {n}"} for n in range(5)])
    assert checked == [2]


def test_only_so_many_different_cells_are_remembered(monkeypatch):
    monkeypatch.setattr("service.catalogue.alike._MOST", 2)
    rows = [ROWS["axles"][0] | {"sku": f"A{n}", "stock": str(n % 7)} for n in range(40)]
    entries, faults = read("axles", list(rows[0]), rows)
    assert (len(entries), faults) == (40, [])
    assert [entry.row[-1] for entry in entries] == [n % 7 for n in range(40)]


def test_cells_that_were_let_in_apart_are_still_held_against_each_other():
    brake = {"fastening": "threaded_wall", "length_mm": "36", "brake_thread": "M6"}
    barrel = {"fastening": "two_piece", "length_mm": "36"}
    rows = [
        {"sku": "A1", "gtin": "", "name": "a brake axle"} | brake,
        {"sku": "A2", "gtin": "", "name": "a two-piece axle", "brake_thread": ""} | barrel,
        {"sku": "A3", "gtin": "", "name": "both"} | brake | barrel,
    ]
    _, faults = read("axles", list(rows[0]), rows)
    assert [(fault.row, fault.column) for fault in faults] == [(4, "brake_thread")]
