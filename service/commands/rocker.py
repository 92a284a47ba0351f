"""The commands on rockers and of the guides: sentences on the terminal, or the answer as JSON."""

from __future__ import annotations

import argparse
from typing import Any

from pydantic import BaseModel, ValidationError
from rich.console import Console

from schemas.codes import Language
from schemas.guides import MeasuringGuideResponse, ToolsGuideResponse
from schemas.problems import FaultOfField, faults_of, shown
from schemas.rockers import RockersRequest, RockersResponse, ShapeAnswer
from service.catalogue.snapshot import read_snapshot
from service.commands.database import current_database
from service.errors import InvalidRequestError
from service.fitting.guides import measuring_guide, tools_guide
from service.fitting.rockers import answer_rocker
from service.settings import Settings

_LISTS = ("axle_positions_mm", "wheel_diameters_mm", "offsets_mm", "wanted_offsets_mm")
_PIPE_WIDTH = 100


def add_commands(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands of this module to the command line."""
    rocker = commands.add_parser(
        "rocker",
        help="how wheels at different heights stand, and which offset axles get them there",
        description="How wheels at different heights stand. Several values are given one after the other, "
        "from the front: --wanted-offsets-mm 1 0 0 1",
    )
    fields = RockersRequest.model_fields
    for name in _LISTS:
        option = "--" + name.replace("_", "-")
        rocker.add_argument(option, help=fields[name].description, nargs="+", metavar="MM")
    rocker.add_argument("--frame", help=fields["frame"].description, metavar="CODE")
    rocker.add_argument("--limit", help=fields["limit"].description, metavar="COUNT")
    rocker.add_argument(
        "--lookup",
        help="what was measured of the frame, as outside_width_mm=36.4; give it once for each field",
        action="append",
        metavar="FIELD=VALUE",
    )
    _add_form(rocker)
    rocker.set_defaults(run=_rocker)
    guide = commands.add_parser("guide", help="how to measure, and which tools to use")
    guide.add_argument("guide", choices=["measuring", "tools"], help="which guide")
    _add_form(guide)
    guide.set_defaults(run=_guide)


def _add_form(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--language",
        choices=[language.value for language in Language],
        default=Language.ENGLISH.value,
        help="language of the answer's sentences; en if left out",
    )
    command.add_argument("--json", action="store_true", help="print the answer as JSON")


def _rocker(arguments: argparse.Namespace, settings: Settings) -> None:
    request = _request(vars(arguments))
    with current_database(settings) as database:
        answer = answer_rocker(request, read_snapshot(database), language=Language(arguments.language))
    _print(answer, _rocker_lines(answer), as_json=arguments.json)


def _guide(arguments: argparse.Namespace, settings: Settings) -> None:
    language = Language(arguments.language)
    if arguments.guide == "measuring":
        measuring = measuring_guide(language=language)
        _print(measuring, _measuring_lines(measuring), as_json=arguments.json)
        return
    with current_database(settings) as database:
        tools = tools_guide(read_snapshot(database), language=language)
    _print(tools, _tools_lines(tools), as_json=arguments.json)


def _request(arguments: dict[str, Any]) -> RockersRequest:
    """The request that the options describe."""
    names = (*_LISTS, "frame", "limit")
    values = {name: arguments[name] for name in names if arguments[name] is not None}
    if arguments["lookup"]:
        values["lookup"] = _fields_of(arguments["lookup"])
    try:
        return RockersRequest.model_validate(values)
    except ValidationError as error:
        faults = faults_of(error, RockersRequest)
        raise InvalidRequestError("The rocker cannot be answered as it is.", faults) from None


def _fields_of(pairs: list[str]) -> dict[str, list[str] | str]:
    """The lookup's fields; one that is given several times has several readings."""
    fields: dict[str, list[str]] = {}
    for pair in pairs:
        name, equals, value = pair.partition("=")
        if not equals:
            fault = FaultOfField(path=("lookup",), found=shown(pair), allowed="FIELD=VALUE")
            raise InvalidRequestError("The rocker cannot be answered as it is.", [fault])
        fields.setdefault(name, []).append(value)
    return {name: values if len(values) > 1 else values[0] for name, values in fields.items()}


def _print(answer: BaseModel, lines: list[str], *, as_json: bool) -> None:
    if as_json:
        print(answer.model_dump_json(indent=2))
        return
    console = Console(highlight=False, markup=False)
    if not console.is_terminal:
        console.width = _PIPE_WIDTH
    for line in lines:
        console.print(line)


def _rocker_lines(answer: RockersResponse) -> list[str]:
    lines = _shape_lines(answer)
    if (wanted := answer.wanted) is not None:
        lines += ["", wanted.text, *_shape_lines(wanted)]
        for way in wanted.ways:
            lines += ["", way.text]
            lines += [f"  {seat.position}: {', '.join(seat.skus)}" for seat in way.seats if seat.skus]
    return [*lines, "", *(f"- {caution.text}" for caution in answer.cautions)]


def _shape_lines(shape: ShapeAnswer) -> list[str]:
    curve = [shape.curve.text] if shape.curve else []
    return [*(stance.text for stance in shape.stances), *curve, *(f"! {note.text}" for note in shape.notes)]


def _measuring_lines(guide: MeasuringGuideResponse) -> list[str]:
    return [
        *(f"{measure.field}: {measure.text} [{measure.source}]" for measure in guide.measures),
        "",
        *(f"{one.instrument}: {one.text} [{one.source}]" for one in guide.instruments),
        "",
        *(f"{step.text} [{step.source}]" for step in guide.readings),
        "",
        *(f"- {caution.text}" for caution in guide.cautions),
    ]


def _tools_lines(guide: ToolsGuideResponse) -> list[str]:
    return [
        *(f"{one.drive} ({one.axles}): {one.text} [{one.source}]" for one in guide.drives),
        "",
        *(f"{step.text} [{step.source}]" for step in guide.keys),
        f"{guide.tightening.text} [{guide.tightening.source}]",
        "",
        *(f"{n}. {step.text} [{step.source}]" for n, step in enumerate(guide.worn_socket, start=1)),
        "",
        *(f"- {caution.text}" for caution in guide.cautions),
    ]
