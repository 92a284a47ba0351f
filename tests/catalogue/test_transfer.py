"""Import and export of a table, each whole or not at all, on both engines."""

import pytest

from service.errors import ImportFaultsError

AXLES = "axles"
TWO_AXLES = b"sku,name,fastening,stock\nA-1,One,two_piece,3\nA-2,Two,two_piece,4\n"
FAULTY = b"sku,name,fastening,stock\nA-1,One,two_piece,3\nA-2,Two,glued,4\nA-3,Three,two_piece,-1\n"


@pytest.fixture
def database(any_database):
    """An empty database of this release's schema."""
    return any_database


@pytest.fixture
def demonstration(any_demonstration):
    """The demonstration catalogue in a database of the test's own."""
    return any_demonstration


@pytest.fixture
def catalogue(database, import_csv):
    """Two axles, at revision 1."""
    import_csv(database, AXLES, TWO_AXLES)
    return database


@pytest.fixture
def revision_of(import_csv):
    """The revision that a dry run, which moves nothing, speaks of."""
    return lambda database: import_csv(database, AXLES, "sku,name,fastening\n", dry_run=True).revision


@pytest.fixture
def rows_of(export_csv):
    """The rows of an export of the axles, without its header."""
    return lambda database: export_csv(database, AXLES).splitlines()[1:]


def test_an_import_moves_the_revision_by_one(catalogue, import_csv, revision_of):
    result = import_csv(catalogue, AXLES, TWO_AXLES)
    assert (result.records, result.revision, result.dry_run) == (2, 2, False)
    assert revision_of(catalogue) == 2


def test_an_import_replaces_the_records_of_its_keys_and_keeps_the_others(catalogue, import_csv, rows_of):
    import_csv(catalogue, AXLES, b"sku,name,fastening\nA-3,Three,two_piece\nA-2,Two again,bolt_and_nut\n")
    assert [row.replace(",", "") for row in rows_of(catalogue)] == [
        "A-1Onetwo_piece13",  # pack of 1, stock 3
        "A-2Two againbolt_and_nut1",
        "A-3Threetwo_piece1",
    ]


@pytest.mark.parametrize("dry_run", [False, True])
def test_a_file_with_a_fault_changes_nothing(catalogue, dry_run, import_csv, export_csv, revision_of):
    before = export_csv(catalogue, AXLES)
    with pytest.raises(ImportFaultsError):
        import_csv(catalogue, AXLES, FAULTY, dry_run=dry_run)
    assert export_csv(catalogue, AXLES) == before
    assert revision_of(catalogue) == 1


def test_a_faulty_file_is_refused_with_all_its_faults(catalogue, import_csv):
    with pytest.raises(ImportFaultsError, match="Nothing was imported: 2 faults") as caught:
        import_csv(catalogue, AXLES, FAULTY)
    assert [fault.path for fault in caught.value.faults] == [("row 3", "fastening"), ("row 4", "stock")]


def test_a_dry_run_counts_the_records_and_changes_nothing(catalogue, import_csv, export_csv):
    before = export_csv(catalogue, AXLES)
    result = import_csv(catalogue, AXLES, b"sku,name,fastening\nA-9,Nine,two_piece\n", dry_run=True)
    assert (result.records, result.revision, result.dry_run) == (1, 1, True)
    assert export_csv(catalogue, AXLES) == before


def test_an_export_is_in_the_order_of_its_keys(database, import_csv, rows_of):
    import_csv(database, AXLES, b"sku,name,fastening\nb,b,two_piece\nB,B,two_piece\na,a,two_piece\n")
    assert [row.partition(",")[0] for row in rows_of(database)] == ["B", "a", "b"]


def test_a_thread_is_kept_with_its_pitch_written(database, import_csv, rows_of):
    import_csv(database, AXLES, b"sku,name,fastening,thread\nA-1,One,threaded_wall,M8\n")
    assert "M8x1.25" in rows_of(database)[0]


@pytest.mark.parametrize(
    ("price", "currency", "written"),
    [("4.9", "EUR", "4.90,EUR"), ("490", "JPY", "490,JPY"), ("4.9", "KWD", "4.900,KWD")],
)
def test_a_price_is_exported_with_all_digits_of_its_currency(
    database, price, currency, written, import_csv, rows_of
):
    text = f"sku,name,fastening,price,currency\nA-1,One,two_piece,{price},{currency}\n"
    import_csv(database, AXLES, text)
    assert written in rows_of(database)[0]


@pytest.mark.parametrize("table", ["axles", "frames", "sleeves"])
def test_what_is_exported_and_imported_is_exported_as_the_same_bytes(
    demonstration, database, table, import_csv, export_csv
):
    first = export_csv(demonstration, table)
    import_csv(database, table, first)
    assert export_csv(database, table) == first


@pytest.mark.parametrize("table", ["axles", "frames", "sleeves"])
def test_an_export_has_a_row_for_every_row_of_the_demonstration_file(
    demonstration, seed_data, table, export_csv
):
    rows = (seed_data / f"{table}.csv").read_text(encoding="utf-8").splitlines()
    assert len(export_csv(demonstration, table).splitlines()) == len(rows)
