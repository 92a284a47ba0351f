"""The disk is full, or fails, at each write of an import in turn; nothing may be half applied.

Run it as ``python tests/faults/failing_disk.py``; it needs strace, which lets one call of a process fail. On
SQLite it is the importing process whose calls fail: each of its writes and syncs, once, and from then on.
On PostgreSQL it is the server's process for the connection: its writes of tables and log, in turn.
"""

import argparse
import os
import re
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))  # it is run as a file, from anywhere

from sqlalchemy.exc import SQLAlchemyError
from sqlmodel import text

from service.errors import DatabaseUnavailableError
from tests.both_engines import with_schema
from tests.faults.databases import ENGINES, new_database, opened
from tests.postgresql_server import binaries, running_server

ROWS = 400
CALLS = {"pwrite64": ("ENOSPC", "EIO"), "fdatasync": ("EIO",)}
"""The calls by which SQLite writes, and the errors that they can meet."""


@dataclass(kw_only=True)
class Outcome:
    """What the imports came to."""

    told: Counter = field(default_factory=Counter)
    half: int = 0
    lost: int = 0
    unsound: int = 0
    stock: int = 0

    @property
    def is_whole(self):
        return self.half == self.lost == self.unsound == 0


def run_sqlite(url, *, every=1):
    """Let each call fail in turn, or every so many-th of them."""
    outcome = Outcome()
    for call, errors in CALLS.items():
        calls = _calls_of_an_import(url, call, outcome)
        for error in errors:
            for number in range(1 + min(every, calls) // 2, calls + 1, every):
                for lasting in ("", "+"):
                    inject = f"inject={call}:error={error}:when={number}{lasting}"
                    _judge(url, _import(url, outcome.stock + 1, "-e", inject, trace=call), outcome)
    return outcome


def run_postgresql(*, rounds):
    """Let the calls of the server's processes fail in turn; a server that gives up is started again."""
    outcome = Outcome()
    with running_server(binaries()) as server:
        url = with_schema(server.new_database())
        master = int((server.folder / "data" / "postmaster.pid").read_text().split()[0])
        for number in range(1, rounds + 1):
            for call in ("pwrite64", "pwritev"):
                inject = f"inject={call}:error={'ENOSPC' if number % 2 else 'EIO'}:when={number}"
                with _failing(master, call, inject):
                    acknowledged = _import(url, outcome.stock + 1)
                _wait_until_up(server, url)
                _judge(url, acknowledged, outcome)
    return outcome


def _calls_of_an_import(url, call, outcome):
    """How many of these calls an import makes that meets no fault."""
    with tempfile.NamedTemporaryFile("r", encoding="utf-8", errors="replace") as log:
        _judge(url, _import(url, outcome.stock + 1, "-o", log.name, trace=call), outcome)
        calls = len(re.findall(rf"^\d+ +{call}\(", log.read(), re.MULTILINE))
    assert calls > 0, outcome
    return calls


def _import(url, stock, *options, trace=None):
    """Import a file that gives all axles this stock, under strace; the stock, or what was told instead."""
    traced = ["strace", "-f", "-qq", "--seccomp-bpf", "-e", f"trace={trace}", *options] if options else []
    rows = "".join(f"A-{number},An axle,two_piece,{stock}\n" for number in range(ROWS))
    with tempfile.NamedTemporaryFile("w", encoding="utf-8", suffix=".csv") as file:
        file.write("sku,name,fastening,stock\n" + rows)
        file.flush()
        ended = subprocess.run(
            [*traced, sys.executable, "-m", "service", "import", "axles", file.name],
            capture_output=True,
            text=True,
            cwd=ROOT,
            env=os.environ | {"AXLEFIT_DATABASE_URL": url},
            timeout=300,
            check=False,
        )
    return stock if ended.returncode == 0 else ended.stderr.strip().splitlines()[-1][:100]


def _judge(url, acknowledged, outcome):
    """Count what is wrong with the database now; the first to open it repairs what was left behind."""
    with opened(url) as database, database.reading() as session:
        ask = session.connection().execute
        rows, stocks, stock = ask(text("SELECT count(*), count(DISTINCT stock), max(stock) FROM axle")).one()
        revision = ask(text("SELECT revision FROM catalogue")).scalar_one()
        changes = ask(text("SELECT count(*) FROM catalogue_change")).scalar_one()
        if url.startswith("sqlite"):
            outcome.unsound += ask(text("PRAGMA integrity_check")).scalar_one() != "ok"
    outcome.told["acknowledged" if isinstance(acknowledged, int) else acknowledged] += 1
    outcome.half += (rows, stocks) not in {(0, 0), (ROWS, 1)} or changes != revision * ROWS
    wanted = acknowledged if isinstance(acknowledged, int) else outcome.stock
    outcome.lost += (stock or 0) < wanted
    outcome.stock = stock or 0


@contextmanager
def _failing(master, call, inject):
    """Strace is attached to the server, and to the processes that it begins, until the block ends."""
    command = ["strace", "-f", "-o", os.devnull, "-p", str(master), "-e", f"trace={call}", "-e", inject]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as strace:
        if not any("attached" in line for line in strace.stderr):
            raise RuntimeError("strace cannot attach to the server")
        yield
        strace.send_signal(signal.SIGINT)
        strace.wait(30)


def _wait_until_up(server, url):
    """Wait until the server has recovered by itself."""
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        try:
            with opened(url) as database, database.reading() as session:
                session.connection().execute(text("SELECT 1"))
        except (DatabaseUnavailableError, SQLAlchemyError):
            time.sleep(0.1)
        else:
            return
    raise RuntimeError("the server did not recover: " + (server.folder / "log").read_text()[-2000:])


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--engine", choices=ENGINES, action="append", help="both if left out")
    parser.add_argument("--every", type=int, default=1, help="every so many-th write, on SQLite")
    parser.add_argument("--rounds", type=int, default=12, help="how many writes of a process, on PostgreSQL")
    arguments = parser.parse_args()
    whole = True
    for engine in arguments.engine or ENGINES:
        if engine == "sqlite":
            with new_database(engine) as url:
                outcome = run_sqlite(url, every=arguments.every)
        else:
            outcome = run_postgresql(rounds=arguments.rounds)
        whole = whole and outcome.is_whole
        print(f"{engine}: {outcome.told.total()} imports")
        print(f"  half {outcome.half}, acknowledged and lost {outcome.lost}, unsound {outcome.unsound}")
        for told, count in outcome.told.most_common():
            print(f"  {count:5} {told}")
    print("nothing half applied" if whole else "NOT WHOLE")
    return 0 if whole else 1


if __name__ == "__main__":
    sys.exit(main())
