"""The command that draws one axle in a measured frame: an SVG on the terminal, or in a file."""

from __future__ import annotations

import argparse
from pathlib import Path

from schemas.codes import Language
from schemas.drawings import FitDrawingRequest
from service.catalogue.snapshot import read_snapshot
from service.commands.database import current_database
from service.commands.options import add_options, model_of
from service.fitting.drawing.answer import drawing_answer
from service.fitting.drawing.sheet import fit_drawing
from service.settings import Settings


def add_commands(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands of this module to the command line."""
    draw = commands.add_parser(
        "draw",
        help="draw one axle in a measured frame, to scale, as SVG",
        description="Draw one axle of the catalogue in a measured frame, whether it fits or not.",
        argument_default=argparse.SUPPRESS,
    )
    add_options(draw, FitDrawingRequest)
    draw.add_argument("--output", type=Path, metavar="FILE", help="where to write it; left out: printed")
    draw.add_argument(
        "--language",
        choices=[language.value for language in Language],
        help="language of the drawing's text; en if left out",
    )
    draw.set_defaults(run=_draw, output=None, language=Language.ENGLISH)


def _draw(arguments: argparse.Namespace, settings: Settings) -> None:
    request = model_of(arguments, FitDrawingRequest)
    language = Language(arguments.language)
    with current_database(settings) as database:
        answer = drawing_answer(request, read_snapshot(database), language=language)
    svg = fit_drawing(answer, language=language)
    if arguments.output is None:
        print(svg)
    else:
        arguments.output.write_text(svg + "\n", encoding="utf-8")
