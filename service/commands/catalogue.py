"""Commands on the parts table: import, export, upgrade."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from service.catalogue.records import TABLES
from service.catalogue.transfer import export_table, import_table
from service.settings import Settings
from service.store.database import Database
from service.store.schema import require_current, upgrade


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
    schema = commands.add_parser("upgrade", help="bring the database's schema up to this release")
    schema.set_defaults(run=_upgrade)


def _import(arguments: argparse.Namespace, settings: Settings) -> None:
    database = Database(settings.database_url)
    require_current(database)
    table = TABLES[arguments.table]
    result = import_table(database, table, arguments.file.read_bytes(), dry_run=arguments.dry_run)
    would = "would be " if result.dry_run else ""
    print(f"{result.records} {table.name} {would}imported; the catalogue is at revision {result.revision}.")


def _export(arguments: argparse.Namespace, settings: Settings) -> None:
    database = Database(settings.database_url)
    require_current(database)
    text = export_table(database, TABLES[arguments.table])
    if arguments.file is None:
        sys.stdout.write(text)
    else:
        arguments.file.write_text(text, encoding="utf-8", newline="")


def _upgrade(_arguments: argparse.Namespace, settings: Settings) -> None:
    upgrade(Database(settings.database_url))
    print("The database is of this release's schema.")
