"""Import and export of a table of the catalogue, each whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import BinaryIO, TextIO

from schemas.problems import FaultOfField
from service.catalogue.csv_files import FileFaultsError, read_csv, write_csv
from service.catalogue.records import TABLES, Entry, Table
from service.catalogue.repository import CatalogueRepository
from service.catalogue.writing import CatalogueWrite, catalogue_write
from service.errors import ImportFaultsError
from service.store.database import Database


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportResult:
    """How many records a file brought, and the revision after it (that before it, after a dry run)."""

    records: int
    revision: int
    dry_run: bool


def import_table(
    database: Database,
    table: Table,
    file: BinaryIO,
    *,
    actor: str,
    dry_run: bool = False,
    after_chunk: Callable[[], object] = lambda: None,
) -> ImportResult:
    """Add the file's records to the table, or replace those with the same key; other records stay.

    Raises
    ------
    ImportFaultsError
        If the file has any fault; nothing is changed then.
    """
    if dry_run:
        records = 0
        for chunk in _told_as_faults(read_csv(table, file)):
            records += len(chunk)
            after_chunk()
        return ImportResult(records=records, revision=current_revision(database), dry_run=True)
    with catalogue_write(database, actor=actor, action=f"import {table.name}") as write:
        records = write_file(write, table, file, after_chunk=after_chunk)
        return ImportResult(records=records, revision=write.revision, dry_run=False)


def import_tables(database: Database, files: Mapping[str, BinaryIO], *, actor: str) -> int:
    """Import several tables in one transaction; the catalogue's revision after it is returned.

    Raises
    ------
    ImportFaultsError
        If a file has any fault; nothing is changed then.
    """
    with catalogue_write(database, actor=actor, action="import") as write:
        for name, file in files.items():
            write_file(write, TABLES[name], file)
        return write.revision


def write_file(
    write: CatalogueWrite,
    table: Table,
    file: BinaryIO,
    *,
    after_chunk: Callable[[], object] = lambda: None,
) -> int:
    """Put all records of a file within a write; how many is returned."""
    records = 0
    put = write.add if write.has_none(table) else write.put  # a file has each key once
    for chunk in _told_as_faults(read_csv(table, file)):
        put(table, chunk)
        records += len(chunk)
        after_chunk()
    return records


def current_revision(database: Database) -> int:
    """The catalogue's revision."""
    with database.reading() as session:
        return CatalogueRepository(session).revision()


def _told_as_faults(chunks: Iterator[list[Entry]]) -> Iterator[list[Entry]]:
    """The chunks, and at the end an error that tells all faults of the file."""
    try:
        yield from chunks
    except FileFaultsError as error:
        faults = [
            FaultOfField(path=(f"row {f.row}", f.column), found=f.found, allowed=f.allowed, place="file")
            for f in error.faults
        ]
        raise ImportFaultsError(f"Nothing was imported: {len(faults)} faults in the file.", faults) from None


def export_table(database: Database, table: Table, out: TextIO) -> None:
    """Write the whole table as a CSV file, in the order of its keys."""
    with database.reading() as session:
        write_csv(table, CatalogueRepository(session).records(table), out)
