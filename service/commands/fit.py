"""The command that looks up a frame: a table on the terminal, or the answer as JSON."""

from __future__ import annotations

import argparse

from schemas.codes import Language
from schemas.lookup import LookupRequest
from service.catalogue.snapshot import read_snapshot
from service.commands.database import current_database
from service.commands.options import add_answer_options, add_options, model_of
from service.commands.table import print_answer
from service.fitting.cursor import cursors_of
from service.fitting.lookup import look_up
from service.settings import Settings
from service.web.links import with_links


def add_commands(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands of this module to the command line."""
    fit = commands.add_parser(
        "fit",
        help="look up the axles for a measured frame",
        description="Look up the axles for a measured frame. Lengths in mm, or in inches as "
        "1.417in; give an option several times for several readings of the same thing.",
        argument_default=argparse.SUPPRESS,
    )
    add_options(fit, LookupRequest)
    add_answer_options(fit)
    fit.set_defaults(run=_fit)


def _fit(arguments: argparse.Namespace, settings: Settings) -> None:
    request = model_of(arguments, LookupRequest)
    with current_database(settings) as database:
        language = Language(arguments.language)
        answer = look_up(request, read_snapshot(database), cursors_of(settings), language=language)
    if arguments.json:
        print(with_links(answer, "/v1/fits", request).model_dump_json(indent=2))
    else:
        print_answer(answer)
