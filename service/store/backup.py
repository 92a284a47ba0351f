"""Back up and restore a database as lines of JSON: the same file for SQLite and for PostgreSQL."""

from __future__ import annotations

import gzip
import hashlib
import json
import zlib
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, delete, func, insert, select
from sqlmodel import SQLModel

from service.errors import BackupError
from service.store import access, history, tables
from service.store.database import Database
from service.store.notices import give_notice
from service.store.schema import require_current, schema_version

_PASSING = {"request_count"}
"""Tables of the last minute, which nobody wants back."""
_TABLES: tuple[Table, ...] = tuple(t for t in SQLModel.metadata.sorted_tables if t.name not in _PASSING)
_CHUNK = 500
assert {access.ApiKeyRow, history.WriteRow, tables.AxleRow}  # noqa: S101 (imported for the metadata)


def back_up(database: Database, file: Path) -> int:
    """Write everything that the database holds, at one moment, to a file; the number of rows is returned."""
    rows = 0
    digest = hashlib.sha256()
    version = schema_version(database)
    part = file.with_name(file.name + ".part")  # an older backup stays until this one is whole
    with database.reading() as session, gzip.open(part, "wt", encoding="utf-8", newline="\n") as out:
        for line in _lines(session.connection(), version):
            out.write(line)
            digest.update(line.encode())
            rows += 1
        out.write(json.dumps({"end": True, "sha256": digest.hexdigest()}) + "\n")
    part.replace(file)
    return rows - 1


def restore(database: Database, file: Path) -> int:
    """Fill an empty database from a backup, all or nothing; the number of rows is returned.

    Raises
    ------
    BackupError
        If the file is not a whole backup of this schema version, or the database is not empty.
    """
    require_current(database)
    with database.writing() as session:
        connection = session.connection()
        _require_empty(connection)
        connection.execute(delete(tables.CatalogueRow))
        give_notice(session)
        return _insert_all(connection, _checked(file, schema_version(database)))


def _lines(connection: Connection, version: str | None) -> Iterator[str]:
    yield json.dumps({"backup_of": "axle-fit", "schema_version": version}) + "\n"
    for table in _TABLES:
        for row in connection.execute(select(table).order_by(*table.primary_key)).mappings():
            yield json.dumps([table.name, dict(row)]) + "\n"


def _require_empty(connection: Connection) -> None:
    for table in _TABLES:
        filled = connection.execute(select(func.count()).select_from(table)).scalar_one()
        if table.name != "catalogue" and filled:
            raise BackupError("The database is not empty; restore into a new one.")


def _checked(file: Path, version: str | None) -> Iterator[tuple[str, dict[str, Any]]]:
    """The rows of a backup, after the whole of it has been read once and found whole."""
    digest = hashlib.sha256()
    last = ""
    try:
        with gzip.open(file, "rt", encoding="utf-8", newline="\n") as lines:
            for line in lines:
                digest.update(last.encode())
                last = line
        whole = json.loads(last or "null") == {"end": True, "sha256": digest.hexdigest()}
    except (OSError, EOFError, ValueError, zlib.error) as error:
        raise BackupError(f"The backup cannot be read: {error}.") from None
    if not whole:
        raise BackupError("The backup is not whole, or has been altered.")
    return _rows(file, version)


def _rows(file: Path, version: str | None) -> Iterator[tuple[str, dict[str, Any]]]:
    with gzip.open(file, "rt", encoding="utf-8", newline="\n") as lines:
        if json.loads(next(lines)) != {"backup_of": "axle-fit", "schema_version": version}:
            raise BackupError(f"The file is not a backup of schema version {version}.")
        for line in lines:
            value = json.loads(line)
            if isinstance(value, list):
                yield value[0], value[1]


def _insert_all(connection: Connection, rows: Iterator[tuple[str, dict[str, Any]]]) -> int:
    by_name = {table.name: table for table in _TABLES}
    count = 0
    while chunk := list(islice(rows, _CHUNK)):
        for name in dict.fromkeys(name for name, _ in chunk):
            connection.execute(insert(by_name[name]), [row for table, row in chunk if table == name])
        count += len(chunk)
    return count
