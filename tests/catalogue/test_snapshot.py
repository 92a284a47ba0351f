"""Lookups run on a snapshot, which is replaced whole when the catalogue's revision has moved."""

import sqlite3
import time
from collections import Counter
from contextlib import closing
from itertools import islice
from threading import Thread
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlmodel import text

from schemas.parts import AxleRecord
from service.catalogue import repository
from service.catalogue import snapshot as snapshots
from service.catalogue.records import TABLES, entry_of, record_json
from service.catalogue.repository import Change
from service.catalogue.snapshot import SnapshotKeeper, follow, read_snapshot, with_changes
from service.catalogue.writing import catalogue_write
from service.errors import CatalogueUnavailableError
from service.store.database import Database
from service.store.schema import upgrade

AXLES = "axles"


@pytest.fixture
def database(any_database):
    """An empty database of this release's schema, on both engines."""
    return any_database


@pytest.fixture
def demonstration(any_demonstration):
    """The demonstration catalogue in a database of the test's own, on both engines."""
    return any_demonstration


@pytest.fixture
def usual_thread(database, import_csv):
    """The usual thread of a shaft class in a catalogue of these axles."""

    def find(rows, shaft_mm):
        text = "sku,name,fastening,shaft_mm,thread\n" + "".join(
            f"A-{place},An axle,{fastening},{shaft},{thread}\n"
            for place, (fastening, shaft, thread) in enumerate(rows)
        )
        import_csv(database, AXLES, text)
        found = read_snapshot(database).facts.usual_threads.get(shaft_mm)
        return found and found.designation

    return find


def test_before_it_has_read_the_catalogue_a_keeper_has_no_snapshot(database):
    with pytest.raises(CatalogueUnavailableError):
        _ = SnapshotKeeper(database).current


def test_the_snapshot_stays_the_same_while_the_revision_does_not_move(database):
    keeper = SnapshotKeeper(database)
    first = keeper.refresh()
    assert keeper.refresh() is first
    assert keeper.current is first


def test_the_snapshot_is_replaced_when_the_revision_has_moved(database, import_csv):
    keeper = SnapshotKeeper(database)
    keeper.refresh()
    import_csv(database, AXLES, b"sku,name,fastening\nA-1,One,two_piece\n")
    keeper.refresh()
    assert (keeper.current.revision, list(keeper.current.axles)) == (1, ["A-1"])


def test_whoever_holds_the_old_snapshot_keeps_it(database, import_csv):
    keeper = SnapshotKeeper(database)
    held = keeper.refresh()
    import_csv(database, AXLES, b"sku,name,fastening\nA-1,One,two_piece\n")
    keeper.refresh()
    assert (held.revision, list(held.axles), list(held.engine_axles)) == (0, [], [])


def test_a_snapshot_cannot_be_changed(snapshot):
    with pytest.raises(TypeError):
        snapshot.axles["A-1"] = None


def test_the_keys_of_a_snapshot_are_in_order(snapshot):
    assert list(snapshot.axles) == sorted(snapshot.axles)
    assert [axle.sku for axle in snapshot.engine_axles] == list(snapshot.axles)


def test_the_usual_thread_is_that_of_most_threaded_wall_axles_of_the_class(usual_thread):
    rows = [
        ("threaded_wall", 8, "M8x1.25"),
        ("threaded_wall", 8, "M8x1"),
        ("threaded_wall", 8, "M8"),  # M8x1.25 as well
        ("threaded_wall", 6, "M8x1"),
        ("bolt_and_nut", 8, "M8x1"),
        ("bolt_and_nut", 8, "M8x1"),
    ]
    assert usual_thread(rows, 8.0) == "M8x1.25"


def test_of_two_equally_usual_threads_the_first_by_name_counts(usual_thread):
    rows = [("threaded_wall", 8, "M8x1.25"), ("threaded_wall", 8, "M7x1")]
    assert usual_thread(rows, 8.0) == "M7x1"


def test_a_class_without_threaded_wall_axles_has_no_usual_thread(usual_thread):
    assert usual_thread([("two_piece", 6.3, "M6x1")], 6.3) is None


# --- following a few changes ---------------------------------------------------------------------


