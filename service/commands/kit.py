"""The command that puts a kit together: what goes where and what to take, or the answer as JSON."""

from __future__ import annotations

import argparse
from typing import Any

from pydantic import ValidationError
from rich.console import Console
from rich.table import Table

from schemas.codes import Language
from schemas.kits import KitLookup, KitRequest, KitResponse
from schemas.problems import faults_of
from service.catalogue.snapshot import read_snapshot
from service.commands.database import current_database
from service.commands.table import lines_for, plain_console
from service.errors import InvalidRequestError
from service.fitting.kits.kit import make_kit
from service.fitting.wording import number
from service.settings import Settings

_OF_KIT, _OF_LOOKUP = "kit_", "lookup_"
_SEVERAL = {"offset_positions", "outside_widths_mm"}


def add_commands(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands of this module to the command line."""
    kit = commands.add_parser(
        "kit",
        help="put together all axles for a pair of skates",
        description="Put together all axles for a pair of skates, with sleeves and tools, at the least "
        "price. Name a known frame, or give the lookup's fields; several positions or widths have commas "
        "between them.",
        argument_default=argparse.SUPPRESS,
    )
    for name, field in KitRequest.model_fields.items():
        if name != "lookup":
            _add_option(kit, name, _OF_KIT, field.description, is_flag=field.annotation is bool)
    for name, field in KitLookup.model_fields.items():
        if name not in KitRequest.model_fields and name not in {"limit", "cursor", "position"}:
            _add_option(kit, name, _OF_LOOKUP, field.description, is_flag=False)
    kit.add_argument(
        "--language",
        choices=[language.value for language in Language],
        help="language of the answer's sentences; en if left out",
    )
    kit.add_argument("--json", action="store_true", help="print the answer as JSON")
    kit.set_defaults(run=_kit, json=False, language=Language.ENGLISH)


def _add_option(
    parser: argparse.ArgumentParser, name: str, kind: str, text: str | None, *, is_flag: bool
) -> None:
    option = "--" + name.replace("_", "-")
    if is_flag:
        parser.add_argument(option, dest=kind + name, help=text, action="store_true")
    else:
        parser.add_argument(option, dest=kind + name, help=text, action="append", metavar="VALUE")


def _kit(arguments: argparse.Namespace, settings: Settings) -> None:
    request = _request(vars(arguments))
    with current_database(settings) as database:
        answer = make_kit(request, read_snapshot(database), language=Language(arguments.language))
    if arguments.json:
        print(answer.model_dump_json(indent=2))
    else:
        _print(answer)


def _request(arguments: dict[str, Any]) -> KitRequest:
    """The kit that the options describe."""
    values, lookup = _given(arguments, _OF_KIT), _given(arguments, _OF_LOOKUP)
    for name in _SEVERAL & set(values):
        given = values[name] if isinstance(values[name], list) else [values[name]]
        values[name] = [part.strip() for text in given for part in text.split(",")]
    if lookup:
        values["lookup"] = lookup
    elif "frame" not in values and "outside_widths_mm" in values:
        values["lookup"] = {}
    try:
        return KitRequest.model_validate(values)
    except ValidationError as error:
        raise InvalidRequestError("The kit cannot be made as it is.", faults_of(error, KitRequest)) from None


def _given(arguments: dict[str, Any], kind: str) -> dict[str, Any]:
    """The options of one kind; one that was given several times is a list."""
    return {
        name.removeprefix(kind): value[0] if isinstance(value, list) and len(value) == 1 else value
        for name, value in arguments.items()
        if name.startswith(kind)
    }


def _print(answer: KitResponse) -> None:
    console = plain_console()
    console.print(_positions(answer, console))
    for position in answer.positions:
        if position.why_empty is not None:
            side = f"{position.side} " if position.side else ""
            console.print(f"{side}{position.position}: {position.why_empty.text}", style="bold")
            for miss in position.near_misses:
                console.print(f"  {miss.axle.sku}: {miss.would_fit_if}")
    console.print(_lines(answer, console))
    if answer.total is not None:
        console.print(f"Total: {answer.total.amount} {answer.total.currency}", style="bold")
    for caution in answer.cautions:
        console.print(f"- {caution.text}")


def _positions(answer: KitResponse, console: Console) -> Table:
    table = Table(box=lines_for(console))
    for heading in ("skate", "axle", "needs", "width mm", "part", "sleeve", "verdict"):
        table.add_column(heading)
    for position in answer.positions:
        table.add_row(
            position.side or "",
            str(position.position),
            position.needs,
            number(position.outside_width_mm.value),
            position.sku or "none",
            position.sleeve_sku or "",
            position.verdict or position.best_verdict,
        )
    return table


def _lines(answer: KitResponse, console: Console) -> Table:
    table = Table(box=lines_for(console))
    for heading in ("take", "part", "packs", "pieces", "left over", "price"):
        table.add_column(heading, justify="left" if heading in {"take", "part"} else "right")
    for line in answer.lines:
        counts = (line.packs, line.pieces, line.left_over)
        table.add_row(
            line.kind,
            line.sku or line.drive,
            *("" if count is None else str(count) for count in counts),
            "" if line.line_price is None else str(line.line_price),
        )
    return table
