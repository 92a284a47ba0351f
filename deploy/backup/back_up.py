"""Writes a backup of the service's database into a folder, and removes the oldest ones there.

Run from the root of a checkout: ``python deploy/backup/back_up.py FOLDER [--keep 14] [--every-hours 24]``.
"""

from __future__ import annotations

import argparse
import signal
import subprocess
import sys
import threading
from datetime import UTC, datetime
from pathlib import Path

_PATTERN = "axlefit-*.jsonl.gz"


def back_up(folder: Path, moment: datetime) -> Path:
    """Write one backup, named by its moment; what stands half-written is never named like one.

    Raises
    ------
    CalledProcessError
        If the service's own command fails; it has said why.
    """
    file = folder / f"axlefit-{moment:%Y%m%dT%H%M%SZ}.jsonl.gz"
    subprocess.run([sys.executable, "-m", "service", "backup", str(file)], check=True)  # noqa: S603 (ours)
    return file


def remove_oldest(folder: Path, keep: int) -> list[Path]:
    """Remove all but the newest backups; their names sort as their moments do."""
    old = sorted(folder.glob(_PATTERN))[:-keep]
    for file in old:
        file.unlink()
    return old


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Back up the service's database.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--keep", type=_at_least_one, default=14, help="how many backups stay")
    parser.add_argument("--every-hours", type=float, help="go on for ever, for want of a scheduler")
    return parser.parse_args()


def _at_least_one(text: str) -> int:
    if (number := int(text)) < 1:
        raise argparse.ArgumentTypeError("at least 1")
    return number


def _once(folder: Path, keep: int) -> bool:
    """Whether a backup was made; old ones are removed only then."""
    try:
        print(back_up(folder, datetime.now(UTC)), flush=True)
    except subprocess.CalledProcessError:
        return False
    for file in remove_oldest(folder, keep):
        print(f"removed {file}", flush=True)
    return True


def main() -> int:
    """Back up once, or again and again until told to stop."""
    arguments = _arguments()
    stopped = threading.Event()
    if arguments.every_hours is not None:  # a backup under way is finished first
        signal.signal(signal.SIGTERM, lambda *_: stopped.set())
    made = _once(arguments.folder, arguments.keep)
    if arguments.every_hours is None:
        return 0 if made else 1
    while not stopped.wait(arguments.every_hours * 3600):
        _once(arguments.folder, arguments.keep)
    return 0


if __name__ == "__main__":
    sys.exit(main())
