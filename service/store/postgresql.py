"""Connections to PostgreSQL that do not wait for ever: a server may hang, and its network still answer."""

from __future__ import annotations

from typing import Any

import psycopg
from psycopg.abc import PQGen
from sqlalchemy import Engine, create_engine, event
from sqlalchemy.engine import URL

_CONNECT_SECONDS = 5
PATIENCE_SECONDS = 30.0
"""How long one answer of the server may take, a writer's turn among them; as long as SQLite waits."""


class PatientConnection(psycopg.Connection[Any]):
    """A connection that is given up when the server does not answer."""

    def wait(self, gen: PQGen[Any], interval: float = 0.1, timeout: float | None = None) -> Any:
        """Wait for the server, but not for ever.

        Raises
        ------
        psycopg.OperationalError
            If it does not answer in time; the connection is closed then, since an answer may still come.
        """
        try:
            return super().wait(gen, interval, PATIENCE_SECONDS if timeout is None else timeout)
        except psycopg.OperationalError:
            if self.pgconn.transaction_status == psycopg.pq.TransactionStatus.ACTIVE:
                self.pgconn.finish()
            raise


def postgresql_engine(url: URL) -> Engine:
    """The engine for a PostgreSQL database."""
    engine = create_engine(
        url.set(drivername="postgresql+psycopg"),
        pool_pre_ping=True,
        connect_args={"connect_timeout": _CONNECT_SECONDS},
        hide_parameters=True,  # errors go to the log, and values may be secrets
    )
    event.listen(engine, "do_connect", _connect)
    return engine


def _connect(_dialect: Any, _record: Any, arguments: list[Any], options: dict[str, Any]) -> PatientConnection:
    return PatientConnection.connect(*arguments, **options)
