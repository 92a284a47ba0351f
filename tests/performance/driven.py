"""One round of load: wrk on cores of its own, against a server whose processor time is read beside it."""

import json
import os
import subprocess
from dataclasses import dataclass
from pathlib import Path
from statistics import median

LUA = Path(__file__).with_name("queries.lua")
WRK = "wrk"
CONNECTIONS = 8
SERVER_CORE, LOAD_CORE = 0, 1
_FAULTS = ("refused", "connect", "read", "write", "timeout")


class RefusedError(Exception):
    """What was measured is not what was meant to be measured."""


class NoneAnsweredError(RefusedError):
    """A round was too short for a single answer."""


@dataclass(frozen=True, kw_only=True)
class Round:
    """What one round came to."""

    requests: int
    seconds: float
    bytes: int
    p50_ms: float
    p99_ms: float
    cpu_us: float

    @property
    def rate(self):
        """Requests answered a second [1/s]."""
        return self.requests / self.seconds


def cores():
    """The cores to be had; without one each for server and load, each would measure the other."""
    found = os.sched_getaffinity(0)
    if missing := {SERVER_CORE, LOAD_CORE} - found:
        raise RefusedError(f"cores {SERVER_CORE} and {LOAD_CORE} are needed, and {missing} not to be had")
    return sorted(found)


def drive(server, file, *, first, seconds, core, connections=CONNECTIONS):
    """Ask for the file's lines, from that one on, for so long."""
    command = [
        WRK,
        "-t1",
        f"-c{connections}",
        f"-d{seconds}s",
        "--timeout",
        "30s",
        "-s",
        str(LUA),
        server.url,
    ]
    before = server.cpu_seconds()
    done = subprocess.run(
        [*command, "--", str(file), str(first)],
        capture_output=True,
        text=True,
        check=True,
        preexec_fn=lambda: os.sched_setaffinity(0, {core}),
    )
    return round_of(done.stdout, cpu_seconds=server.cpu_seconds() - before)


def round_of(output, *, cpu_seconds):
    """The round that wrk tells of; anything but answers of success is refused."""
    told = [line for line in output.splitlines() if line.startswith("SUMMARY ")]
    if not told:
        raise RefusedError(f"wrk has not come to its end: {output}")
    found = json.loads(told[-1].removeprefix("SUMMARY "))
    faults = {name: found[name] for name in _FAULTS if found[name]}
    if faults:
        raise RefusedError(f"not every answer was one of success: {faults}")
    if not found["requests"]:
        raise NoneAnsweredError("nothing was answered in time: take longer rounds")
    return Round(
        requests=found["requests"],
        seconds=found["microseconds"] / 1e6,
        bytes=found["bytes"],
        p50_ms=found["p50_us"] / 1000,
        p99_ms=found["p99_us"] / 1000,
        cpu_us=cpu_seconds / found["requests"] * 1e6,
    )


def middle(rounds, name):
    """The median of what several rounds came to."""
    return median(getattr(found, name) for found in rounds)
