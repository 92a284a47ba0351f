"""An answer as a table that a shop assistant can read: in colour on a terminal, plain in a pipe."""

from __future__ import annotations

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from schemas.answers import FitAnswer, FitsResponse, ReasonAnswer
from service.fitting.wording import number, percentage

VERDICTS = {
    "fits": ("fits", "bold green"),
    "fits_with_caution": ("fits, with caution", "bold yellow"),
    "check_first": ("check first", "bold magenta"),
    "no_fit": ("does not fit", "bold red"),
}
"""Each verdict as the terminal says it, and its style."""
_SIGNS = {
    "pass": ("+", "green"),
    "caution": ("!", "yellow"),
    "unknown": ("?", "magenta"),
    "fail": ("x", "red"),
}
_PIPE_WIDTH = 100


def print_answer(answer: FitsResponse, console: Console | None = None) -> None:
    """Print the frame, the axles that fit with their reasons, the near misses and the cautions."""
    console = console or plain_console()
    width = answer.frame.outside_width_mm
    console.print(
        f"Frame: {number(width.value)} mm over its walls, standard uncertainty "
        f"{number(width.standard_uncertainty)} mm. Catalogue revision {answer.catalogue_revision}."
    )
    print_reasons(console, answer.frame.notes)
    if answer.fits:
        console.print(_table(answer.fits, lines_for(console)))
    else:
        console.print("No axle of the catalogue fits this frame.", style="bold")
    for fit in answer.fits:
        console.print(f"\n{fit.rank}. {fit.axle.sku}: {fit.axle.name}", style="bold")
        print_reasons(console, fit.reasons)
    for miss in answer.near_misses:
        console.print(f"\nNot quite: {miss.axle.sku}: {miss.axle.name}", style="bold")
        console.print(f"  {miss.would_fit_if}")
    counts = answer.counts
    console.print(
        f"\nOf {counts.considered} axles {counts.fits} fit, {counts.fits_with_caution} fit with caution, "
        f"{counts.check_first} need a check first, {counts.no_fit} do not fit."
    )
    for question in answer.ask_next:
        console.print(f"Find out next: {question.text}")
    for caution in answer.cautions:
        console.print(f"- {caution.text}")


def plain_console() -> Console:
    """The terminal, or the pipe with lines of a fixed width."""
    console = Console(highlight=False, markup=False)
    if not console.is_terminal:
        console.width = _PIPE_WIDTH
    return console


def lines_for(console: Console) -> box.Box:
    """What a table is drawn with: on a terminal with lines, in a pipe with plain signs."""
    return box.ROUNDED if console.is_terminal else box.ASCII


def _table(fits: list[FitAnswer], lines: box.Box) -> Table:
    table = Table(box=lines)
    for heading in ("#", "axle", "verdict", "fit", "serves mm", "key", "price", "stock"):
        table.add_column(heading, justify="right" if heading in {"#", "fit", "price", "stock"} else "left")
    for fit in fits:
        word, style = VERDICTS[fit.verdict]
        axle, window = fit.axle, fit.width_window_mm
        table.add_row(
            str(fit.rank),
            axle.sku,
            Text(word, style=style),
            percentage(fit.fit_probability),
            f"{number(window.min)} to {number(window.max)}",
            f"{axle.drive or 'not known'} x{axle.driven_heads or '?'}",
            _price(fit),
            "not known" if axle.stock is None else str(axle.stock),
        )
    return table


def _price(fit: FitAnswer) -> str:
    axle = fit.axle
    if axle.price is None:
        return "not known"
    pack = f" for {axle.pack_quantity}" if axle.pack_quantity > 1 else ""
    return f"{axle.price} {axle.currency}{pack}"


def print_reasons(console: Console, reasons: list[ReasonAnswer]) -> None:
    """Print each reason with the sign of its outcome and its source."""
    for reason in reasons:
        sign, style = _SIGNS[reason.outcome]
        console.print(Text.assemble((f"  {sign} {reason.text}", style), (f" [{reason.source}]", "dim")))
