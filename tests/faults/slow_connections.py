"""A thousand slow connections through the proxy: ordinary lookups beside them are as quick as without.

Run it as ``python tests/faults/slow_connections.py``. The proxy is nginx with the files of deploy/proxy, and
behind it is a process of the service. Rounds without and with the slow connections take turns, so that what
else the machine does weighs on both alike. No figure is given unless all were open all the time, and none
counts if the machine was too busy for a round to have a p99.
"""

import argparse
import sys
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median, quantiles

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))  # it is run as a file, from anywhere

from service.commands.serve import load_demonstration
from tests.deploy.reverse_proxy import ADDRESS, running_proxy
from tests.faults.databases import new_database, opened
from tests.faults.held_open import BEGINNINGS, addresses, held_open, open_at
from tests.faults.two_workers import LOOKUP
from tests.faults.workers import worker

CONNECTIONS = 1000
CLIENTS = 4
FEWEST_LOOKUPS = 100
MOST_SLOWER = 0.2
ONE_ADDRESS = "127.0.0.200"
MOST_OF_ONE = 100
"""How many requests nginx.conf lets an address have under way."""
HEADERS_END_AFTER_S = 10.0
_PATIENCE_S = 20.0
_ALL_KINDS = tuple(BEGINNINGS)


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """The seconds of each lookup, round by round, and what became of the slow connections."""

    without: list = field(default_factory=list)
    beside: list = field(default_factory=list)
    failed: Counter = field(default_factory=Counter)
    least_open: list = field(default_factory=list)
    headers_lasted_s: list = field(default_factory=list)
    of_one_address: dict = field(default_factory=dict)

    @property
    def slower(self):
        """By how much the median of the rounds' p99 is more beside the slow connections."""
        return _p99(self.beside) / _p99(self.without) - 1

    @property
    def tells(self):
        """Whether every round has lookups enough to have a p99."""
        return min(map(len, (*self.without, *self.beside))) >= FEWEST_LOOKUPS

    @property
    def is_well(self):
        return not self.failed and self.tells and self.slower <= MOST_SLOWER and self.limit_holds

    @property
    def limit_holds(self):
        return all(held == MOST_OF_ONE for held, _ in self.of_one_address.values())


def _p50(rounds):
    return median(median(seconds) for seconds in rounds)


def _p99(rounds):
    return median(quantiles(seconds, n=100)[98] for seconds in rounds)


def run(url, *, connections=CONNECTIONS, rounds, seconds, tries=0):
    """Measure by turns without and beside the slow connections; then see what the proxy does with them."""
    outcome = Outcome()
    with worker(url, trusted_proxies=ADDRESS) as port, running_proxy(port) as proxy:
        for path in (LOOKUP, "/openapi.json"):  # so that nothing is done for the first time later
            assert proxy.send("GET", path)[0] == 200
        for number in range(rounds):
            for with_slow in (False, True) if number % 2 else (True, False):
                if with_slow:
                    outcome.beside.append(_beside(proxy, connections, seconds, outcome))
                else:
                    outcome.without.append(_look_up(proxy, seconds, outcome.failed))
        outcome.headers_lasted_s.extend(_headers_until_closed(proxy, connections))
        for kind in ("bodies", "answers") if tries else ():
            outcome.of_one_address[kind] = _from_one_address(proxy, kind, tries)
    return outcome


def _look_up(proxy, seconds, failed):
    """How long each lookup took [s], by clients that send theirs one after the other."""
    with ThreadPoolExecutor(CLIENTS) as threads:
        clients = [threads.submit(_client, proxy, seconds, failed) for _ in range(CLIENTS)]
        return [seconds for client in clients for seconds in client.result()]


def _client(proxy, seconds, failed):
    """The same of one client, over one connection."""
    taken = []
    end = time.monotonic() + seconds
    with closing(proxy.client()) as client:
        while time.monotonic() < end:
            begin = time.perf_counter()
            client.request("GET", LOOKUP + "&limit=1")
            answer = client.getresponse()
            answer.read()
            taken.append(time.perf_counter() - begin)
            if answer.status != 200:
                failed[answer.status] += 1
    return taken


def _beside(proxy, connections, seconds, outcome):
    """The same, with slow connections open from the first lookup to the last."""
    with held_open(proxy, addresses(connections), _ALL_KINDS):
        before = open_at(proxy.port)
        taken = _look_up(proxy, seconds, outcome.failed)
        outcome.least_open.append(min(before, open_at(proxy.port)))
    if outcome.least_open[-1] < connections:
        raise RuntimeError(f"only {outcome.least_open[-1]} of {connections} connections were open: no figure")
    return taken


def _headers_until_closed(proxy, connections):
    """How long connections with half a header last [s] until the proxy closes them."""
    with held_open(proxy, addresses(min(connections, 30)), ("headers",)) as held:
        return [lasted for _, _, lasted in _settled(held, lambda told: all(one[2] for one in told))]


def _from_one_address(proxy, kind, tries):
    """How many slow requests of one address are under way, and how many were refused with 429."""
    with held_open(proxy, [ONE_ADDRESS] * tries, (kind,)) as held:
        told = _settled(held, lambda told: sum(one[2] is not None for one in told) >= tries - MOST_OF_ONE)
    return sum(one[2] is None for one in told), sum(one[1] == 429 for one in told)


def _settled(held, is_settled):
    deadline = time.monotonic() + _PATIENCE_S
    while not is_settled(told := held.told()) and time.monotonic() < deadline:
        time.sleep(0.2)
    return told


def _table(outcome, connections):
    """The lines that tell it."""
    heads = ("", "p50 [ms]", "p99 [ms]", "lookups", "failed", "open")
    yield _row(heads)
    yield _row(("without", *_figures(outcome.without), "", 0))
    yield _row(("beside", *_figures(outcome.beside), sum(outcome.failed.values()), min(outcome.least_open)))
    yield f"p99 {outcome.slower:+.0%} beside {connections:,} slow connections ({len(outcome.beside)} rounds)"
    if not outcome.tells:
        yield f"the machine is too busy: a round of fewer than {FEWEST_LOOKUPS} lookups has no p99"
    yield f"half a header is closed after {median(outcome.headers_lasted_s):.0f} s"
    for kind, (held, refused) in outcome.of_one_address.items():
        yield f"from one address: {held} slow {kind} under way, {refused} refused with 429"


def _figures(rounds):
    return f"{1000 * _p50(rounds):.2f}", f"{1000 * _p99(rounds):.2f}", f"{sum(map(len, rounds)):,}"


def _row(cells):
    return f"{cells[0]:10}" + "".join(f"{cell:>11}" for cell in cells[1:])


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--connections", type=int, default=CONNECTIONS)
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--seconds", type=float, default=3.0, help="of lookups in each half of a round")
    arguments = parser.parse_args()
    with new_database("sqlite") as url:
        with opened(url) as database:
            load_demonstration(database)
        outcome = run(url, tries=MOST_OF_ONE + 50, **vars(arguments))
    lines = [*_table(outcome, arguments.connections), "well" if outcome.is_well else "NOT WELL"]
    sys.stdout.write("\n".join(lines) + "\n")
    return 0 if outcome.is_well else 1


if __name__ == "__main__":
    sys.exit(main())
