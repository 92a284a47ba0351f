"""The service beside what could stand in its place: one run, one table of ratios.

Run it as ``python tests/performance/side_by_side.py``; ``--keep`` prints the table as DEVELOPERS.md has it.
It needs wrk and two cores: every server stands on the first, the load on the second. Each round of a server
stands between two rounds of (a), bare fixed bytes, and counts as a ratio to these; the medians are told. A
port that is taken, an answer that is no success, and a lookup that comes twice where all have to differ end
the run.
"""

import argparse
import os
import shlex
import sys
import tempfile
from contextlib import ExitStack
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[2]), str(Path(__file__).resolve().parent)]

from bench import Bench
from catalogues import catalogue
from driven import LOAD_CORE, SERVER_CORE, RefusedError
from extras import swap_rounds, two_workers
from lookup_mix import MIXES
from told import machine, table, wanted


def main(arguments):
    """Start everything, measure by turns, and tell."""
    os.sched_setaffinity(0, {LOAD_CORE})
    with ExitStack() as stack:
        folder = arguments.folder or Path(stack.enter_context(tempfile.TemporaryDirectory()))
        folder.mkdir(parents=True, exist_ok=True)
        bench = Bench(stack, folder, arguments)
        _measure(bench, arguments.rounds)
        extras = [] if arguments.quick else [*_swap(bench, folder, arguments), *_workers(bench, arguments)]
        lines = [*machine(), "", *table([bench.bare, *bench.targets.values()]), "", *wanted(bench, extras)]
    if arguments.keep:
        lines = [f"`{shlex.join(['python', 'tests/performance/side_by_side.py', *sys.argv[1:]])}`", *lines]
    print("\n".join(lines))


def _measure(bench, rounds):
    """By turns, so that whatever else the machine does meets all alike; the first turn warms up."""
    for number in range(rounds + 1):
        before = bench.round_of(bench.bare)
        for target in bench.targets.values():
            found = bench.round_of(target)
            after = bench.round_of(bench.bare)
            if number:
                target.note(found, (before, after))
                bench.bare.rounds.append(after)
            before = after
        print(f"round {number} of {rounds}", file=sys.stderr)


def _swap(bench, folder, arguments):
    parts = bench.sizes[-1]
    server, database = bench.services[parts], catalogue(folder, parts)
    usual, swapped = swap_rounds(server, database, parts, bench.distinct, seconds=arguments.swap_seconds)
    what = f"p99 while the snapshot of {parts:,} parts is read anew to the usual one: at most 3"
    yield what, swapped / usual, swapped <= 3 * usual


def _workers(bench, arguments):
    one = (SERVER_CORE, bench.services[bench.middle])
    two = (LOAD_CORE, bench.start_service(bench.middle, core=LOAD_CORE))
    faster = two_workers(one, two, bench.distinct, seconds=arguments.seconds, rounds=arguments.rounds)
    yield (
        "requests/s of two workers to one, each sharing its core with its load: at least 1.8",
        faster,
        faster >= 1.8,
    )


def _arguments():
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument(
        "--parts", type=int, nargs="+", default=[1_000, 100_000, 1_000_000], help="catalogue sizes"
    )
    asked.add_argument(
        "--rivals-up-to", type=int, default=100_000, help="the largest catalogue of (c) and (d)"
    )
    asked.add_argument("--mix", choices=MIXES, default="shop", help="which lookups")
    asked.add_argument("--rounds", type=int, default=5, help="how many rounds of each")
    asked.add_argument("--seconds", type=int, default=3, help="how long a round is [s]")
    asked.add_argument("--swap-seconds", type=int, default=90, help="how long the rounds with a swap are [s]")
    asked.add_argument("--folder", type=Path, help="where the catalogues are kept for the next run")
    asked.add_argument("--quick", action="store_true", help="without the swap and without two workers")
    asked.add_argument("--keep", action="store_true", help="with the command, as DEVELOPERS.md has it")
    return asked.parse_args()


if __name__ == "__main__":
    try:
        main(_arguments())
    except RefusedError as refused:
        sys.exit(f"Nothing was measured: {refused}")
