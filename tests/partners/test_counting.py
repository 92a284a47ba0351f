"""The queue of counts: together in one transaction, exact, and out of the way when it cannot count."""

import asyncio
import threading
import time

import pytest
from sqlmodel import text

from service.partners.counting import CountingQueue
from service.partners.limits import Asker, Limits
from service.settings import Settings
from service.store.database import Database

ADDRESSES = ("192.0.2.1", "192.0.2.2", "192.0.2.3")  # for documentation (RFC 5737)


@pytest.fixture
def database(any_database):
    return any_database


class Counted(Limits):
    """Limits that note how many requests each transaction counts."""

    def count_all(self, askers):
        self.sizes = [*getattr(self, "sizes", []), len(askers)]
        return super().count_all(askers)


def count(limits, askers):
    """What became of requests that come all at once."""

    async def all_at_once():
        queue = CountingQueue(limits)
        return await asyncio.gather(*(queue.count(asker) for asker in askers))

    return asyncio.run(all_at_once())


def test_requests_that_come_at_once_are_counted_each_for_its_client_and_in_its_order(database):
    askers = [Asker(address=ADDRESSES[number % 3]) for number in range(30)]
    counted = count(Limits(database, Settings(limit_per_minute=7)), askers)
    for number in range(3):
        remaining = [result.allowance.remaining for result in counted[number::3]]
        assert remaining == [6, 5, 4, 3, 2, 1, 0, 0, 0, 0]
        let_through = [result.allowance.let_through for result in counted[number::3]]
        assert let_through == [True] * 7 + [False] * 3


def test_requests_that_come_at_once_share_transactions(database):
    limits = Counted(database, Settings(limit_per_minute=1000))
    count(limits, [Asker(address=ADDRESSES[0])] * 500)
    assert sum(limits.sizes) == 500
    assert len(limits.sizes) < 10


def test_two_queues_on_one_database_let_through_the_limit_together(database):
    limits = Limits(database, Settings(limit_per_minute=20))

    async def two_workers():
        queues = CountingQueue(limits), CountingQueue(limits)
        return await asyncio.gather(
            *(queues[number % 2].count(Asker(address=ADDRESSES[number % 3])) for number in range(120))
        )

    counted = asyncio.run(two_workers())
    for number in range(3):
        assert sum(result.allowance.let_through for result in counted[number::3]) == 20


def test_nothing_is_known_of_requests_while_the_database_is_away_and_it_is_not_asked_again_at_once(tmp_path):
    nowhere = Database(f"sqlite:///{tmp_path / 'none.sqlite3'}")
    limits = Counted(nowhere, Settings(limit_per_minute=1))

    async def one_after_the_other():
        queue = CountingQueue(limits)
        return [await queue.count(Asker(address=ADDRESSES[0])) for _ in range(5)]

    assert [result.allowance for result in asyncio.run(one_after_the_other())] == [None] * 5
    assert limits.sizes == [1]
    nowhere.close()


def test_counting_begins_again_when_the_database_is_back(database):
    limits = Limits(database, Settings(limit_per_minute=5))

    async def away_and_back():
        queue = CountingQueue(limits)
        with database.writing() as session:
            session.connection().execute(text("ALTER TABLE request_count RENAME TO away"))
        found = [(await queue.count(Asker())).allowance]
        with database.writing() as session:
            session.connection().execute(text("ALTER TABLE away RENAME TO request_count"))
        await asyncio.sleep(1.1)  # the pause is a second
        return [*found, (await queue.count(Asker())).allowance]

    without, counted = asyncio.run(away_and_back())
    assert without is None
    assert counted.remaining == 4


class Hanging(Limits):
    """Limits whose database does not answer, until it is let go."""

    def __init__(self, *arguments):
        super().__init__(*arguments)
        self.let_go = threading.Event()

    def count_all(self, askers):
        self.let_go.wait(60)
        return super().count_all(askers)


def test_nobody_waits_for_long_for_a_database_that_hangs(database, caplog):
    limits = Hanging(database, Settings(limit_per_minute=5))
    begin = time.monotonic()
    try:
        counted = count(limits, [Asker()] * 10)
        passed = time.monotonic() - begin
    finally:
        limits.let_go.set()
    assert [result.allowance for result in counted] == [None] * 10
    assert passed < 10
    assert [record.exc_info for record in caplog.records] == [None]  # a sentence, and once
    assert "does not answer in time" in caplog.text


def test_a_caller_who_has_gone_does_not_hold_up_the_others(database):
    async def one_goes():
        queue = CountingQueue(Limits(database, Settings(limit_per_minute=5)))
        waiting = [asyncio.create_task(queue.count(Asker())) for _ in range(3)]
        await asyncio.sleep(0)
        waiting[0].cancel()
        async with asyncio.timeout(20):
            return await asyncio.gather(*waiting, return_exceptions=True)

    gone, *others = asyncio.run(one_goes())
    assert isinstance(gone, asyncio.CancelledError)
    assert [result.allowance.remaining for result in others] == [3, 2]
