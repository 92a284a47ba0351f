"""New databases for the fault commands, with what a shop has in them."""

import tempfile
from contextlib import contextmanager
from pathlib import Path

from service.partners.keys import Scope, issue_key
from service.settings import Settings
from service.store.database import Database
from tests.both_engines import with_schema
from tests.postgresql_server import binaries, running_server

ENGINES = ("sqlite", "postgresql")


@contextmanager
def new_database(engine):
    """The URL of a new database of this release's schema; it is gone afterwards."""
    if engine == "postgresql":
        with running_server(binaries()) as server:
            yield with_schema(server.new_database())
    else:
        with tempfile.TemporaryDirectory(prefix="axlefit-faults-") as folder:
            yield with_schema(f"sqlite:///{Path(folder) / 'shop.sqlite3'}")


@contextmanager
def opened(url):
    """The database of a URL, closed in the end."""
    database = Database(url)
    try:
        yield database
    finally:
        database.close()


def key_for(database):
    """A key that may write the catalogue of a service with default settings."""
    pepper = Settings().key_pepper.get_secret_value()
    return issue_key(database, name="Till", scopes=frozenset({Scope.CATALOGUE}), pepper=pepper)
