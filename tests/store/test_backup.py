"""A backup holds the whole database, the same for both engines; one that is not whole restores nothing."""

import gzip
import io
import json
import threading

import pytest
from sqlmodel import text

from schemas.feed import ImportRequest
from service.catalogue.records import TABLES
from service.catalogue.snapshot import read_snapshot
from service.catalogue.writing import Precondition, patch_record, remove_record
from service.errors import BackupError, SchemaVersionError
from service.fitting.imports import import_file
from service.partners.keys import Scope, caller_of, issue_key
from service.store.backup import back_up, restore
from service.store.database import Database

PEPPER = "a pepper of the tests"
AXLES = TABLES["axles"]
ANY = Precondition(any_state=True)


def lines_of(data):
    return gzip.decompress(data).decode().splitlines(keepends=True)


def packed(lines):
    return gzip.compress("".join(lines).encode())


def one_more(record):
    return record.model_copy(update={"stock": (record.stock or 0) + 1})


def a_shop_with_a_history(database):
    """Give the demonstration catalogue a key, an import that may be repeated, a change and a removal."""
    key = issue_key(database, name="Till", scopes=frozenset({Scope.CATALOGUE}), pepper=PEPPER)
    import_file(
        database,
        ImportRequest(table="axles"),
        io.BytesIO(b"sku,name,fastening\nA-1,One,two_piece\n"),
        digest="of the file",
        caller=caller_of(database, key, pepper=PEPPER),
        idempotency_key="once",
    )
    sku, other = list(read_snapshot(database).axles)[:2]

    def renamed(record):
        return record.model_copy(update={"name": "Täglich „neu“ × 2"})

    patch_record(database, AXLES, sku, renamed, precondition=ANY, actor="test")
    remove_record(database, AXLES, other, precondition=ANY, actor="test")
    return key


@pytest.fixture(params=["to_sqlite", "to_postgresql"])
def target(request, open_database):
    """An empty database to restore into, of each engine."""
    engine = request.getfixturevalue(request.param.removeprefix("to_"))
    return open_database(engine.empty())


@pytest.fixture(scope="module")
def backup_file(sqlite, tmp_path_factory):
    """A backup of the demonstration catalogue, and its lines."""
    database = Database(sqlite.demonstration())
    path = tmp_path_factory.mktemp("backup") / "good"
    back_up(database, path)
    database.close()
    return path


@pytest.fixture
def file(tmp_path):
    return tmp_path / "backup"


def test_what_is_restored_is_every_row_that_was_backed_up(demonstration, target, everything_in, file):
    a_shop_with_a_history(demonstration)
    back_up(demonstration, file)
    restore(target, file)
    assert everything_in(target) == everything_in(demonstration)


def test_a_backup_and_a_restore_count_the_rows(demonstration, target, everything_in, file):
    rows = sum(len(rows) for rows in everything_in(demonstration).values())
    assert (back_up(demonstration, file), restore(target, file)) == (rows, rows)


def test_a_key_is_valid_in_the_restored_database(demonstration, target, file):
    key = a_shop_with_a_history(demonstration)
    back_up(demonstration, file)
    restore(target, file)
    assert caller_of(target, key, pepper=PEPPER).name == "Till"


def test_the_restored_catalogue_is_written_on_from_its_revision(demonstration, target, file, import_csv):
    before = read_snapshot(demonstration).revision
    back_up(demonstration, file)
    restore(target, file)
    assert import_csv(target, "axles", "sku,name,fastening\nA,A,two_piece\n").revision == before + 1


def test_a_backup_of_the_restored_database_has_the_same_lines(demonstration, target, file, tmp_path):
    back_up(demonstration, file)
    restore(target, file)
    back_up(target, tmp_path / "again")
    assert gzip.decompress((tmp_path / "again").read_bytes()) == gzip.decompress(file.read_bytes())


def test_a_backup_made_while_others_write_is_of_one_moment(demonstration, file):
    sku = next(iter(read_snapshot(demonstration).axles))
    written, enough = threading.Event(), threading.Event()

    def write():
        while not enough.is_set():
            patch_record(demonstration, AXLES, sku, one_more, precondition=ANY, actor="test")
            written.set()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for _ in range(3):
            assert written.wait(timeout=30)
            written.clear()
            back_up(demonstration, file)
            rows = [json.loads(line) for line in lines_of(file.read_bytes())[1:-1]]
            (revision,) = [row["revision"] for table, row in rows if table == "catalogue"]
            writes = [row["revision"] for table, row in rows if table == "catalogue_write"]
            assert writes == list(range(1, revision + 1))
    finally:
        enough.set()
        writer.join()


