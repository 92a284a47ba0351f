"""Options of commands that are the fields of a request, and how their answer is to be printed."""

from __future__ import annotations

import argparse
from typing import TypeVar

from pydantic import ValidationError

from schemas.base import WireModel
from schemas.codes import Language
from schemas.problems import faults_of
from service.errors import InvalidRequestError

M = TypeVar("M", bound=WireModel)
_FIELD = "field_"


def add_options(command: argparse.ArgumentParser, model: type[WireModel]) -> None:
    """An option for each field of a request; one that is left out is not there at all."""
    for name, field in model.model_fields.items():
        option, dest = "--" + name.replace("_", "-"), _FIELD + name
        if field.annotation is bool:
            command.add_argument(
                option, dest=dest, help=field.description, action="store_true", default=argparse.SUPPRESS
            )
        else:
            command.add_argument(
                option,
                dest=dest,
                help=field.description,
                action="append",
                metavar="VALUE",
                default=argparse.SUPPRESS,
            )


def add_answer_options(command: argparse.ArgumentParser) -> None:
    """The language of the answer, and whether it is printed as JSON."""
    command.add_argument(
        "--language",
        choices=[language.value for language in Language],
        help="language of the answer's sentences; en if left out",
    )
    command.add_argument("--json", action="store_true", help="print the answer as JSON")
    command.set_defaults(json=False, language=Language.ENGLISH)


def model_of(arguments: argparse.Namespace, model: type[M]) -> M:
    """The request that the options describe.

    Raises
    ------
    InvalidRequestError
        If an option has no value that the request takes.
    """
    values = {
        name.removeprefix(_FIELD): value[0] if isinstance(value, list) and len(value) == 1 else value
        for name, value in vars(arguments).items()
        if name.startswith(_FIELD)
    }
    try:
        return model.model_validate(values)
    except ValidationError as error:
        raise InvalidRequestError(
            "The request cannot be answered as it is.", faults_of(error, model)
        ) from None
