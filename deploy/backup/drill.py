"""Proves that a backup can be restored and served: the drill.

Run from the root of a checkout, with the settings of the service: ``python deploy/backup/drill.py FILE``. The
backup is restored into a new SQLite file, or into the empty database of ``--into URL``; what comes out
of it is compared with the database of the settings, and a service on it answers a request. With
``--moved`` the catalogue may have been written to since, and is not compared.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from service.__main__ import main as service_command

_TABLES = ("axles", "frames", "sleeves")
_START_SECONDS = 60
_URL = "AXLEFIT_DATABASE_URL"
_URL_FILE = "AXLEFIT_DATABASE_URL_FILE"


class DrillError(Exception):
    """The backup is not good for what it is for."""


@contextmanager
def _on(url: str) -> Iterator[None]:
    """Let the service's commands work on another database."""
    before = {name: os.environ.pop(name) for name in (_URL, _URL_FILE) if name in os.environ}
    os.environ[_URL] = url
    try:
        yield
    finally:
        del os.environ[_URL]
        os.environ.update(before)


def _run(*words: str) -> None:
    """Run one of the service's commands, which says itself what is wrong."""
    if service_command(list(words)):
        raise DrillError(f"The command {words[0]} failed.")


def export_digests(folder: Path) -> dict[str, str]:
    """The SHA-256 of each table's export."""
    file = folder / "exported.csv"
    digests = {}
    for table in _TABLES:
        _run("export", table, str(file))
        digests[table] = hashlib.sha256(file.read_bytes()).hexdigest()
    return digests


def serve_once() -> None:
    """Start a service, and ask it for a part.

    Raises
    ------
    DrillError
        If it does not answer.
    """
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    given = os.environ | {
        "AXLEFIT_HOST": "127.0.0.1",
        "AXLEFIT_PORT": str(port),
        "AXLEFIT_LOG_LEVEL": "error",
    }
    process = subprocess.Popen([sys.executable, "-m", "service", "serve"], env=given)
    deadline = time.monotonic() + _START_SECONDS
    try:
        while time.monotonic() < deadline and process.poll() is None:
            try:
                _ask(port)
            except OSError:
                time.sleep(0.1)
            else:
                return
        raise DrillError("The service did not start on what was restored.")
    finally:
        process.terminate()
        process.wait()


def _ask(port: int) -> None:
    connection = HTTPConnection("127.0.0.1", port, timeout=10)
    try:
        connection.request("GET", "/v1/axles?limit=1")
        answer = connection.getresponse()
        body = answer.read().decode()
        if answer.status != 200:
            raise DrillError(f"The service answers {answer.status}: {body}")
    finally:
        connection.close()


def drill(file: Path, into: str, folder: Path, *, moved: bool) -> None:
    """Restore a backup, compare it with its source, and serve from it.

    Raises
    ------
    DrillError
        If any of that fails.
    """
    begun = time.monotonic()
    with _on(into):
        _run("upgrade")
        _run("restore", str(file))
        digests = export_digests(folder)
        serve_once()
    if not moved and digests != (found := export_digests(folder)):
        differing = ", ".join(table for table in _TABLES if digests[table] != found[table])
        raise DrillError(f"What was restored differs from the database in: {differing}.")
    for table, digest in digests.items():
        print(f"{table} {digest}")
    print(f"The backup is good: restored and served in {time.monotonic() - begun:.0f} s.")


def main() -> int:
    """Do the drill on the backup of the command line."""
    parser = argparse.ArgumentParser(description="Prove that a backup can be restored and served.")
    parser.add_argument("file", type=Path)
    parser.add_argument("--into", help="the URL of an empty database; a new SQLite file if left out")
    parser.add_argument("--moved", action="store_true", help="the catalogue has been written to since")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="axlefit-drill-") as name:
        folder = Path(name)
        into = arguments.into or f"sqlite:///{folder}/restored.sqlite3"
        try:
            drill(arguments.file, into, folder, moved=arguments.moved)
        except DrillError as error:
            print(f"The drill failed. {error}", file=sys.stderr)
            return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
