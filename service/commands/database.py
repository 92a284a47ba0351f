"""The database that the commands work on."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from service.settings import Settings
from service.store.database import Database
from service.store.schema import require_current


@contextmanager
def current_database(settings: Settings) -> Iterator[Database]:
    """The database of the settings, of this release's schema; closed in the end."""
    database = Database(settings.database_url)
    try:
        require_current(database)
        yield database
    finally:
        database.close()
