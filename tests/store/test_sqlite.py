"""SQLite is set so that what was committed is kept: rollback journal, full synchronisation, locks at once."""

import sqlite3
import threading
from contextlib import closing

import pytest
from sqlalchemy import text
from sqlalchemy.exc import OperationalError

from service.errors import DatabaseUnavailableError
from service.store.database import Database
from service.store.schema import upgrade


@pytest.fixture
def file(tmp_path):
    """The path of a SQLite database of this release's schema."""
    path = tmp_path / "shop.sqlite3"
    database = Database(f"sqlite:///{path}", create=True)
    upgrade(database)
    database.close()
    return path


@pytest.fixture
def opened(file, open_database):
    return open_database(f"sqlite:///{file}")


def take_the_writers_lock(file):
    """Take the lock without waiting for it, as another process would."""
    with closing(sqlite3.connect(file, timeout=0, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")


@pytest.mark.parametrize(
    ("setting", "value"),
    [
        ("journal_mode", "delete"),
        ("synchronous", 2),  # FULL
        ("foreign_keys", 1),
        ("busy_timeout", 30_000),  # ms
    ],
)
@pytest.mark.parametrize("kind", ["reading", "writing"])
def test_every_connection_has_the_setting(opened, kind, setting, value):
    with getattr(opened, kind)() as session:
        assert session.connection().execute(text(f"PRAGMA {setting}")).scalar_one() == value


def test_a_writer_takes_its_lock_before_its_first_statement(opened, file):
    with opened.writing(), pytest.raises(sqlite3.OperationalError, match="locked"):
        take_the_writers_lock(file)


def test_a_reader_leaves_the_lock_to_writers(opened, file):
    with opened.reading() as session:
        session.connection().execute(text("SELECT revision FROM catalogue")).scalar_one()
        take_the_writers_lock(file)


def test_a_writer_waits_for_the_one_before_instead_of_failing(opened):
    ended = []

    def write(name):
        with opened.writing():
            ended.append(name)

    with opened.writing():
        second = threading.Thread(target=write, args=["second"])
        second.start()
        second.join(timeout=0.1)
        ended.append("first")
    second.join()
    assert ended == ["first", "second"]


def test_no_file_stays_beside_the_database_after_a_write(opened, file):
    with opened.writing() as session:
        session.connection().execute(text("UPDATE catalogue SET revision = 1"))
    assert [found.name for found in file.parent.iterdir()] == [file.name]


@pytest.mark.parametrize("kind", ["reading", "writing"])
def test_a_file_that_is_not_there_is_refused_with_the_command_that_helps(tmp_path, open_database, kind):
    missing = open_database(f"sqlite:///{tmp_path / 'missing.sqlite3'}")
    with (
        pytest.raises(DatabaseUnavailableError, match=r"python -m service upgrade"),
        getattr(missing, kind)() as session,
    ):
        session.connection().execute(text("SELECT 1"))


@pytest.mark.parametrize("kind", ["reading", "writing"])
def test_a_file_that_is_not_there_is_not_made(tmp_path, open_database, kind):
    missing = open_database(f"sqlite:///{tmp_path / 'missing.sqlite3'}")
    with pytest.raises(DatabaseUnavailableError), getattr(missing, kind)():
        pass
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_not_a_database_is_told_as_unavailable(tmp_path, open_database):
    (tmp_path / "notes.txt").write_text("nothing of a database\n" * 1000, encoding="utf-8")
    with (
        pytest.raises(DatabaseUnavailableError),
        open_database(f"sqlite:///{tmp_path / 'notes.txt'}").reading(),
    ):
        pass


def test_a_repeated_upgrade_leaves_the_file_as_it_is(opened, file):
    before = file.read_bytes()
    upgrade(opened)
    assert file.read_bytes() == before


def test_a_wrong_statement_is_not_told_as_a_database_that_is_away(opened):
    with pytest.raises(OperationalError, match="no such table"), opened.reading() as session:
        session.connection().execute(text("SELECT * FROM wheel"))


def test_a_file_that_is_no_database_is_told_as_away(tmp_path):
    file = tmp_path / "axles.sqlite3"
    file.write_bytes(b"no database at all " * 100)
    with pytest.raises(DatabaseUnavailableError), Database(f"sqlite:///{file}").reading() as session:
        session.connection().execute(text("SELECT 1 FROM catalogue"))
