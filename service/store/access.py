"""The tables of who may write, and of the answers that a repeated request gets again."""

from typing import Any

from sqlalchemy import CheckConstraint
from sqlmodel import Field, SQLModel


class ApiKeyRow(SQLModel, table=True):
    """An API key: its public identifier, and a keyed hash of the whole; never the key itself."""

    __tablename__ = "api_key"
    __table_args__: Any = (CheckConstraint("length(digest) = 64", name="digest_is_of_sha256"),)

    id: str = Field(primary_key=True)
    name: str
    scopes: str
    digest: str
    issued_at: str
    revoked_at: str | None


class IdempotentAnswerRow(SQLModel, table=True):
    """The answer to a POST that carried an Idempotency-Key, kept in the transaction of its work."""

    __tablename__ = "idempotent_answer"

    actor: str = Field(primary_key=True)
    idempotency_key: str = Field(primary_key=True)
    request_digest: str
    answer: str
    at: str
