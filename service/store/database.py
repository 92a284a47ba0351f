"""The connection to the database: SQLite or PostgreSQL, with transactions that lose nothing."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import make_url
from sqlmodel import Session

_FOR_WRITING = "axlefit_for_writing"


class Database:
    """One database and its connection pool."""

    def __init__(self, url: str) -> None:
        self.url = make_url(url)
        self.engine = _engine(url)

    @property
    def is_missing(self) -> bool:
        """Whether this is a SQLite file that does not exist yet."""
        name = self.url.database
        return self._is_file and name is not None and not Path(name).exists()

    @property
    def _is_file(self) -> bool:
        return self.url.get_backend_name() == "sqlite" and self.url.database not in {None, "", ":memory:"}

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session whose reads all see one state of the database."""
        with self.engine.connect() as connection, Session(connection) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session in one transaction, committed at the end and rolled back on any error."""
        engine = self.engine.execution_options(**{_FOR_WRITING: True})
        with engine.begin() as connection, Session(connection) as session:
            yield session
            session.flush()

    def close(self) -> None:
        """Close the pool."""
        self.engine.dispose()


def _engine(url: str) -> Engine:
    engine = create_engine(url)
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    """Python's own transaction mode loses writes without an error; transactions are begun by us."""
    connection.isolation_level = None
    connection.execute("PRAGMA foreign_keys=ON")
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("PRAGMA busy_timeout=10000")


def _begin_sqlite(connection: Connection) -> None:
    """A writer takes its lock at once: a deferred one would fail half way with «database is locked»."""
    writes = connection.get_execution_options().get(_FOR_WRITING, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
