"""Databases on SQLite and on PostgreSQL: a test that asks for one of these fixtures runs on both.

Each database is a copy of one that the migrations built, so that a test has its own and waits little for it.
"""

import itertools
import shutil
from contextlib import contextmanager
from pathlib import Path

import pytest

from service.commands.serve import load_demonstration
from service.store.database import Database
from service.store.schema import upgrade

ENGINES = ("sqlite", "postgresql")


def with_schema(url):
    """Bring a new database to this release's schema."""
    database = Database(url, create=True)
    upgrade(database)
    database.close()
    return url


def with_demonstration(url):
    """Bring a new database to this release's schema, with the demonstration catalogue in it."""
    database = Database(with_schema(url))
    load_demonstration(database)
    database.close()
    return url


class SQLiteFiles:
    """Makes SQLite databases: the URL of a file that is not there yet, or of a copy."""

    name = "sqlite"

    def __init__(self, folder):
        self._folder = folder
        self._numbers = itertools.count(1)

    def new(self, like=None):
        path = self._folder / f"database-{next(self._numbers)}.sqlite3"
        if like:
            shutil.copy(like.removeprefix("sqlite:///"), path)
        return f"sqlite:///{path}"

    def drop(self, url):
        Path(url.removeprefix("sqlite:///")).unlink(missing_ok=True)


class PostgreSQLDatabases:
    """Makes PostgreSQL databases: the URL of an empty one, or of a copy."""

    name = "postgresql"

    def __init__(self, server):
        self.server = server

    def new(self, like=None):
        return self.server.new_database(like)

    def drop(self, url):
        self.server.drop_database(url)


class Engine:
    """Gives out the URLs of new databases of one kind."""

    def __init__(self, makes):
        self._makes = makes
        self._built = {}

    @property
    def name(self):
        return self._makes.name

    def blank(self):
        """A database without a schema."""
        return self._makes.new()

    def empty(self):
        """A database of this release's schema, without a part."""
        return self._copy(with_schema)

    def demonstration(self):
        """A database with the demonstration catalogue."""
        return self._copy(with_demonstration)

    def drop(self, url):
        """Remove a database that nobody uses any more."""
        self._makes.drop(url)

    def _copy(self, build):
        if build not in self._built:
            self._built[build] = build(self._makes.new())
        return self._makes.new(like=self._built[build])


@pytest.fixture(scope="session")
def sqlite(tmp_path_factory):
    """New SQLite databases."""
    return Engine(SQLiteFiles(tmp_path_factory.mktemp("sqlite")))


@pytest.fixture(scope="session")
def postgresql(postgresql_server):
    """New PostgreSQL databases."""
    return Engine(PostgreSQLDatabases(postgresql_server))


@pytest.fixture(scope="session", params=ENGINES)
def engine(request):
    """New databases of each kind, one after the other."""
    return request.getfixturevalue(request.param)


@pytest.fixture
def open_database():
    """Opens databases, and closes them in the end."""
    opened = []

    def open_one(url, **options):
        opened.append(Database(url, **options))
        return opened[-1]

    yield open_one
    for database in opened:
        database.close()


@contextmanager
def opened_and_dropped(engine, url):
    """The database of a URL, closed and removed in the end."""
    database = Database(url)
    try:
        yield database
    finally:
        database.close()
        engine.drop(url)


@pytest.fixture
def any_database(engine):
    """An empty database of this release's schema, on both engines."""
    with opened_and_dropped(engine, engine.empty()) as database:
        yield database


@pytest.fixture
def any_demonstration(engine):
    """The demonstration catalogue in a database of the test's own, on both engines."""
    with opened_and_dropped(engine, engine.demonstration()) as database:
        yield database
