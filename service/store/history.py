"""The tables of the catalogue's history: each write, and what it changed."""

from typing import Any

from sqlalchemy import CheckConstraint
from sqlmodel import Field, SQLModel

from service.store.tables import one_of


class WriteRow(SQLModel, table=True):
    """One write of the catalogue: the revision it made, when, by whom, and what kind it was."""

    __tablename__ = "catalogue_write"
    __table_args__: Any = (CheckConstraint("revision > 0", name="write_makes_a_revision"),)

    revision: int = Field(primary_key=True)
    at: str
    actor: str
    action: str


class ChangeRow(SQLModel, table=True):
    """One record that a write changed, as it was before and as it is after; null where there is none."""

    __tablename__ = "catalogue_change"
    __table_args__: Any = (
        CheckConstraint(
            "record_before IS NOT NULL OR record_after IS NOT NULL", name="change_changes_something"
        ),
        CheckConstraint(one_of("table_name", "'axles'", "'frames'", "'sleeves'"), name="table_is_known"),
        {"sqlite_with_rowid": False},
    )

    revision: int = Field(primary_key=True, foreign_key="catalogue_write.revision")
    ordinal: int = Field(primary_key=True)
    table_name: str
    record_key: str
    record_before: str | None
    record_after: str | None
