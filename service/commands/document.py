"""The command that writes the API's description, as it is kept in the repository."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from service.app import create_app
from service.settings import Settings
from service.web.document import document_text


def add_commands(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands of this module to the command line."""
    describe = commands.add_parser("openapi", help="write the API's description (OpenAPI 3.1)")
    describe.add_argument("file", type=Path, nargs="?", help="standard output if left out")
    describe.set_defaults(run=_describe)


def _describe(arguments: argparse.Namespace, settings: Settings) -> None:
    text = document_text(create_app(settings))
    if arguments.file is None:
        sys.stdout.write(text)
    else:
        arguments.file.write_text(text, encoding="utf-8")
