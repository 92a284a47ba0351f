"""Backup and restore on the command line, and the list of data warnings."""

import pytest
from sqlalchemy.exc import OperationalError

from service.catalogue.snapshot import read_snapshot
from service.store.database import Database


@pytest.fixture
def backup(run, demonstration_file, tmp_path):
    file = tmp_path / "backup"
    assert run("backup", file, on=demonstration_file)[0] == 0
    return file


def test_what_is_restored_is_what_was_backed_up(backup, run, tmp_path, snapshot):
    other = tmp_path / "other.sqlite3"
    assert run("upgrade", on=other)[0] == 0
    assert run("restore", backup, on=other)[0] == 0
    database = Database(f"sqlite:///{other}")
    assert read_snapshot(database) == snapshot
    database.close()


def test_a_backup_is_not_restored_over_a_catalogue(backup, run, demonstration_copy):
    status, _, err = run("restore", backup, on=demonstration_copy)
    assert status == 1
    assert "not empty" in err


def test_half_a_backup_is_refused(backup, run, tmp_path):
    half = tmp_path / "half"
    half.write_bytes(backup.read_bytes()[: backup.stat().st_size // 2])
    other = tmp_path / "other.sqlite3"
    run("upgrade", on=other)
    assert run("restore", half, on=other)[0] == 1
    database = Database(f"sqlite:///{other}")
    assert (read_snapshot(database).revision, len(read_snapshot(database).axles)) == (0, 0)
    database.close()


def test_check_lists_the_gaps_of_the_demonstration(run, demonstration_file):
    status, out, _ = run("check", on=demonstration_file)
    assert status == 0
    assert "TW8-UNMEASURED: it is never listed, since length_mm is not known (no_width_window)" in out
    assert "TP8-32-WIDECLAIM" in out
    assert out.splitlines()[-1] == f"{len(out.splitlines()) - 1} warnings."


def test_an_older_backup_stays_where_a_new_one_fails(backup, run, tmp_path):
    before = backup.read_bytes()
    assert run("backup", backup, on=tmp_path / "no database")[0] == 1
    broken = tmp_path / "broken.sqlite3"
    assert run("upgrade", on=broken)[0] == 0
    database = Database(f"sqlite:///{broken}")
    with database.writing() as session:
        session.connection().exec_driver_sql("DROP TABLE sleeve")
    database.close()
    with pytest.raises(OperationalError, match="no such table"):
        run("backup", backup, on=broken)
    assert backup.read_bytes() == before
