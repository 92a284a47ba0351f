"""Import and export of a table of the catalogue, each whole or not at all."""

from __future__ import annotations

from dataclasses import dataclass

from schemas.problems import FaultOfField
from service.catalogue.csv_files import FileFaultsError, read_csv, write_csv
from service.catalogue.records import Table
from service.catalogue.repository import CatalogueRepository
from service.errors import ImportFaultsError
from service.store.database import Database


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportResult:
    """How many records a file brought, and the revision after it (that before it, after a dry run)."""

    records: int
    revision: int
    dry_run: bool


def import_table(database: Database, table: Table, data: bytes, *, dry_run: bool = False) -> ImportResult:
    """Add the file's records to the table, or replace those with the same key; other records stay.

    Raises
    ------
    ImportFaultsError
        If the file has any fault; nothing is changed then.
    """
    try:
        records = read_csv(table, data)
    except FileFaultsError as error:
        faults = [
            FaultOfField(path=(f"row {f.row}", f.column), found=f.found, allowed=f.allowed)
            for f in error.faults
        ]
        raise ImportFaultsError(f"Nothing was imported: {len(faults)} faults in the file.", faults) from None
    if dry_run:
        with database.reading() as session:
            revision = CatalogueRepository(session).revision()
        return ImportResult(records=len(records), revision=revision, dry_run=True)
    with database.writing() as session:
        repository = CatalogueRepository(session)
        repository.put(table, records)
        return ImportResult(records=len(records), revision=repository.move_revision(), dry_run=False)


def export_table(database: Database, table: Table) -> str:
    """The whole table as a CSV file, in the order of its keys."""
    with database.reading() as session:
        return write_csv(table, CatalogueRepository(session).records(table))
