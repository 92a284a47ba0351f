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
from http.client import HTTPConnection
from pathlib import Path

_TABLES = ("axles", "frames", "sleeves")
_START_SECONDS = 60
_URL = "AXLEFIT_DATABASE_URL"


class DrillError(Exception):
    """The backup is not good for what it is for."""


def export_digests(environment: dict[str, str]) -> dict[str, str]:
    """The SHA-256 of each table's export."""
    return {
        table: hashlib.sha256(_command(environment, "export", table).encode()).hexdigest()
        for table in _TABLES
    }


def restore(file: Path, environment: dict[str, str]) -> None:
    """Fill an empty database with what a backup holds."""
    _command(environment, "upgrade")
    print(_command(environment, "restore", str(file)), end="")


def serve_once(environment: dict[str, str]) -> str:
    """Start a service, and return the first part that it lists.

    Raises
    ------
    DrillError
        If it does not answer.
    """
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    given = environment | {
        "AXLEFIT_HOST": "127.0.0.1",
        "AXLEFIT_PORT": str(port),
        "AXLEFIT_LOG_LEVEL": "error",
    }
    process = subprocess.Popen([sys.executable, "-m", "service", "serve"], env=given)
    deadline = time.monotonic() + _START_SECONDS
    try:
        while time.monotonic() < deadline and process.poll() is None:
            try:
                return _asked(port)
            except OSError:
                time.sleep(0.1)
        raise DrillError("The service did not start on what was restored.")
    finally:
        process.terminate()
        process.wait()


def _asked(port: int) -> str:
    connection = HTTPConnection("127.0.0.1", port, timeout=10)
    try:
        connection.request("GET", "/v1/axles?limit=1")
        answer = connection.getresponse()
        body = answer.read().decode()
        if answer.status != 200:
            raise DrillError(f"The service answers {answer.status}: {body}")
        return body
    finally:
        connection.close()


def _command(environment: dict[str, str], *words: str) -> str:
    done = subprocess.run(  # noqa: S603 (the service's own commands)
        [sys.executable, "-m", "service", *words],
        env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if done.returncode:
        raise DrillError(f"{words[0]}: {done.stderr.strip()}")
    return done.stdout


def drill(file: Path, into: str, *, moved: bool) -> None:
    """Restore a backup, compare it with its source, and serve from it.

    Raises
    ------
    DrillError
        If any of that fails.
    """
    source = dict(os.environ)
    restored = source | {_URL: into}
    begun = time.monotonic()
    restore(file, restored)
    digests = export_digests(restored)
    if not moved and digests != (found := export_digests(source)):
        differing = ", ".join(table for table in _TABLES if digests[table] != found[table])
        raise DrillError(f"What was restored differs from the database in: {differing}.")
    serve_once(restored)
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
    with tempfile.TemporaryDirectory(prefix="axlefit-drill-") as folder:
        into = arguments.into or f"sqlite:///{folder}/restored.sqlite3"
        try:
            drill(arguments.file, into, moved=arguments.moved)
        except DrillError as error:
            print(f"The drill failed. {error}", file=sys.stderr)
            return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
