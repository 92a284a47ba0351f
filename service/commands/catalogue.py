"""Commands on the parts table: import, export, upgrade."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import BinaryIO

from service.catalogue.records import TABLES
from service.catalogue.snapshot import read_snapshot
from service.catalogue.transfer import export_table, import_table
from service.catalogue.warnings import data_warnings
from service.commands.database import current_database
from service.commands.progress import progress_bar
from service.errors import InvalidRequestError
from service.settings import Settings
from service.store.backup import back_up, restore
from service.store.database import Database
from service.store.schema import upgrade

COMMAND_LINE = "command line"


def add_commands(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands of this module to the command line."""
    load = commands.add_parser("import", help="read a CSV file into a table; any fault, and nothing changes")
    load.add_argument("table", choices=TABLES)
    load.add_argument("file", type=Path)
    load.add_argument("--dry-run", action="store_true", help="check the file and change nothing")
    load.set_defaults(run=_import)
    save = commands.add_parser("export", help="write a table as a CSV file")
    save.add_argument("table", choices=TABLES)
    save.add_argument("file", type=Path, nargs="?", help="standard output if left out")
    save.set_defaults(run=_export)
    check = commands.add_parser("check", help="list the catalogue's data warnings")
    check.set_defaults(run=_check)
    save = commands.add_parser("backup", help="write the whole database to a file")
    save.add_argument("file", type=Path)
    save.set_defaults(run=_backup)
    load = commands.add_parser("restore", help="fill an empty database from a backup")
    load.add_argument("file", type=Path)
    load.set_defaults(run=_restore)
    schema = commands.add_parser("upgrade", help="bring the database's schema up to this release")
    schema.set_defaults(run=_upgrade)


def _import(arguments: argparse.Namespace, settings: Settings) -> None:
    table = TABLES[arguments.table]
    with (
        current_database(settings) as database,
        _opened(arguments.file) as file,
        progress_bar(arguments.file) as progress,
    ):
        result = import_table(
            database,
            table,
            file,
            actor=COMMAND_LINE,
            dry_run=arguments.dry_run,
            after_chunk=lambda: progress(file),
        )
    would = "would be " if result.dry_run else ""
    print(f"{result.records} {table.name} {would}imported; the catalogue is at revision {result.revision}.")


def _opened(path: Path) -> BinaryIO:
    try:
        return path.open("rb")
    except OSError as error:
        raise InvalidRequestError(f"{path} cannot be read: {error.strerror}.") from None


def _export(arguments: argparse.Namespace, settings: Settings) -> None:
    table = TABLES[arguments.table]
    with current_database(settings) as database:
        if arguments.file is None:
            export_table(database, table, sys.stdout)
            return
        with arguments.file.open("w", encoding="utf-8", newline="") as out:
            export_table(database, table, out)


def _upgrade(_arguments: argparse.Namespace, settings: Settings) -> None:
    database = Database(settings.database_url, create=True)
    upgrade(database)
    database.close()
    print("The database is of this release's schema.")


def _check(_arguments: argparse.Namespace, settings: Settings) -> None:
    with current_database(settings) as database:
        warnings = data_warnings(read_snapshot(database))
    for warning in warnings:
        print(f"{warning.sku}: {warning.text} ({warning.code})")
    print(f"{len(warnings)} warnings.")


def _backup(arguments: argparse.Namespace, settings: Settings) -> None:
    with current_database(settings) as database:
        print(f"{back_up(database, arguments.file)} rows written to {arguments.file}.")


def _restore(arguments: argparse.Namespace, settings: Settings) -> None:
    with current_database(settings) as database:
        print(f"{restore(database, arguments.file)} rows restored.")
