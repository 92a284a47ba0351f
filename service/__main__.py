"""The command line: ``python -m service COMMAND``."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from service.commands import access, catalogue, document, draw, fit, kit, replacements, rocker, serve
from service.environment import read_settings
from service.errors import ServiceError, SettingsError


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; the exit status is 0, 1 after an error that was told, or 2 for wrong settings."""
    parser = argparse.ArgumentParser(
        prog="python -m service",
        description="Which replacement axle fits an inline skate frame as measured, ranked, with reasons.",
    )
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)
    for module in (serve, fit, draw, kit, replacements, rocker, catalogue, access, document):
        module.add_commands(commands)
    parsed = parser.parse_args(arguments)
    try:
        parsed.run(parsed, read_settings())
    except OSError as error:
        print(f"{error.filename or ''}: {error.strerror}", file=sys.stderr)
        return 1
    except ServiceError as error:
        print(error.detail, file=sys.stderr)
        for fault in error.faults:
            where = ", ".join(part for part in fault.path if isinstance(part, str) and part)
            print(f"  {where}: found {fault.found or 'nothing'}; allowed: {fault.allowed}", file=sys.stderr)
        return 2 if isinstance(error, SettingsError) else 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
