"""The tables of `side_by_side.py`: what was measured, and what the service has to reach."""

import argparse
import os
import platform
import shlex
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from bench import WARM_UP, WARM_UP_SECONDS
from driven import CONNECTIONS, RefusedError, middle
from served import ROOT

DEVELOPERS = ROOT / "DEVELOPERS.md"
BEGIN, END = (f"<!-- side by side: {place} -->" for place in ("begin", "end"))


def command(arguments):
    """The command that was given; a folder is this machine's own, and makes no other table."""
    asked = argparse.ArgumentParser(add_help=False)
    asked.add_argument("--folder")
    _, others = asked.parse_known_args(arguments)
    return f"`{shlex.join(['python', 'tests/performance/side_by_side.py', *others])}`"


def machine():
    """What it ran on, as it was before."""
    model = "processor not known"
    for line in Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines():
        if line.startswith("model name"):
            model = line.partition(":")[2].strip()
            break
    python = f"{platform.python_implementation()} {platform.python_version()}"
    return (
        f"{model}, {os.cpu_count()} cores, load average {os.getloadavg()[0]:.1f} before; {python}; "
        f"wrk with {CONNECTIONS} connections. "
        f"All servers: one process, uvicorn {version('uvicorn')} with httptools and {_loop()}; "
        "the service writes its access log, the others none. "
        f"Each is warmed up by {WARM_UP:,} lookups, or those of {WARM_UP_SECONDS} s."
    )


def _loop():
    """The event loop that uvicorn takes by itself, in the service as in the others."""
    try:
        return f"uvloop {version('uvloop')}"
    except PackageNotFoundError:
        return "asyncio's loop"


def keep(lines, file=DEVELOPERS):
    """Put the lines between the two marks in a file."""
    before, begin, rest = file.read_text(encoding="utf-8").partition(BEGIN)
    _, end, after = rest.partition(END)
    if not begin or not end:
        raise RefusedError(f"{file.name} has no place for the table: {BEGIN} and {END}")
    file.write_text("\n".join([before + begin, "", *lines, "", end + after]), encoding="utf-8")


def table(targets):
    """A row for each of what was measured, as Markdown; the CPU is the server's for a request."""
    lines = [
        "| what | requests/s | × (a) | p50 [ms] | p99 [ms] | p99 × (a)'s | CPU [µs] | warm-up |",
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for target in targets:
        ratio, p99 = (f"{target.rate:.3f}", f"{target.p99:.1f}") if target.rates else ("1", "1")
        rounds = target.rounds
        lines.append(
            f"| {target.what} | {middle(rounds, 'rate'):,.0f} | {ratio} | {middle(rounds, 'p50_ms'):.2f} "
            f"| {middle(rounds, 'p99_ms'):.2f} | {p99} | {middle(rounds, 'cpu_us'):,.0f} "
            f"| {target.warmed:,} |"
        )
    return lines


def wanted(bench, extras):
    """What has to be reached, and what was; only what was measured is told."""
    rows = [*_of_rounds(bench.targets, bench.middle), *extras]
    return ["| wanted | found | reached |", "| --- | --- | --- |"] + [
        f"| {what} | {found:.2f} | {'yes' if reached else 'no'} |" for what, found, reached in rows
    ]


def _of_rounds(targets, size):
    ours = targets[f"service {size}"]

    def at_least(what, least, found):
        return (f"{what}: at least {least:g}", found, found >= least)

    def at_most(what, most, found):
        return (f"{what}: at most {most:g}", found, found <= most)

    yield at_least(f"requests/s of (b), {size:,} parts", 1.0, ours.rate / targets["b"].rate)
    yield at_most(f"p99 of (b), {size:,} parts", 1.5, ours.p99 / targets["b"].p99)
    for rival, parts, least in (("c", 100_000, 80), ("d", 100_000, 18), ("c", 1_000, 6)):
        if f"{rival} {parts}" in targets:
            faster = targets[f"service {parts}"].rate / targets[f"{rival} {parts}"].rate
            yield at_least(f"requests/s of ({rival}), {parts:,} parts", least, faster)
    if {"service 1000", "service 1000000"} <= targets.keys():
        slower = targets["service 1000"].rate / targets["service 1000000"].rate
        yield at_most("a lookup among 1,000,000 parts to one among 1,000", 1.3, slower)
    yield at_least("a pool of 500 lookups to (a)", 0.5, targets["pool"].rate)
    yield at_least("a lookup in a batch of 10,000 to a single one", 6, targets["batch"].rate / ours.rate)
