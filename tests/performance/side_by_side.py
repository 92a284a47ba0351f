"""The service beside what could stand in its place: one run, one table of ratios.

Run it as ``python tests/performance/side_by_side.py``; ``--keep`` writes the table into DEVELOPERS.md too.
It needs wrk and two cores: every server stands on the first, the load on the second. Each target is warmed
up first; then each round of one stands between two rounds of (a), bare fixed bytes, and counts as a ratio to
these; the medians are told. A port that is taken, an answer that is no success, and a lookup that comes
twice where all have to differ end the run.
"""

import argparse
import os
import signal
import sys
import tempfile
from contextlib import ExitStack
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[2]), str(Path(__file__).resolve().parent)]

from bench import Bench
from catalogues import catalogue
from driven import LOAD_CORE, RefusedError, cores
from extras import SWAPPED, cores_of_two, swap_p99s, two_workers
from lookup_mix import MIXES
from told import command, keep, machine, table, wanted


def main(arguments):
    """Start everything, measure by turns, and tell."""
    signal.signal(signal.SIGTERM, lambda *_: sys.exit("stopped"))  # so that the servers are stopped too
    there, lines = cores(), [command(sys.argv[1:]), "", machine()]
    os.sched_setaffinity(0, {LOAD_CORE})
    with ExitStack() as stack:
        folder = arguments.folder or Path(stack.enter_context(tempfile.TemporaryDirectory()))
        folder.mkdir(parents=True, exist_ok=True)
        bench = Bench(stack, folder, arguments)
        _measure(bench, arguments.rounds)
        extras = [] if arguments.quick else _extras(bench, folder, arguments, there)
        lines += ["", *table([bench.bare, *bench.targets.values()]), "", *wanted(bench, extras)]
        print("\n".join(lines))
        if arguments.keep:
            keep(lines)


def _measure(bench, rounds):
    """By turns, so that whatever else the machine does meets all alike."""
    for target in (bench.bare, *bench.targets.values()):
        bench.warm_up(target)
        _say(f"{target.what}: warmed up by {target.warmed:,} lookups")
    for number in range(rounds):
        before = bench.round_of(bench.bare)
        for target in bench.targets.values():
            found = bench.round_of(target)
            after = bench.round_of(bench.bare)
            target.note(found, (before, after))
            bench.bare.rounds.append(after)
            before = after
        _say(f"round {number + 1} of {rounds}")


def _extras(bench, folder, arguments, there):
    """What is measured at the end; where that fails, all else is told nevertheless."""
    found = []
    for extra in (_swap(bench, folder, arguments), _workers(bench, arguments, there)):
        try:
            found.extend(extra)
        except RefusedError as refused:
            _say(f"Left out: {refused}")
    return found


def _swap(bench, folder, arguments):
    parts = bench.sizes[-1]
    if parts < SWAPPED:
        raise RefusedError(f"{parts} parts are too few for a swap")
    server, database = bench.services[parts], catalogue(folder, parts)
    times = {"seconds": arguments.seconds, "rounds": arguments.rounds}
    usual, swapped = swap_p99s(server, database, parts, bench.distinct, **times)
    what = (
        f"worst p99 of {arguments.seconds} s to the usual one, while {parts:,} parts are read anew: at most 3"
    )
    yield what, swapped / usual, swapped <= 3 * usual


def _workers(bench, arguments, there):
    load_of_one, core, load_of_two = cores_of_two(there)
    second = bench.start_service(bench.middle, core=core)
    bench.warm_up(bench.beside(second))
    one, two = (bench.services[bench.middle], load_of_one), (second, load_of_two)
    faster = two_workers(one, two, bench.distinct, seconds=arguments.seconds, rounds=arguments.rounds)
    shared = "; each of the two shares its core with its load, the one does not: a lower bound"
    what = f"requests/s of two workers to one{shared if core == load_of_two else ''}: at least 1.8"
    yield what, faster, faster >= 1.8


def _say(what):
    print(what, file=sys.stderr, flush=True)


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
    asked.add_argument("--folder", type=Path, help="where the catalogues are kept for the next run")
    asked.add_argument("--quick", action="store_true", help="without the swap and without two workers")
    asked.add_argument("--keep", action="store_true", help="write the table into DEVELOPERS.md too")
    return asked.parse_args()


if __name__ == "__main__":
    try:
        main(_arguments())
    except RefusedError as refused:
        sys.exit(f"Nothing was measured: {refused}")
