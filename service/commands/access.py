"""Commands on API keys: issue, list, revoke."""

from __future__ import annotations

import argparse

from rich.console import Console
from rich.table import Table

from service.commands.database import current_database
from service.partners.keys import Scope, issue_key, list_keys, revoke_key
from service.settings import Settings

_PIPE_WIDTH = 250


def add_commands(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands of this module to the command line."""
    keys = commands.add_parser("keys", help="issue, list and revoke API keys")
    actions = keys.add_subparsers(title="actions", metavar="ACTION", required=True)
    issue = actions.add_parser("issue", help="make a key; it is shown once")
    issue.add_argument("name", help="whose key it is")
    issue.add_argument("--scope", action="append", choices=list(Scope), required=True, help="what it allows")
    issue.set_defaults(run=_issue)
    actions.add_parser("list", help="the keys that were issued").set_defaults(run=_list)
    revoke = actions.add_parser("revoke", help="make a key invalid")
    revoke.add_argument("id", help="the key's identifier, as the list tells it")
    revoke.set_defaults(run=_revoke)


def _issue(arguments: argparse.Namespace, settings: Settings) -> None:
    pepper = settings.key_pepper.get_secret_value()
    scopes = frozenset(Scope(scope) for scope in arguments.scope)
    with current_database(settings) as database:
        print(issue_key(database, name=arguments.name, scopes=scopes, pepper=pepper))


def _list(_arguments: argparse.Namespace, settings: Settings) -> None:
    table = Table("id", "name", "scopes", "issued", "revoked")
    with current_database(settings) as database:
        for row in list_keys(database):
            table.add_row(row.id, row.name, row.scopes, row.issued_at, row.revoked_at or "")
    console = Console(highlight=False, markup=False)
    if not console.is_terminal:
        console.width = _PIPE_WIDTH
    console.print(table)


def _revoke(arguments: argparse.Namespace, settings: Settings) -> None:
    with current_database(settings) as database:
        revoke_key(database, arguments.id)
    print("The key is revoked.")
