"""A progress bar on a terminal, and nothing in a pipe."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from rich.console import Console
from rich.progress import Progress


@contextmanager
def progress_bar(path: Path) -> Iterator[Callable[[BinaryIO], None]]:
    """Show how far a file has been read; called with the file."""
    console = Console(stderr=True)
    with Progress(console=console, transient=True, disable=not console.is_terminal) as progress:
        task = progress.add_task(path.name, total=path.stat().st_size)
        yield lambda file: progress.update(task, completed=file.tell())
