"""Databases as the migrations build them, the demonstration catalogue, and a client of the application."""

import io
import shutil
import warnings
from contextlib import ExitStack
from pathlib import Path

import pytest
from hypothesis import settings
from starlette.exceptions import StarletteDeprecationWarning

from service.app import create_app
from service.catalogue.records import TABLES
from service.catalogue.snapshot import read_snapshot
from service.catalogue.transfer import export_table, import_table
from service.commands.serve import load_demonstration
from service.settings import Settings
from service.store.database import Database
from service.store.schema import upgrade
from tests.both_engines import (  # noqa: F401 (fixtures)
    any_database,
    any_demonstration,
    engine,
    open_database,
    postgresql,
    sqlite,
)
from tests.postgresql_server import postgresql_server  # noqa: F401 (a fixture)
from tests.running_service import served  # noqa: F401 (a fixture)

with warnings.catch_warnings():
    # The test client runs on httpx, and says that it would rather have its successor.
    warnings.filterwarnings("ignore", message="Using `httpx` with", category=StarletteDeprecationWarning)
    from starlette.testclient import TestClient

# The same examples on every machine, and no example is too slow: a law is true or it is not.
settings.register_profile("repeatable", derandomize=True, deadline=None, database=None)
settings.load_profile("repeatable")

SEED_DATA = Path(__file__).resolve().parents[1] / "seed_data"
NEVER = 60.0
"""Seconds between two looks at the revision [s], where no test waits for one."""


def sqlite_url(path):
    return f"sqlite:///{path}"


@pytest.fixture(scope="session")
def seed_data():
    """The folder of the demonstration catalogue."""
    return SEED_DATA


@pytest.fixture
def database(tmp_path):
    """An empty database of this release's schema, as the migrations build it."""
    made = Database(sqlite_url(tmp_path / "empty.sqlite3"), create=True)
    upgrade(made)
    yield made
    made.close()


@pytest.fixture(scope="session")
def import_csv():
    """Imports a file of a table, given as text or as bytes."""

    def load(database, table, written, *, dry_run=False):
        file = io.BytesIO(written if isinstance(written, bytes) else written.encode())
        return import_table(database, TABLES[table], file, actor="test", dry_run=dry_run)

    return load


@pytest.fixture(scope="session")
def export_csv():
    """Exports a table as text."""

    def save(database, table):
        out = io.StringIO(newline="")
        export_table(database, TABLES[table], out)
        return out.getvalue()

    return save


@pytest.fixture(scope="session")
def demonstration_file(tmp_path_factory):
    """The demonstration catalogue in a file that every test shares and none changes."""
    path = tmp_path_factory.mktemp("demonstration") / "shared.sqlite3"
    database = Database(sqlite_url(path), create=True)
    upgrade(database)
    load_demonstration(database)
    database.close()
    return path


@pytest.fixture
def demonstration_copy(demonstration_file, tmp_path):
    """The demonstration catalogue in a file of the test's own."""
    return Path(shutil.copy(demonstration_file, tmp_path / "own.sqlite3"))


@pytest.fixture
def demonstration(demonstration_copy):
    """The demonstration catalogue in a database that the test may change."""
    opened = Database(sqlite_url(demonstration_copy))
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def snapshot(demonstration_file):
    """The demonstration catalogue as lookups see it."""
    database = Database(sqlite_url(demonstration_file))
    read = read_snapshot(database)
    database.close()
    return read


@pytest.fixture(scope="session")
def client(demonstration_file):
    """A client of the started application on the demonstration catalogue."""
    app = create_app(Settings(database_url=sqlite_url(demonstration_file), refresh_seconds=NEVER))
    with TestClient(app) as started:
        yield started


@pytest.fixture(scope="session")
def client_of():
    """A client of an application, which starts with its first use in a `with`."""
    return TestClient


@pytest.fixture
def start_client():
    """Starts the application on a database, a file or a URL, with settings that the test says."""
    with ExitStack() as started:

        def start(where, *, refresh_seconds=NEVER, **others):
            url = where if isinstance(where, str) else sqlite_url(where)
            app = create_app(Settings(database_url=url, refresh_seconds=refresh_seconds, **others))
            return started.enter_context(TestClient(app))

        yield start
