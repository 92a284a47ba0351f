"""Commands about replacing an axle: what an old one is, what can stand in, and which frames it fits."""

from __future__ import annotations

import argparse
from collections.abc import Iterable

from pydantic import BaseModel
from rich.console import Console

from schemas.codes import Language
from schemas.identify import IdentifyRequest, IdentifyResponse
from schemas.replacements import (
    AxleFramesRequest,
    AxleFramesResponse,
    EquivalentAnswer,
    EquivalentsRequest,
    EquivalentsResponse,
)
from service.catalogue.snapshot import read_snapshot
from service.commands.database import current_database
from service.commands.options import add_answer_options, add_options, model_of
from service.commands.table import VERDICTS, plain_console, print_reasons
from service.fitting.axle_frames import frames_for
from service.fitting.barcodes import sku_of
from service.fitting.equivalents import equivalents_of
from service.fitting.identify import identify
from service.fitting.wording import percentage
from service.settings import Settings


def add_commands(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands of this module to the command line."""
    old = commands.add_parser("identify", help="what an old axle is, as measured, and what replaces it")
    add_options(old, IdentifyRequest)
    add_answer_options(old)
    old.set_defaults(run=_identify)
    like = commands.add_parser("equivalents", help="the parts that can stand in for an axle")
    _add_axle(like, EquivalentsRequest)
    like.set_defaults(run=_equivalents)
    frames = commands.add_parser("frames", help="the known frames that an axle fits")
    _add_axle(frames, AxleFramesRequest)
    frames.set_defaults(run=_frames)


def _add_axle(command: argparse.ArgumentParser, model: type[EquivalentsRequest | AxleFramesRequest]) -> None:
    command.add_argument("sku", metavar="SKU", help="the axle, or the number of its barcode")
    add_options(command, model)
    add_answer_options(command)


def _identify(arguments: argparse.Namespace, settings: Settings) -> None:
    request = model_of(arguments, IdentifyRequest)
    with current_database(settings) as database:
        answer = identify(request, read_snapshot(database), language=Language(arguments.language))
    if not _printed_as_json(answer, arguments):
        _print_identified(answer, plain_console())


def _equivalents(arguments: argparse.Namespace, settings: Settings) -> None:
    request = model_of(arguments, EquivalentsRequest)
    with current_database(settings) as database:
        snapshot = read_snapshot(database)
        sku = sku_of(arguments.sku, snapshot)
        answer = equivalents_of(sku, request, snapshot, language=Language(arguments.language))
    if not _printed_as_json(answer, arguments):
        _print_equivalents(answer, plain_console())


def _frames(arguments: argparse.Namespace, settings: Settings) -> None:
    request = model_of(arguments, AxleFramesRequest)
    with current_database(settings) as database:
        snapshot = read_snapshot(database)
        sku = sku_of(arguments.sku, snapshot)
        answer = frames_for(sku, request, snapshot, language=Language(arguments.language))
    if not _printed_as_json(answer, arguments):
        _print_frames(answer, plain_console())


def _printed_as_json(answer: BaseModel, arguments: argparse.Namespace) -> bool:
    if arguments.json:
        print(answer.model_dump_json(indent=2))
    return bool(arguments.json)


def _print_identified(answer: IdentifyResponse, console: Console) -> None:
    for inference in answer.inferred:
        console.print(f"  + {inference.text}", style="green")
    for inference in answer.not_inferred:
        console.print(f"  ? {inference.text}", style="magenta")
    for part in answer.same:
        word, style = VERDICTS[part.verdict]
        probability = percentage(part.probability)
        console.print(
            f"\n{part.rank}. {part.axle.sku}: {part.axle.name} ({word}, {probability})", style=style
        )
        console.print("\n".join(f"  {reason.text}" for reason in part.reasons))
    _print_stand_ins(answer.stand_ins, console)
    if answer.answer is not None:
        fits = ", ".join(fit.axle.sku for fit in answer.answer.fits)
        console.print(f"\nFor the frame that follows from it: {fits or 'no axle fits'}.")


def _print_equivalents(answer: EquivalentsResponse, console: Console) -> None:
    console.print(f"Instead of {answer.axle.sku}: {answer.axle.name}", style="bold")
    if answer.note is not None:
        console.print(answer.note)
    elif not answer.items:
        console.print("No part of the catalogue can stand in for it.")
    _print_stand_ins(answer.items, console)


def _print_stand_ins(items: Iterable[EquivalentAnswer], console: Console) -> None:
    for item in items:
        word, style = VERDICTS[item.verdict]
        console.print(f"\nInstead {item.rank}. {item.axle.sku}: {item.axle.name} ({word})", style=style)
        for difference in item.differs:
            console.print(f"  {difference.text}")
        if item.frame_family_text is not None:
            console.print(f"  {item.frame_family_text}")


def _print_frames(answer: AxleFramesResponse, console: Console) -> None:
    console.print(f"Frames for {answer.axle.sku}: {answer.axle.name}", style="bold")
    if answer.note is not None:
        console.print(answer.note)
    elif not answer.items:
        console.print("It fits none of the known frames.")
    for item in answer.items:
        console.print(f"\n{item.rank}. {item.frame.code}: {item.frame.name}", style="bold")
        for alike in item.positions:
            word, style = VERDICTS[alike.verdict]
            positions = ", ".join(str(position) for position in alike.axle_positions)
            console.print(f" axle {positions}: {word}, {percentage(alike.fit_probability)}", style=style)
            print_reasons(console, alike.reasons)
