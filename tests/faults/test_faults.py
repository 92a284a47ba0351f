"""The fault commands in small: what they show in full, they show here in seconds."""

import os
import shutil

import pytest

from tests.both_engines import with_schema
from tests.deploy.tools import tool
from tests.faults import (
    concurrent_writers,
    database_stopped,
    failing_disk,
    killed_imports,
    limited_workers,
    rolling_restart,
    same_moment,
    slow_connections,
    two_workers,
)


@pytest.fixture
def url(engine):
    return engine.empty()


def test_writers_of_the_same_rows_lose_no_edit_and_the_late_ones_get_412(url):
    outcome = concurrent_writers.run(url, writers=8, edits=6)
    assert outcome.acknowledged == outcome.stock == outcome.changes == outcome.revisions == 8 * 6
    assert outcome.broken_steps == 0
    assert outcome.answers[412] > 0
    assert set(outcome.answers) == {200, 412}


def test_an_import_that_is_killed_is_whole_or_nothing_and_an_acknowledged_one_stays(url):
    outcome = killed_imports.run(url, rounds=4)
    assert outcome.rounds == 4
    assert outcome.revision > 0
    assert (outcome.half, outcome.lost, outcome.unrecorded, outcome.unlike_feed) == (0, 0, 0, 0)


def test_a_write_through_one_worker_is_in_the_lookups_of_the_other_within_a_second(url):
    outcome = two_workers.run(url, rounds=4)
    assert len(outcome.seconds) == 4
    assert max(outcome.seconds) < two_workers.WITHIN_S


def test_two_workers_together_let_through_what_the_limit_says_and_not_one_more(url):
    outcome = limited_workers.run(url, limit=60, key_limit=40, senders=8)
    assert outcome.by_address == {200: 60, 429: 30}
    assert outcome.by_key == {200: 40, 429: 20}
    assert sorted(outcome.remaining) == list(range(60))  # each of the numbers was given once


@pytest.mark.usefixtures("postgresql_server")
def test_while_the_database_is_away_lookups_go_on_with_their_age_and_writes_are_told_to_wait():
    outcome = database_stopped.run(seconds=database_stopped.NOTICED_WITHIN_S + 2)
    assert outcome.before["lookup 200"] > 0
    assert outcome.is_well, outcome


def test_an_import_onto_a_disk_that_is_full_or_fails_is_whole_or_nothing(tmp_path):
    if shutil.which("strace") is None:
        if os.environ.get("CI"):
            pytest.fail("CI must have strace, by which a write fails")
        pytest.skip("no strace here")
    outcome = failing_disk.run_sqlite(with_schema(f"sqlite:///{tmp_path / 'shop.sqlite3'}"), every=60)
    assert outcome.is_whole, outcome
    assert any("its disk is full" in told for told in outcome.told), outcome.told


def test_an_import_sent_to_two_workers_at_the_same_moment_is_done_once(url):
    outcome = same_moment.run(url, rounds=3, senders=6)
    assert outcome.revisions == 3
    assert [len(answers) for answers in outcome.answers] == [1, 1, 1]
    assert {status for answers in outcome.answers for status, _ in answers} == {200}


def test_services_behind_a_proxy_are_restarted_without_a_failed_request(postgresql):
    if rolling_restart.nginx() is None:
        if os.environ.get("CI"):
            pytest.fail("CI must have nginx")
        pytest.skip("no nginx here")
    outcome = rolling_restart.run(postgresql.empty(), services=2, rounds=1, readers=2)
    assert (outcome.restarts, outcome.failed) == (2, 0)
    assert outcome.lookups[200] > 0
    assert outcome.stock == outcome.writes[200] > 0


def test_lookups_beside_slow_connections_are_answered_and_the_proxy_ends_the_slow_ones(demonstration_file):
    for name in ("nginx", "openssl"):
        tool(name)
    outcome = slow_connections.run(f"sqlite:///{demonstration_file}", connections=60, rounds=1, seconds=2)
    assert outcome.least_open == [60]
    assert not outcome.failed
    assert min(map(len, (*outcome.without, *outcome.beside))) > 10
    assert len(outcome.headers_lasted_s) == 30
    end = slow_connections.HEADERS_END_AFTER_S
    assert all(end - 1 < lasted < end + 5 for lasted in outcome.headers_lasted_s)
