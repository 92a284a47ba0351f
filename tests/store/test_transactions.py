"""A writer's transaction is whole or nothing, and no acknowledged write is lost."""

import threading

import pytest
from sqlalchemy.exc import DBAPIError
from sqlmodel import select, text

from service.store.tables import CatalogueRow, SleeveRow


class PowerCutError(Exception):
    """Anything that goes wrong half way."""


def count_one_more(database):
    """Read the revision, and write it back one greater."""
    with database.writing() as session:
        row = session.exec(select(CatalogueRow)).one()
        row.revision += 1
        session.add(row)


def write_half(database):
    """Add a sleeve and count one more write, and meet an error before the end."""
    with database.writing() as session:
        session.add(
            SleeveRow(
                sku="S", name="A sleeve", inner_um=6000, outer_um=8000, length_um=24000, pack_quantity=1
            )
        )
        session.exec(select(CatalogueRow)).one().revision += 1
        session.flush()
        raise PowerCutError


def revision_of(database):
    with database.reading() as session:
        return session.exec(select(CatalogueRow.revision)).one()


def test_a_write_that_fails_half_way_leaves_nothing_behind(database):
    with pytest.raises(PowerCutError):
        write_half(database)
    with database.reading() as session:
        assert session.exec(select(CatalogueRow.revision)).one() == 0
        assert session.exec(select(SleeveRow)).all() == []


def test_a_write_that_ends_well_is_there_for_another_connection(engine, open_database):
    url = engine.empty()
    count_one_more(open_database(url))
    assert revision_of(open_database(url)) == 0 + 1


def test_writers_at_the_same_time_lose_no_write(database):
    together = threading.Barrier(4)

    def write():
        together.wait()
        for _ in range(5):
            count_one_more(database)

    writers = [threading.Thread(target=write) for _ in range(4)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert revision_of(database) == 4 * 5


def test_a_reader_sees_one_state_while_another_writes_or_waits_to_write(database):
    with database.reading() as session:
        before = session.exec(select(CatalogueRow.revision)).one()
        writer = threading.Thread(target=count_one_more, args=[database])
        writer.start()
        writer.join(timeout=0.2)
        assert session.exec(select(CatalogueRow.revision)).one() == before
    writer.join()
    assert revision_of(database) == before + 1


def test_an_error_of_the_database_does_not_tell_the_values_that_it_was_given(database):
    statement = text("SELECT * FROM nowhere WHERE digest = :digest")
    with pytest.raises(DBAPIError) as caught, database.engine.connect() as connection:
        connection.execute(statement, {"digest": "Zwieback"})
    assert "Zwieback" not in str(caught.value)
