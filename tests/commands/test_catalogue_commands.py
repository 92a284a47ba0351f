"""Commands on the parts table, as an operator runs them."""

import pytest

from service.__main__ import main

TWO_AXLES = "sku,name,fastening,length_mm\nA-1,One,two_piece,34\nA-2,Two,two_piece,36\n"
FAULTY = 'sku,name,fastening,length_mm\nA-1,One,glued,34\nA-2,Two,two_piece,"36,4"\nA-1,Three,two_piece\n'


@pytest.fixture
def file(tmp_path):
    """Writes a CSV file."""

    def write(text):
        path = tmp_path / "axles.csv"
        path.write_text(text, encoding="utf-8", newline="")
        return path

    return write


@pytest.fixture
def empty(tmp_path, run):
    """A database file that `upgrade` has made."""
    path = tmp_path / "new.sqlite3"
    status, out, err = run("upgrade", on=path)
    assert (status, err) == (0, "")
    assert out
    return path


def test_upgrade_makes_a_database_that_commands_work_on(empty, run):
    status, out, err = run("export", "axles", on=empty)
    assert (status, err) == (0, "")
    assert out.startswith("sku,gtin,name,fastening,")


def test_upgrade_may_be_run_again(empty, run):
    assert run("upgrade", on=empty)[0] == 0


def test_import_says_how_many_records_and_which_revision(empty, run, file):
    status, out, err = run("import", "axles", file(TWO_AXLES), on=empty)
    assert (status, err) == (0, "")
    assert "2 axles imported" in out
    assert "revision 1" in out
    assert [line[:3] for line in run("export", "axles", on=empty)[1].splitlines()] == ["sku", "A-1", "A-2"]


def test_a_dry_run_says_what_would_be_and_imports_nothing(empty, run, file):
    status, out, _ = run("import", "axles", file(TWO_AXLES), "--dry-run", on=empty)
    assert status == 0
    assert "2 axles would be imported" in out
    assert len(run("export", "axles", on=empty)[1].splitlines()) == 1


@pytest.mark.parametrize("dry_run", [[], ["--dry-run"]], ids=["import", "dry run"])
def test_a_faulty_file_ends_with_1_and_all_its_faults(empty, run, file, dry_run):
    status, out, err = run("import", "axles", file(FAULTY), *dry_run, on=empty)
    assert (status, out) == (1, "")
    first, *faults = err.splitlines()
    assert "Nothing was imported" in first
    assert [fault.split(":")[0].strip() for fault in faults] == [
        "row 2, fastening",
        "row 3, length_mm",
        "row 4",
    ]
    assert "found 36,4; allowed: a number with a decimal point: 36.4" in faults[1]
    assert len(run("export", "axles", on=empty)[1].splitlines()) == 1


def test_an_export_to_a_file_is_the_export_to_standard_output(demonstration_copy, run, tmp_path):
    out = run("export", "frames", on=demonstration_copy)[1]
    assert run("export", "frames", tmp_path / "frames.csv", on=demonstration_copy) == (0, "", "")
    assert (tmp_path / "frames.csv").read_bytes() == out.encode()
    assert len(out.splitlines()) > 40


def test_an_exported_file_can_be_imported(demonstration_copy, run, tmp_path):
    exported = tmp_path / "sleeves.csv"
    run("export", "sleeves", exported, on=demonstration_copy)
    before = exported.read_bytes()
    assert run("import", "sleeves", exported, on=demonstration_copy)[0] == 0
    run("export", "sleeves", exported, on=demonstration_copy)
    assert exported.read_bytes() == before


@pytest.mark.parametrize(
    "arguments",
    [["export", "axles"], ["fit", "--outside-width-mm", "36.4"], ["import", "axles", "FILE"]],
    ids=lambda arguments: arguments[0],
)
@pytest.mark.parametrize("made", [False, True], ids=["no file", "a file without a schema"])
def test_without_a_schema_a_command_names_the_one_to_run_first(run, file, tmp_path, arguments, made):
    if made:
        (tmp_path / "blank.sqlite3").touch()
    arguments = [file(TWO_AXLES) if argument == "FILE" else argument for argument in arguments]
    status, out, err = run(*arguments, on=tmp_path / "blank.sqlite3")
    assert (status, out) == (1, "")
    assert "python -m service upgrade" in err


@pytest.mark.parametrize(
    "arguments",
    [[], ["mend"], ["import", "wheels", "f.csv"], ["import", "axles"], ["export", "wheels"]],
    ids=str,
)
def test_a_command_that_there_is_not_ends_with_2_and_the_usage(arguments, capsys):
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    assert "usage: python -m service" in capsys.readouterr().err