def test_a_database_that_is_not_empty_is_refused_and_stays_as_it_is(
    target, backup_file, import_csv, everything_in
):
    import_csv(target, "sleeves", "sku,name,inner_mm,outer_mm,length_mm\nS,S,6,8,24\n")
    before = everything_in(target)
    with pytest.raises(BackupError, match="not empty"):
        restore(target, backup_file)
    assert everything_in(target) == before


def test_a_database_with_a_key_alone_is_not_empty(target, backup_file):
    issue_key(target, name="Till", scopes=frozenset({Scope.ADMIN}), pepper=PEPPER)
    with pytest.raises(BackupError, match="not empty"):
        restore(target, backup_file)


def test_a_database_of_an_earlier_schema_is_refused(engine, open_database, migrate_to, backup_file):
    earlier = open_database(engine.blank(), create=True)
    migrate_to(earlier, "0001")
    with pytest.raises(SchemaVersionError, match="python -m service upgrade"):
        restore(earlier, backup_file)


def first_row(lines, table):
    return next(place for place, line in enumerate(lines) if line.startswith(f'["{table}"'))


def changed_row(data):
    lines = lines_of(data)
    place = first_row(lines, "sleeve")
    lines[place] = lines[place].replace('"inner_um": 6000', '"inner_um": 6001')
    assert packed(lines) != packed(lines_of(data))
    return packed(lines)


def lost_row(data):
    lines = lines_of(data)
    del lines[first_row(lines, "frame")]
    return packed(lines)


def row_of_its_own(data):
    lines = lines_of(data)
    place = first_row(lines, "sleeve")
    return packed([*lines[:place], lines[place].replace('"SL-', '"XL-'), *lines[place:]])


def swapped_rows(data):
    lines = lines_of(data)
    place = first_row(lines, "sleeve")
    return packed([*lines[:place], lines[place + 1], lines[place], *lines[place + 2 :]])


def of_another_schema(data):
    first, *rest = lines_of(data)
    return packed([json.dumps(json.loads(first) | {"schema_version": "0001"}) + "\n", *rest])


DAMAGES = {
    "empty": lambda _: b"",
    "the last byte is gone": lambda data: data[:-1],
    "the end of the gzip stream is gone": lambda data: data[:-8],
    "half": lambda data: data[: len(data) // 2],
    "the first ten bytes": lambda data: data[:10],
    "the last line is gone": lambda data: packed(lines_of(data)[:-1]),
    "the rows are gone": lambda data: packed([lines_of(data)[0], lines_of(data)[-1]]),
    "a checksum of the gzip stream is wrong": lambda data: data[:-8] + bytes([data[-8] ^ 1]) + data[-7:],
    "a row is changed": changed_row,
    "a row is lost": lost_row,
    "a row is added": row_of_its_own,
    "rows are swapped": swapped_rows,
    "of another schema version": of_another_schema,
    "without its first line": lambda data: packed(lines_of(data)[1:]),
    "another program's lines": lambda _: packed(['{"dump_of": "something else"}\n']),
    "not lines of JSON": lambda _: packed(["sku,name,fastening\n", "A,A,two_piece\n"]),
    "not compressed": lambda data: "".join(lines_of(data)).encode(),
    "compressed nothing": lambda _: packed([]),
}


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_or_foreign_backup_is_refused_and_changes_nothing(
    damage, unchanged, backup_file, file, everything_in
):
    before = everything_in(unchanged)
    file.write_bytes(DAMAGES[damage](backup_file.read_bytes()))
    with pytest.raises(BackupError):
        restore(unchanged, file)
    assert everything_in(unchanged) == before


def test_a_backup_that_is_not_there_is_refused(unchanged, file):
    with pytest.raises(BackupError, match="cannot be read"):
        restore(unchanged, file)


def test_the_requests_of_the_last_minute_are_neither_backed_up_nor_in_the_way_of_a_restore(
    demonstration, target, everything_in, file
):
    count = text("INSERT INTO request_count (client, began_at_ms, used) VALUES ('key K', 1, 1)")
    for database in (demonstration, target):
        with database.writing() as session:
            session.connection().execute(count)
    back_up(demonstration, file)
    assert b"request_count" not in gzip.decompress(file.read_bytes())
    restore(target, file)
    assert everything_in(target) == everything_in(demonstration)
