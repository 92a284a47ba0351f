"""The connection to the database: SQLite or PostgreSQL, with transactions that lose nothing."""

from __future__ import annotations

import random
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, cast

from sqlalchemy import Connection, Engine, NullPool, create_engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.exc import (
    ArgumentError,
    DatabaseError,
    DataError,
    IntegrityError,
    InterfaceError,
    ProgrammingError,
)
from sqlalchemy.exc import TimeoutError as PoolTimeoutError
from sqlmodel import Session, text

from service.errors import DatabaseUnavailableError, SettingsError

_FOR_WRITING = "axlefit_for_writing"
_FOR_COUNTING = "axlefit_for_counting"
_BUSY_TIMEOUT_MS = 30_000
_COUNTING_SECONDS = 1.0
_NO_ROOM = {"53100", "54000"}
"""PostgreSQL's codes for a full disk and for a file that may not grow (appendix A, class 53 and 54)."""
_PRIMARY_CODE = 0xFF  # of SQLite: the rest says what kind of it


class Database:
    """One database; a SQLite file that does not exist is made only where that is asked for."""

    def __init__(self, url: str, *, create: bool = False) -> None:
        self.engine = _engine(url, create=create)

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session whose reads all see one state of the database.

        Raises
        ------
        DatabaseUnavailableError
            If the database cannot be reached.
        """
        engine = self.engine
        if engine.dialect.name == "postgresql":
            engine = engine.execution_options(isolation_level="REPEATABLE READ")
        with _told_as_unavailable(), engine.connect() as connection, Session(connection) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session in one transaction, committed at the end and rolled back on any error.

        Writers follow one another, so that what one has read nobody changes before it writes.

        Raises
        ------
        DatabaseUnavailableError
            If the database cannot be reached.
        """
        engine = self.engine.execution_options(**{_FOR_WRITING: True})
        with _told_as_unavailable(), engine.begin() as connection, Session(connection) as session:
            if connection.dialect.name == "postgresql":
                # Each statement sees what the writers before have committed (READ COMMITTED, the default).
                connection.execute(text("SELECT pg_advisory_xact_lock(hashtext('axlefit_writer'))"))
            yield session
            session.flush()

    @contextmanager
    def counting(self) -> Iterator[Connection]:
        """A connection for short statements, committed at the end, that lookups wait for.

        It does not stand in the queue of the writers, an import would hold it up, and it gives up soon.

        Raises
        ------
        DatabaseUnavailableError
            If the database cannot be reached, or is busy for a second.
        """
        engine = self.engine.execution_options(**{_FOR_WRITING: True, _FOR_COUNTING: True})
        with _told_as_unavailable(), engine.begin() as connection:
            if connection.dialect.name == "postgresql":
                # A crash of the server may take the last counts with it, and nothing else.
                connection.execute(
                    text(
                        "SELECT set_config('synchronous_commit', 'off', true),"
                        " set_config('lock_timeout', :patience, true)"
                    ),
                    {"patience": f"{_COUNTING_SECONDS}s"},
                )
            yield connection

    def close(self) -> None:
        """Close the pool."""
        self.engine.dispose()


@contextmanager
def _told_as_unavailable() -> Iterator[None]:
    try:
        yield
    except (IntegrityError, ProgrammingError, DataError):
        raise  # the database answers, and what it was asked is wrong
    except (DatabaseError, InterfaceError, PoolTimeoutError) as error:
        if _is_wrong_statement(error):
            raise
        raise DatabaseUnavailableError(_what_is_wrong(error)) from error


def _is_wrong_statement(error: Exception) -> bool:
    """SQLite tells a wrong statement by the same class as a file that cannot be read."""
    code: int | None = getattr(getattr(error, "orig", None), "sqlite_errorcode", None)
    return code == sqlite3.SQLITE_ERROR


def _what_is_wrong(error: Exception) -> str:
    """What an operator can do something about is told apart from a database that is away."""
    original = getattr(error, "orig", None)
    code: int | None = getattr(original, "sqlite_errorcode", None)
    if code == sqlite3.SQLITE_FULL or getattr(original, "sqlstate", None) in _NO_ROOM:
        return "The database has no room to write: its disk is full. Nothing was changed."
    if code is not None and code & _PRIMARY_CODE == sqlite3.SQLITE_IOERR:
        return "The database's disk does not read or write as it should. Nothing was changed."
    return "The database cannot be reached just now."


def _engine(url: str, *, create: bool) -> Engine:
    try:
        parsed = make_url(url)
    except ArgumentError:
        raise SettingsError(
            "AXLEFIT_DATABASE_URL is not a database URL, such as sqlite:///axlefit.sqlite3."
        ) from None
    if parsed.get_backend_name() not in {"sqlite", "postgresql"}:
        raise SettingsError("AXLEFIT_DATABASE_URL names neither SQLite nor PostgreSQL.")
    if parsed.get_backend_name() == "postgresql":
        from service.store.postgresql import postgresql_engine  # noqa: PLC0415 (its driver is an extra)

        return postgresql_engine(parsed)
    # The driver asks each NULL for its adapter in vain, which takes longer than all else of an insert.
    sqlite3.register_adapter(type(None), {None: None}.get)
    # Without a pool a file that was restored or put back is the one that is read.
    engine = create_engine(parsed, poolclass=NullPool, hide_parameters=True)
    if not create:
        event.listen(engine, "do_connect", _refuse_missing_file)
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _refuse_missing_file(_dialect: Any, _record: Any, arguments: list[Any], _options: Any) -> None:
    """SQLite would make an empty file in silence."""
    if not Path(arguments[0]).exists():
        raise DatabaseUnavailableError("The database file is not there. Run: python -m service upgrade")


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    """Python's own transaction mode loses writes without an error; transactions are begun by us."""
    connection.isolation_level = None
    connection.execute("PRAGMA foreign_keys=ON")
    connection.execute("PRAGMA journal_mode=DELETE")
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("PRAGMA cache_size=-32768")  # KiB: an import of many rows does not spill
    connection.execute(f"PRAGMA busy_timeout={_BUSY_TIMEOUT_MS}")


def _begin_sqlite(connection: Connection) -> None:
    """A writer takes its lock at once: a deferred one would fail half way with «database is locked»."""
    options = connection.get_execution_options()
    if options.get(_FOR_COUNTING, False):
        _begin_to_count(connection)
    else:
        connection.exec_driver_sql("BEGIN IMMEDIATE" if options.get(_FOR_WRITING, False) else "BEGIN")


def _begin_to_count(connection: Connection) -> None:
    """SQLite's own waiting asks for the file ever less often, and starves where others write all the time."""
    raw = cast("sqlite3.Connection", connection.connection.driver_connection)
    raw.execute("PRAGMA busy_timeout=0")
    deadline = time.monotonic() + _COUNTING_SECONDS
    while time.monotonic() < deadline:
        try:
            raw.execute("BEGIN IMMEDIATE")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode != sqlite3.SQLITE_BUSY:
                break  # told by the statement below, as every other error is
            time.sleep(random.uniform(0.001, 0.004))  # noqa: S311 (so that workers do not ask in step)
        else:
            # The commit may have to wait for readers, and is not to fail for it.
            raw.execute(f"PRAGMA busy_timeout={_BUSY_TIMEOUT_MS}")
            return
    connection.exec_driver_sql("BEGIN IMMEDIATE")
