"""A PostgreSQL server that hangs is given up in the end, and what it was asked is not done."""

import os
import signal
import time
from contextlib import contextmanager

import pytest
from sqlmodel import text

from service.errors import DatabaseUnavailableError
from service.store.database import Database

PATIENCE_SECONDS = 0.5
WITHIN_SECONDS = 5


@pytest.fixture
def opened(postgresql, monkeypatch):
    monkeypatch.setattr("service.store.postgresql.PATIENCE_SECONDS", PATIENCE_SECONDS)
    database = Database(postgresql.empty())
    yield database
    database.close()


@contextmanager
def hanging(pid):
    """The server's process for one connection stands still; the network goes on to take what is sent."""
    os.kill(pid, signal.SIGSTOP)
    try:
        yield
    finally:
        os.kill(pid, signal.SIGCONT)


def backend(session):
    """The process of the server that serves this session."""
    return session.connection().execute(text("SELECT pg_backend_pid()")).scalar_one()


def write_while_the_server_hangs(database):
    """Count a write on a connection whose server stands still; the server's process is returned."""
    with database.writing() as session:
        pid = backend(session)
        with hanging(pid):
            session.connection().execute(text("UPDATE catalogue SET revision = revision + 1"))
    return pid


def revision(database):
    with database.reading() as session:
        return session.connection().execute(text("SELECT revision FROM catalogue")).scalar_one()


def test_a_write_to_a_server_that_hangs_is_given_up(opened):
    before = revision(opened)
    began = time.monotonic()
    with pytest.raises(DatabaseUnavailableError):
        write_while_the_server_hangs(opened)
    assert PATIENCE_SECONDS <= time.monotonic() - began < WITHIN_SECONDS
    assert revision(opened) == before


def test_the_next_write_gets_another_connection(opened):
    with opened.reading() as session:
        pid = backend(session)
    with pytest.raises(DatabaseUnavailableError):
        write_while_the_server_hangs(opened)
    with opened.writing() as session:
        assert backend(session) != pid
