"""The command that looks up a frame: a table on the terminal, or the answer as JSON."""

from __future__ import annotations

import argparse
from typing import Any

from pydantic import ValidationError

from schemas.codes import Language
from schemas.lookup import LookupRequest
from schemas.problems import faults_of
from service.catalogue.snapshot import read_snapshot
from service.commands.database import current_database
from service.commands.table import print_answer
from service.errors import InvalidRequestError
from service.fitting.cursor import cursors_of
from service.fitting.lookup import look_up
from service.settings import Settings
from service.web.links import with_links

_FIELD = "field_"


def add_commands(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands of this module to the command line."""
    fit = commands.add_parser(
        "fit",
        help="look up the axles for a measured frame",
        description="Look up the axles for a measured frame. Lengths in mm, or in inches as "
        "1.417in; give an option several times for several readings of the same thing.",
        argument_default=argparse.SUPPRESS,
    )
    for name, field in LookupRequest.model_fields.items():
        option, dest = "--" + name.replace("_", "-"), _FIELD + name
        if field.annotation is bool:
            fit.add_argument(option, dest=dest, help=field.description, action="store_true")
        else:
            fit.add_argument(option, dest=dest, help=field.description, action="append", metavar="VALUE")
    fit.add_argument(
        "--language",
        choices=[language.value for language in Language],
        help="language of the answer's sentences; en if left out",
    )
    fit.add_argument("--json", action="store_true", help="print the answer as JSON")
    fit.set_defaults(run=_fit, json=False, language=Language.ENGLISH)


def _fit(arguments: argparse.Namespace, settings: Settings) -> None:
    request = _request(vars(arguments))
    with current_database(settings) as database:
        language = Language(arguments.language)
        answer = look_up(request, read_snapshot(database), cursors_of(settings), language=language)
    if arguments.json:
        print(with_links(answer, "/v1/fits", request).model_dump_json(indent=2))
    else:
        print_answer(answer)


def _request(arguments: dict[str, Any]) -> LookupRequest:
    """The lookup that the options describe."""
    values = {
        name.removeprefix(_FIELD): value[0] if isinstance(value, list) and len(value) == 1 else value
        for name, value in arguments.items()
        if name.startswith(_FIELD)
    }
    try:
        return LookupRequest.model_validate(values)
    except ValidationError as error:
        raise InvalidRequestError(
            "The lookup cannot be answered as it is.", faults_of(error, LookupRequest)
        ) from None
