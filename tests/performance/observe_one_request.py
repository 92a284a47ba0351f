"""What tracing, the log line and the metrics cost a request [µs of CPU], beside the bare application.

Run it as ``python tests/performance/observe_one_request.py``. The layers stand around an application that
answers at once; a line goes to a file. Then, what counting a request costs [ms], one after the other.
"""

import asyncio
import logging
import os
import sys
import time
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))  # it is run as a file, from anywhere

from service.catalogue.snapshot import SnapshotKeeper
from service.partners.counting import CountingQueue
from service.partners.limits import Asker, Limits
from service.settings import Settings
from service.store.database import Database
from service.web.access import Access, AccessLog
from service.web.logs import configure_logs
from service.web.metrics import Metrics
from service.web.tracing import Tracing
from tests.faults.databases import ENGINES, new_database

REQUESTS = 5_000
ROUNDS = 7
COUNTS = 300
SCOPE = {"type": "http", "method": "GET", "path": "/v1/fits", "headers": [(b"host", b"shop.invalid")]}


async def _bare(_scope, _receive, send):
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": b"x" * 1000})


async def _taken(_message):
    pass


def cpu_us(app):
    """The CPU time of a request [µs], the least of some rounds: others use this machine too."""

    async def round_of_requests():
        begin = time.process_time()
        for _ in range(REQUESTS):
            await app(dict(SCOPE), None, _taken)
        return (time.process_time() - begin) / REQUESTS * 1e6

    return min(asyncio.run(round_of_requests()) for _ in range(ROUNDS))


def count_ms(url):
    """How long a count takes [ms], in the middle."""
    database = Database(url)

    async def one_after_the_other():
        queue = CountingQueue(Limits(database, Settings(limit_per_minute=COUNTS)))
        seconds = []
        for _ in range(COUNTS):
            begin = time.perf_counter()
            assert (await queue.count(Asker(address="192.0.2.1"))).allowance.let_through
            seconds.append(time.perf_counter() - begin)
        return seconds

    try:
        return median(asyncio.run(one_after_the_other())) * 1000
    finally:
        database.close()


def main():
    keeper = SnapshotKeeper(Database("sqlite://"))
    bare, traced = cpu_us(_bare), cpu_us(Tracing(_bare))
    with Path(os.devnull).open("w", encoding="utf-8") as nowhere:
        logging.getLogger("axlefit.access").setLevel(logging.ERROR)
        measured = cpu_us(Tracing(Access(_bare, AccessLog(Metrics(keeper)))))
        logged = {}
        for log_format in ("json", "text"):
            configure_logs(Settings(log_format=log_format))
            logging.getLogger("axlefit.access").setLevel(logging.INFO)
            logging.getLogger().handlers[0].setStream(nowhere)
            logged[log_format] = cpu_us(Tracing(Access(_bare, AccessLog(Metrics(keeper)))))
    print(f"trace and request identifier   {traced - bare:6.1f} us")
    print(f"metrics                        {measured - traced:6.1f} us")
    print(f"the log line as JSON           {logged['json'] - measured:6.1f} us")
    print(f"the log line as text           {logged['text'] - measured:6.1f} us")
    for engine in ENGINES:
        with new_database(engine) as url:
            print(f"counting a request, {engine:10} {count_ms(url):6.2f} ms")


if __name__ == "__main__":
    main()
