"""Notices of writes, from process to process through PostgreSQL; SQLite has none.

A notice says that the revision has moved, and nothing else: who hears one looks at the catalogue. So a notice
that is lost costs a delay, and never a write.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sqlmodel import Session, text

from service.errors import DatabaseUnavailableError
from service.store.database import Database

_CHANNEL = "axlefit_revision"
# A server that is gone without a word is found out within half a minute; the system's own is two hours.
_PATIENT: dict[str, Any] = {
    "connect_timeout": 5,
    "keepalives_idle": 15,
    "keepalives_interval": 5,
    "keepalives_count": 3,
}


def gives_notices(database: Database) -> bool:
    """Whether the database tells other processes of a write."""
    return database.engine.dialect.name == "postgresql"


def give_notice(session: Session) -> None:
    """Tell every process that listens, at the moment when this transaction is committed."""
    if session.connection().dialect.name == "postgresql":
        session.connection().execute(text("SELECT pg_notify(:channel, '')"), {"channel": _CHANNEL})


async def listen(database: Database, heard: Callable[[], None]) -> None:
    """Call back at each notice, on a connection of its own, for as long as that lasts.

    The first notice is its own: whoever hears it knows that notices come through, which they do not behind a
    pool that lends connections by the transaction.

    Raises
    ------
    DatabaseUnavailableError
        When the connection is lost, or cannot be made.
    """
    import psycopg  # noqa: PLC0415 (it is an extra, and here only with PostgreSQL)

    engine = database.engine
    arguments, options = engine.dialect.create_connect_args(engine.url)
    try:
        connection = await psycopg.AsyncConnection.connect(
            *arguments, autocommit=True, **(_PATIENT | dict(options))
        )
        async with connection:
            await connection.execute(f"LISTEN {_CHANNEL}")
            await connection.execute("SELECT pg_notify(%s, '')", [_CHANNEL])
            async for _ in connection.notifies():
                heard()
    except (psycopg.Error, OSError) as error:
        raise DatabaseUnavailableError("Notices of writes cannot be heard just now.") from error
    raise DatabaseUnavailableError("Notices of writes have ended.")
