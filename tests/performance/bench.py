"""All servers of one run of `side_by_side.py`, the lookups that each gets, and its rounds."""

from contextlib import suppress
from dataclasses import dataclass, field
from math import ceil
from pathlib import Path
from statistics import fmean, median

from catalogues import catalogue, table_of_parts
from driven import CONNECTIONS, LOAD_CORE, SERVER_CORE, NoneAnsweredError, RefusedError, Round, drive
from extras import BATCH, batch_round
from lookup_mix import queries
from served import Server, competitor, service

DISTINCT, BATCHED, POOL = 120_000, 5 * BATCH, 500
WARM_UP, WARM_UP_SECONDS = 5_000, 20
"""So many lookups come before the first round that counts, or as many as are answered in so long.

After some 2,500 lookups a fresh process at 100,000 parts answers as fast as it ever does.
"""
_ENOUGH_ANSWERS, _LONGEST_SECONDS = 20 * CONNECTIONS, 10
"""What is under way at a round's end is not counted; beside so many answers that takes little from a rate."""
_ASKED_FOR_SIZE = 100
"""Lookups whose answers tell how large one is."""


@dataclass(frozen=True, kw_only=True)
class Load:
    """Lookups in a file; those that are distinct never come twice.

    Batches may come again: one keeps nothing for the next.
    """

    file: Path
    lines: int
    distinct: bool = True
    batch: bool = False


@dataclass(kw_only=True)
class Target:
    """A server under a load, and what its rounds came to, also as ratios to those of (a) around them."""

    what: str
    server: Server
    load: Load
    first: int = 0
    warmed: int = 0
    seconds: int = 0
    rounds: list[Round] = field(default_factory=list)
    rates: list[float] = field(default_factory=list)
    p99s: list[float] = field(default_factory=list)

    def note(self, found, around):
        """Count a round in."""
        self.rounds.append(found)
        self.rates.append(found.rate / fmean(bare.rate for bare in around))
        self.p99s.append(found.p99_ms / fmean(bare.p99_ms for bare in around))

    @property
    def rate(self):
        """Its requests a second as a share of (a)'s."""
        return median(self.rates)

    @property
    def p99(self):
        """Its 99th percentile as a multiple of (a)'s."""
        return median(self.p99s)


class Bench:
    """What runs: `bare`, and by name what is measured beside it."""

    def __init__(self, stack, folder, arguments):
        self._stack, self._folder, self._seconds = stack, folder, arguments.seconds
        self.sizes = sorted(arguments.parts)
        self.services = {parts: self.start_service(parts) for parts in self.sizes}
        self.middle = self.sizes[min(1, len(self.sizes) - 1)]
        self.distinct = self._load("distinct", queries(DISTINCT, mix=arguments.mix))
        size = _typical_bytes(self.services[self.middle], self.distinct.file)
        fixed = {name: self._competitor(name, BODY_BYTES=str(size)) for name in ("bare", "typed")}
        any_lookup = Load(file=self.distinct.file, lines=DISTINCT, distinct=False)
        self.bare = Target(what=f"(a) bare, {size:,} fixed bytes", server=fixed["bare"], load=any_lookup)
        typed = Target(what="(b) FastAPI, typed, fixed bytes", server=fixed["typed"], load=any_lookup)
        self.targets = {"b": typed} | self._rivals(arguments.rivals_up_to) | self._ours(arguments.mix)

    def warm_up(self, target):
        """Ask until enough is answered, so that plans and fragments are prepared; none of it is measured."""
        spent, step, rate = 0, min(self._seconds, 2), 0.0
        while target.first < WARM_UP and spent < WARM_UP_SECONDS:
            with suppress(NoneAnsweredError):
                rate = self.round_of(target, seconds=step).rate
            spent += step
        target.warmed = target.first
        target.seconds = long_enough(rate, self._seconds)

    def start_service(self, parts, core=SERVER_CORE):
        """The service on a catalogue of so many parts."""
        database = catalogue(self._folder, parts)
        return self._stack.enter_context(service(database, core=core, log=self._folder / "servers.log"))

    def beside(self, server):
        """Another server under the distinct lookups, which is in no table."""
        return Target(what="another service", server=server, load=self.distinct)

    def round_of(self, target, *, seconds=None):
        """One round of load."""
        load = target.load
        drive_it = batch_round if load.batch else drive
        where = {"first": target.first, "seconds": seconds or target.seconds, "core": LOAD_CORE}
        try:
            found = drive_it(target.server, load.file, **where)
        except RefusedError as refused:
            raise type(refused)(f"{target.what}: {refused}") from None
        target.first += found.requests
        if load.distinct and target.first > load.lines:
            raise RefusedError(f"{target.what}: lookups come twice; take fewer or shorter rounds")
        return found

    def _rivals(self, most):
        found = {}
        for parts in (parts for parts in self.sizes if parts <= most):
            file = table_of_parts(catalogue(self._folder, parts), self._folder / f"parts-{parts}.sqlite3")
            for letter, name in (("c", "obvious"), ("d", "careful")):
                found[f"{letter} {parts}"] = Target(
                    what=f"({letter}) {name}, {parts:,} parts",
                    server=self._competitor(name, PARTS=str(file)),
                    load=self.distinct,
                )
        return found

    def _ours(self, mix):
        """Ours; the pool, and what varies in all fields, have servers of their own.

        Otherwise other lookups would push theirs out of what a server keeps, between two rounds.
        """
        found = {
            f"service {parts}": Target(what=f"service, {parts:,} parts", server=server, load=self.distinct)
            for parts, server in self.services.items()
        }
        size = self.middle
        loads = {
            "pool": self._load("pool", queries(POOL, mix=mix, seed=POOL), distinct=False),
            "everything": self._load("everything", queries(DISTINCT, mix="everything")),
            "batch": self._load("batch", queries(BATCHED, mix=mix, seed=BATCHED), batch=True, distinct=False),
        }
        whats = {
            "pool": f"a pool of {POOL}",
            "everything": "all fields vary",
            "batch": f"batches of {BATCH:,}",
        }
        for name, load in loads.items():
            server = self.services[size] if load.batch else self.start_service(size)
            found[name] = Target(what=f"service, {size:,} parts, {whats[name]}", server=server, load=load)
        return found

    def _competitor(self, name, **environment):
        log = self._folder / "servers.log"
        return self._stack.enter_context(competitor(name, core=SERVER_CORE, log=log, **environment))

    def _load(self, name, lines, **others):
        file = self._folder / f"{name}.txt"
        file.write_text("\n".join(lines) + "\n", encoding="ascii")
        return Load(file=file, lines=len(lines), **others)


def long_enough(rate, seconds):
    """How long a round has to be at this rate, so that enough is answered [s]; within bounds."""
    return max(seconds, ceil(min(_LONGEST_SECONDS, _ENOUGH_ANSWERS / rate if rate else _LONGEST_SECONDS)))


def _typical_bytes(server, file):
    """How many bytes an answer has, in the middle."""
    sizes = []
    with file.open(encoding="ascii") as lines:
        for _, line in zip(range(_ASKED_FOR_SIZE), lines, strict=False):
            status, body = server.get(f"/v1/fits?{line.strip()}")
            if status != 200:
                raise RefusedError(f"a lookup is answered with {status}: {line}")
            sizes.append(len(body))
    return int(median(sizes))