SKUS = ["A-1", "B-2", "C-3", "D-4"]
COLUMNS = {
    "name": st.sampled_from(["An axle", 'Essieu «court», dit "ø" \\ 8']),
    "thread": st.sampled_from([None, "M8x1.25", "M8x1"]),
    "shaft_mm": st.sampled_from([None, 8.0]),
    "offset_mm": st.sampled_from([None, 0.0]),
    "drive": st.sampled_from([None, "slot", "hexagon_4"]),
    "colour": st.sampled_from([None, "black"]),
    "pack_quantity": st.integers(1, 3),
    "price": st.sampled_from([None, "2.40"]),
    "stock": st.sampled_from([None, 0, 3]),
}
WRITES = st.lists(
    st.tuples(st.sampled_from(SKUS), st.one_of(st.none(), st.fixed_dictionaries(COLUMNS)), st.booleans()),
    max_size=12,
)
"""For each write the SKU, the columns or None where the axle is removed, and whether it is followed."""


def kinds_of(snapshot):
    """The kinds that have members, by their columns: their places depend on what was there before."""
    return {kind.columns: kind for kind in snapshot.kinds if kind.skus}


def currencies_of(snapshot):
    """How many axles have a currency, by counting them."""
    counted = Counter(record.currency for record in snapshot.axles.values())
    assert snapshot.compact_axles.counts.currencies == counted
    return counted


@pytest.fixture
def write_axle():
    """Writes an axle with these columns, or removes it where they are None."""

    def write(database, sku, columns):
        table = TABLES["axles"]
        with catalogue_write(database, actor="a test", action="put") as opened:
            there = opened.find(table, sku)
            if columns is not None:
                currency = None if columns.get("price") is None else "EUR"
                needed = {"name": "An axle", "fastening": "threaded_wall", "currency": currency}
                record = AxleRecord(sku=sku, **needed | columns)
                opened.put(table, [entry_of(table, record)])
            elif there is not None:
                opened.remove(table, there)

    return write


@given(WRITES)
@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_snapshot_that_follows_the_changes_is_the_one_that_is_read_anew(tmp_path, write_axle, writes):
    database = Database(f"sqlite:///{tmp_path / uuid4().hex}", create=True)
    upgrade(database)
    followed = follow(database, None)
    for sku, columns, is_followed in [*writes, (SKUS[0], {}, True)]:
        write_axle(database, sku, columns)
        if not is_followed:
            continue
        followed = follow(database, followed)
        anew = read_snapshot(database)
        assert followed == anew
        assert list(followed.axles) == list(anew.axles)
        assert list(followed.engine_axles) == list(anew.engine_axles)
        assert followed.facts == anew.facts
        assert currencies_of(followed) == currencies_of(anew)
        assert kinds_of(followed) == kinds_of(anew)
    database.close()


def seen_in(snapshot):
    """All that a snapshot holds, copied."""
    records = list(snapshot.axles.items())
    answers = [snapshot.axle_json(sku) for sku in snapshot.axles]
    return records, answers, list(snapshot.engine_axles), list(snapshot.kinds), snapshot.facts


@given(st.lists(st.tuples(st.integers(0, 154), st.booleans()), min_size=1, max_size=5))
@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_snapshot_that_is_held_never_changes(snapshot, edits):
    before = seen_in(snapshot)
    skus = list(snapshot.axles)
    followed = snapshot
    for number, (place, is_removed) in enumerate(edits, start=1):
        record = snapshot.axles[skus[place]].model_copy(update={"stock": 900 + number, "shaft_mm": None})
        after = None if is_removed else record_json(record)
        change = Change(AXLES, record.sku, None, after)
        followed = with_changes(followed, snapshot.revision + number, None, [change])
        assert followed.axles.get(record.sku) == (None if is_removed else record)
    assert seen_in(snapshot) == before


def test_a_snapshot_that_is_held_stays_whole_when_the_catalogue_is_read_anew(demonstration):
    keeper = SnapshotKeeper(demonstration)
    held = keeper.refresh()
    before = seen_in(held)
    with demonstration.writing() as session:  # and nothing of it is recorded
        session.connection().execute(text("UPDATE axle SET stock = 77"))
        session.connection().execute(text("UPDATE catalogue SET revision = revision + 1"))
    assert {axle.stock for axle in keeper.refresh().axles.values()} == {77}
    assert seen_in(held) == before


