"""The tables of `side_by_side.py`: what was measured, and what the service has to reach."""

import os
import platform
from pathlib import Path

from driven import CONNECTIONS, middle


def machine():
    """What it ran on."""
    model = "processor not known"
    for line in Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines():
        if line.startswith("model name"):
            model = line.partition(":")[2].strip()
            break
    python = f"{platform.python_implementation()} {platform.python_version()}"
    return [f"{model}, {os.cpu_count()} cores; {python}; wrk with {CONNECTIONS} connections."]


def table(targets):
    """A row for each of what was measured, as Markdown."""
    lines = [
        "| what | requests/s | × (a) | p50 [ms] | p99 [ms] | p99 × (a)'s | CPU of the server [µs] |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    for target in targets:
        ratio, p99 = (f"{target.rate:.3f}", f"{target.p99:.1f}") if target.rates else ("1", "1")
        rounds = target.rounds
        lines.append(
            f"| {target.what} | {middle(rounds, 'rate'):,.0f} | {ratio} | {middle(rounds, 'p50_ms'):.2f} "
            f"| {middle(rounds, 'p99_ms'):.2f} | {p99} | {middle(rounds, 'cpu_us'):,.0f} |"
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
