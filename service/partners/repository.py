"""The only place that queries and writes the tables of keys and kept answers."""

from __future__ import annotations

from sqlmodel import Session, col, func, select, update

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