def test_an_edit_leaves_nothing_to_let_go_and_a_snapshot_read_anew_everything(demonstration, monkeypatch):
    monkeypatch.setattr(repository, "_SOME_HUNDRED", 16)
    first = read_snapshot(demonstration).compact_axles
    record = first["TW8-36-M8-BK"].model_copy(update={"stock": 77})
    assert first.pieces_unlike(first.changed({record.sku: record})) == []
    anew = read_snapshot(demonstration).compact_axles
    assert len(first.pieces_unlike(anew)) > len(first.kinds)


def test_an_edit_makes_only_the_kinds_anew_that_it_changes(snapshot):
    record = snapshot.axles["TW8-36-M8-BK"].model_copy(update={"stock": 77})
    change = Change(AXLES, record.sku, None, record_json(record))
    followed = with_changes(snapshot, snapshot.revision + 1, None, [change])
    changed = [(one, two) for one, two in zip(snapshot.kinds, followed.kinds, strict=True) if one is not two]
    ((one, two),) = changed
    assert record.sku in one.skus
    assert two.axle is one.axle
    assert two.stocks[two.skus.index(record.sku)] == 77


def test_after_a_write_nobody_waits_long_for_a_read_of_the_whole_catalogue(
    sqlite, open_database, write_axle, monkeypatch
):
    monkeypatch.setattr(snapshots, "_PATIENCE_SECONDS", 0.05)
    database = open_database(sqlite.empty())
    write_axle(database, "A-1", {})
    keeper = SnapshotKeeper(database)
    with closing(sqlite3.connect(database.engine.url.database)) as other:
        other.execute("BEGIN EXCLUSIVE")  # whoever reads waits
        reading = Thread(target=keeper.refresh)
        reading.start()
        keeper.follow_write()
        assert reading.is_alive()
    reading.join()
    assert list(keeper.current.axles) == ["A-1"]


@pytest.mark.parametrize("few", [1000, 1])  # with the latter it is read once more, in one transaction
def test_what_others_write_while_axles_are_read_in_portions_is_in_the_snapshot(
    database, write_axle, monkeypatch, few
):
    monkeypatch.setattr(snapshots, "_FEW", few)
    monkeypatch.setattr(repository, "_PORTION", 2)
    monkeypatch.setattr(repository, "_SOME_HUNDRED", 2)
    for number in range(8):
        write_axle(database, f"A-{number}", {"stock": 1})
    writes = iter([("A-0", {"stock": 5}), ("A-1", None), ("A-6", {"stock": 6}), ("A-9", {}), ("AA", {})])

    def write_one():
        for sku, columns in islice(writes, 1):
            write_axle(database, sku, columns)

    followed = follow(database, None, rest=write_one)
    assert list(writes) == []
    assert followed == read_snapshot(database)
    stocks = {sku: axle.stock for sku, axle in followed.axles.items()}
    assert (stocks["A-0"], stocks["A-6"], "A-1" in stocks, "A-9" in stocks, "AA" in stocks) == (
        5,
        6,
        False,
        True,
        True,
    )


def test_without_a_write_the_snapshot_stays_the_same_one(demonstration):
    held = read_snapshot(demonstration)
    assert follow(demonstration, held) is held


def test_a_write_that_is_not_recorded_is_followed_too(demonstration):
    # The previous release moves the revision without a record of what it changed.
    held = read_snapshot(demonstration)
    sku = next(iter(held.axles))
    with demonstration.writing() as session:
        session.connection().execute(text("UPDATE axle SET stock = 77 WHERE sku = :sku"), {"sku": sku})
        session.connection().execute(text("UPDATE catalogue SET revision = revision + 1"))
    assert follow(demonstration, held).axles[sku].stock == 77


def test_a_database_that_was_put_back_and_written_on_is_read_anew(sqlite, open_database):
    # The lost write and the new one make a revision of the same number, at different moments.
    first = open_database(sqlite.empty())
    other = open_database(sqlite.empty())
    for database, sku in ((first, "LOST"), (other, "NEW")):
        record = AxleRecord(sku=sku, name="An axle", fastening="threaded_wall")
        with catalogue_write(database, actor="a test", action="put") as write:
            write.put(TABLES["axles"], [entry_of(TABLES["axles"], record)])
        time.sleep(0.01)
    assert list(follow(other, read_snapshot(first)).axles) == ["NEW"]
