"""The only place that queries and writes the tables of keys, kept answers and counted requests."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection
from sqlmodel import Session, col, func, select, text, update

from service.store.access import ApiKeyRow, IdempotentAnswerRow


class KeyRepository:
    """The keys in one session."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, row: ApiKeyRow) -> None:
        """Store a key's row."""
        self._session.add(row)

    def find(self, identifier: str) -> ApiKeyRow | None:
        """The key of this identifier."""
        row = self._session.get(ApiKeyRow, identifier)
        if row is not None:
            self._session.expunge(row)
        return row

    def all(self) -> list[ApiKeyRow]:
        """All keys, oldest first."""
        rows = list(self._session.exec(select(ApiKeyRow).order_by(ApiKeyRow.issued_at, ApiKeyRow.id)))
        self._session.expunge_all()
        return rows

    def revoke(self, identifier: str, *, at: str) -> bool:
        """Mark a key as revoked, from the first time on; whether there is such a key is returned."""
        first = func.coalesce(col(ApiKeyRow.revoked_at), at)
        statement = update(ApiKeyRow).where(col(ApiKeyRow.id) == identifier).values(revoked_at=first)
        return self._session.connection().execute(statement).rowcount == 1


class AnswerRepository:
    """The kept answers in one session."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def find(self, actor: str, key: str) -> IdempotentAnswerRow | None:
        """The answer that this caller got for this key."""
        return self._session.get(IdempotentAnswerRow, (actor, key))

    def keep(self, row: IdempotentAnswerRow) -> None:
        """Keep an answer, in the transaction of the work that it tells of."""
        self._session.add(row)


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """A client's window after a request: whether that was counted, and where the window stands."""

    counted: bool
    used: int
    began_at_ms: int
    now_ms: int


# The clock of all workers is that of the database; it stands still while a statement runs.
_NOW_MS = {
    "sqlite": "CAST(ROUND((julianday('now') - 2440587.5) * 86400000) AS BIGINT)",
    "postgresql": "CAST(EXTRACT(EPOCH FROM statement_timestamp()) * 1000 AS BIGINT)",
}
# A window ends after its length, or when the clock was put back by more than that.
_OVER = "ABS(excluded.began_at_ms - request_count.began_at_ms) >= :window_ms"
_COUNT = f"""
    INSERT INTO request_count (client, began_at_ms, used) VALUES (:client, {{now}}, 1)
    ON CONFLICT (client) DO UPDATE SET
        used = CASE WHEN {_OVER} THEN 1 ELSE request_count.used + 1 END,
        began_at_ms = CASE WHEN {_OVER} THEN excluded.began_at_ms ELSE request_count.began_at_ms END
    WHERE request_count.used < :quota OR {_OVER}
    RETURNING used, began_at_ms, {{now}} AS now_ms
"""  # noqa: S608 (the parts are ours)
_STANDING = "SELECT used, began_at_ms, {now} AS now_ms FROM request_count WHERE client = :client"
_SWEEP = "DELETE FROM request_count WHERE ABS({now} - began_at_ms) >= :window_ms"


class CountRepository:
    """The counted requests, on a connection of one short transaction; `now_ms` is for tests."""

    def __init__(self, connection: Connection, *, window_ms: int, now_ms: int | None = None) -> None:
        self._connection = connection
        self._now = _NOW_MS[connection.dialect.name] if now_ms is None else str(int(now_ms))
        self._window_ms = window_ms

    def count(self, client: str, *, quota: int) -> Count:
        """Count one request, in one statement, unless the quota of the window is used up."""
        values = {"client": client, "window_ms": self._window_ms, "quota": quota}
        row = self._connection.execute(text(_COUNT.format(now=self._now)), values).one_or_none()
        counted = row is not None
        if row is None:
            standing = text(_STANDING.format(now=self._now))
            row = self._connection.execute(standing, {"client": client}).one_or_none()
        if row is None:  # the window has ended and was swept between the two statements
            return self.count(client, quota=quota)
        return Count(counted=counted, used=row.used, began_at_ms=row.began_at_ms, now_ms=row.now_ms)

    def standing(self, client: str) -> Count | None:
        """Where a client's window stands, without counting; None if it has none that has not ended."""
        standing = text(_STANDING.format(now=self._now))
        row = self._connection.execute(standing, {"client": client}).one_or_none()
        if row is None or abs(row.now_ms - row.began_at_ms) >= self._window_ms:
            return None
        return Count(counted=False, used=row.used, began_at_ms=row.began_at_ms, now_ms=row.now_ms)

    def sweep(self) -> None:
        """Remove the windows that have ended."""
        self._connection.execute(text(_SWEEP.format(now=self._now)), {"window_ms": self._window_ms})
