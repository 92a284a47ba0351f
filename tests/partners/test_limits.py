"""Limits: so many requests in a window and not one more, whoever counts, on both engines."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlmodel import text

from service.errors import DatabaseUnavailableError
from service.partners.keys import Scope, issue_key, revoke_key
from service.partners.limits import Asker, Limits, network_of
from service.settings import Settings
from service.store.database import Database

PEPPER = "a pepper of the tests"
BEGIN = 1_800_000_000_000
WINDOW = 60_000
HERE, THERE = "192.0.2.1", "192.0.2.2"  # addresses for documentation (RFC 5737)


@pytest.fixture
def limits(database, clock):
    """Makes limits with settings that the test says."""

    def make(clock_ms=clock, **settings):
        return Limits(database, Settings(key_pepper=PEPPER, **settings), clock_ms=clock_ms)

    return make


@pytest.fixture
def rows(database):
    """The clients that are counted."""

    def read():
        with database.engine.connect() as connection:
            return connection.execute(text("SELECT client, began_at_ms, used FROM request_count")).all()

    return read


def ask(limits, address=HERE, key=None):
    (counted,) = limits.count_all([Asker(key=key, address=address)])
    return counted.allowance


def let_through(limits, times, address=HERE, key=None):
    return [ask(limits, address, key).let_through for _ in range(times)]


@pytest.mark.parametrize("limit", [1, 2, 7])
def test_as_many_requests_as_the_limit_are_let_through_and_the_next_is_not(limits, limit):
    assert let_through(limits(limit_per_minute=limit), limit + 3) == [True] * limit + [False] * 3


def test_each_answer_says_how_many_are_left(limits):
    three = limits(limit_per_minute=3)
    assert [ask(three).remaining for _ in range(5)] == [2, 1, 0, 0, 0]
    assert ask(three).quota == 3


@pytest.mark.parametrize(
    ("later", "left"),
    # The window is 60 s; what is left is told in whole seconds, rounded up.
    [(0, 60), (1, 60), (1000, 59), (1001, 59), (58_999, 2), (59_000, 1), (59_999, 1)],
)
def test_each_answer_says_in_how_many_seconds_the_window_ends(limits, clock, later, left):
    one = limits(limit_per_minute=1)
    assert ask(one).seconds_left == 60
    clock.now += later
    refused = ask(one)
    assert not refused.let_through
    assert refused.seconds_left == left


@pytest.mark.parametrize(("later", "expected"), [(WINDOW - 1, False), (WINDOW, True), (WINDOW + 1, True)])
def test_a_window_ends_60_s_after_it_began(limits, clock, later, expected):
    two = limits(limit_per_minute=2)
    ask(two)
    clock.now += WINDOW // 2
    assert let_through(two, 2) == [True, False]
    clock.now = BEGIN + later
    assert ask(two).let_through is expected


def test_who_waits_for_as_long_as_is_told_is_let_through(limits, clock):
    one = limits(limit_per_minute=1)
    ask(one)
    clock.now += 12_345
    clock.now += 1000 * ask(one).seconds_left
    assert ask(one).let_through


def test_a_new_window_has_the_whole_limit_again(limits, clock):
    two = limits(limit_per_minute=2)
    let_through(two, 5)
    clock.now += WINDOW
    assert [ask(two).remaining for _ in range(2)] == [1, 0]


def test_refused_requests_do_not_prolong_the_window(limits, clock):
    one = limits(limit_per_minute=1)
    ask(one)
    for _ in range(59):
        clock.now += 1000
        assert not ask(one).let_through
    clock.now += 1000
    assert ask(one).let_through


def test_a_clock_that_was_put_back_refuses_nobody_for_longer_than_a_window(limits, clock):
    one = limits(limit_per_minute=1)
    ask(one)
    clock.now -= 3_600_000
    assert ask(one).let_through
    clock.now += WINDOW
    assert ask(one).let_through


def test_each_address_has_a_limit_of_its_own(limits):
    two = limits(limit_per_minute=2)
    assert let_through(two, 3, HERE) == [True, True, False]
    assert let_through(two, 3, THERE) == [True, True, False]


@pytest.fixture
def key(database):
    return issue_key(database, name="Till", scopes=frozenset({Scope.CATALOGUE}), pepper=PEPPER)


def test_a_key_is_counted_by_itself_from_wherever_it_is_used(limits, key):
    three = limits(limit_per_minute=1, key_limit_per_minute=3)
    assert let_through(three, 2, HERE, key) == [True, True]
    assert let_through(three, 2, THERE, key) == [True, False]
    assert let_through(three, 2, HERE) == [True, False]  # the address has not been used up by it


def test_the_policy_says_what_is_counted(limits, key):
    both = limits(limit_per_minute=1, key_limit_per_minute=3)
    assert (ask(both).policy, ask(both, HERE, key).policy) == ("address", "key")
    known, unknown = both.count_all([Asker(key=key), Asker(key="axf_nonsense")])
    assert (known.key_id, unknown.key_id) == (key.split("_")[1], None)


def test_a_key_has_the_limit_of_an_address_if_it_has_none_of_its_own(limits, key):
    assert let_through(limits(limit_per_minute=2), 3, HERE, key) == [True, True, False]


def test_keys_can_be_without_a_limit_and_are_not_counted_then(limits, key, rows):
    only_addresses = limits(limit_per_minute=1, key_limit_per_minute=0)
    assert ask(only_addresses, HERE, key) is None
    assert rows() == []
    assert let_through(only_addresses, 2) == [True, False]


def test_addresses_can_be_without_a_limit(limits, key):
    only_keys = limits(key_limit_per_minute=1)
    assert ask(only_keys) is None
    assert let_through(only_keys, 2, HERE, key) == [True, False]


@pytest.mark.parametrize(
    ("settings", "on"),
    [
        ({}, False),
        ({"limit_per_minute": 0, "key_limit_per_minute": 0}, False),
        ({"limit_per_minute": 1}, True),
        ({"key_limit_per_minute": 1}, True),
    ],
)
def test_limits_are_off_unless_one_is_set(limits, settings, on):
    assert limits(**settings).on is on


def test_who_guesses_keys_is_counted_by_the_address(limits, key, database):
    two = limits(limit_per_minute=2, key_limit_per_minute=100)
    revoke_key(database, key.split("_")[1])
    assert let_through(two, 1, HERE, "axf_nonsense") == [True]
    assert let_through(two, 1, HERE, key) == [True]
    assert let_through(two, 1, HERE, "") == [False]


def test_counting_at_the_same_time_loses_no_request(limits):
    # Each thread stands for a worker process, which has one count under way: of one request, or of some.
    fifty = limits(limit_per_minute=50)
    with ThreadPoolExecutor(4) as threads:
        together = threads.map(
            lambda number: fifty.count_all([Asker(address=HERE)] * (number % 3 + 1)), range(40)
        )
        allowances = [counted.allowance for batch in together for counted in batch]
    assert len(allowances) == 79  # 40 + 39 of (1, 2, 3), 14 times 1
    assert sum(allowance.let_through for allowance in allowances) == 50
    assert sorted(a.remaining for a in allowances if a.let_through) == list(range(50))


def test_the_clock_of_the_database_begins_and_ends_the_window(limits, rows):
    with_database_clock = limits(clock_ms=None, limit_per_minute=1)
    assert ask(with_database_clock).seconds_left == 60
    assert not ask(with_database_clock).let_through
    ((_, began_at_ms, used),) = rows()
    assert used == 1
    assert 1.7e12 < began_at_ms < 4e12  # milliseconds since 1970, between 2023 and 2096


def test_windows_that_have_ended_are_removed_and_those_that_run_stay(limits, clock, rows):
    two = limits(limit_per_minute=5)
    ask(two, HERE)
    clock.now += WINDOW - 1
    ask(two, THERE)
    assert len(rows()) == 2
    clock.now += 1
    ask(two, "192.0.2.3")
    assert sorted(row.began_at_ms - BEGIN for row in rows()) == [WINDOW - 1, WINDOW]
    assert not [row for row in rows() if row.used != 1]


def test_no_address_is_stored(limits, rows):
    ask(limits(limit_per_minute=5), HERE)
    ask(limits(limit_per_minute=5), "2001:db8::1")
    assert len(rows()) == 2
    assert not [row.client for row in rows() if "192" in row.client or "2001:db8" in row.client]


@pytest.mark.parametrize(
    ("address", "counted_as"),
    [
        ("192.0.2.1", "192.0.2.1"),
        # Addresses for documentation (RFC 3849); an end site has at least a /64 (RFC 6177, RFC 4291 2.5.4).
        ("2001:db8:0:1::1", "2001:db8:0:1::/64"),
        ("2001:db8:0:1:ffff:ffff:ffff:ffff", "2001:db8:0:1::/64"),
        ("2001:db8:0:2::1", "2001:db8:0:2::/64"),
        ("2001:0DB8:0:1:0::1", "2001:db8:0:1::/64"),
        ("::ffff:192.0.2.1", "192.0.2.1"),  # IPv4-mapped (RFC 4291, 2.5.5.2)
        ("fe80::1%eth0", "fe80::/64"),
        ("testclient", "testclient"),
        (None, "unknown"),
        ("", "unknown"),
    ],
)
def test_an_address_is_counted_as(address, counted_as):
    assert network_of(address) == counted_as


def test_a_database_that_is_away_is_told(tmp_path):
    nowhere = Database(f"sqlite:///{tmp_path / 'none.sqlite3'}")
    away = Limits(nowhere, Settings(limit_per_minute=1))
    with pytest.raises(DatabaseUnavailableError):
        ask(away)
    nowhere.close()


def test_a_count_does_not_wait_for_an_import(limits, database, engine):
    one = limits(limit_per_minute=1)
    with database.writing():
        if engine.name == "postgresql":
            assert ask(one).let_through
        else:  # SQLite has one writer: the count gives up in a second
            with pytest.raises(DatabaseUnavailableError):
                ask(one)
