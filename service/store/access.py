"""The tables of who may write, of the answers that a repeated request gets again, and of counted requests."""

from typing import Any

from sqlalchemy import BigInteger, CheckConstraint, Column
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


class RequestCountRow(SQLModel, table=True):
    """How many requests of a client were counted in its window, and when that began; one row a client."""

    __tablename__ = "request_count"
    __table_args__: Any = (CheckConstraint("used > 0", name="used_is_positive"),)

    client: str = Field(primary_key=True)
    began_at_ms: int = Field(sa_column=Column(BigInteger, nullable=False))
    used: int
