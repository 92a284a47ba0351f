"""Keys that are tried in bulk: an address with too many wrong ones waits, whichever it sends next."""

import pytest
from sqlmodel import text

from service.errors import QuotaExceededError, UnauthenticatedError
from service.partners.keys import Scope, issue_key, revoke_key
from service.partners.wrong_keys import KeyCheck
from service.settings import Settings

PEPPER = "a pepper of the tests"
HERE, THERE = "192.0.2.1", "192.0.2.2"  # addresses for documentation (RFC 5737)
WRONG = "axf_AAAAAAAA_BBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBB00000000"
BEGIN, WINDOW = 1_800_000_000_000, 60_000
QUOTA = 3


@pytest.fixture
def check(database, clock):
    settings = Settings(key_pepper=PEPPER, wrong_keys_per_minute=QUOTA)
    return KeyCheck(database, settings, clock_ms=clock)


@pytest.fixture
def key(database):
    return issue_key(database, name="Till", scopes=frozenset({Scope.CATALOGUE}), pepper=PEPPER)


def try_wrong_ones(check, number, *, address=HERE):
    for _ in range(number):
        with pytest.raises(UnauthenticatedError):
            check.caller_of(WRONG, address)


def test_wrong_keys_are_refused_up_to_the_quota_and_then_none_is_looked_at(check, key):
    try_wrong_ones(check, QUOTA)
    for tried in (WRONG, key):
        with pytest.raises(QuotaExceededError) as caught:
            check.caller_of(tried, HERE)
        assert caught.value.headers["Retry-After"] == "60"
        assert caught.value.headers["Cache-Control"] == "no-store"


def test_one_wrong_key_fewer_than_the_quota_does_not_keep_a_right_one_out(check, key):
    try_wrong_ones(check, QUOTA - 1)
    assert check.caller_of(key, HERE).name == "Till"


def test_right_keys_are_not_counted(check, key):
    for _ in range(QUOTA + 2):
        check.caller_of(key, HERE)
    try_wrong_ones(check, QUOTA)


def test_another_address_goes_on(check, key):
    try_wrong_ones(check, QUOTA)
    assert check.caller_of(key, THERE).name == "Till"


@pytest.mark.parametrize(("passed", "waits"), [(WINDOW - 1, True), (WINDOW, False)])
def test_the_wait_ends_with_the_minute(check, key, clock, passed, waits):
    try_wrong_ones(check, QUOTA)
    clock.now += passed
    if waits:
        with pytest.raises(QuotaExceededError) as caught:
            check.caller_of(key, HERE)
        assert caught.value.headers["Retry-After"] == "1"
    else:
        assert check.caller_of(key, HERE).name == "Till"


def test_two_processes_count_together(check, database, clock):
    other = KeyCheck(database, Settings(key_pepper=PEPPER, wrong_keys_per_minute=QUOTA), clock_ms=clock)
    try_wrong_ones(check, 1)
    try_wrong_ones(other, QUOTA - 1)
    with pytest.raises(QuotaExceededError):
        check.caller_of(WRONG, HERE)


def test_a_revoked_key_is_a_wrong_one(check, database, key):
    revoke_key(database, key.split("_")[1])
    for _ in range(QUOTA):
        with pytest.raises(UnauthenticatedError):
            check.caller_of(key, HERE)
    with pytest.raises(QuotaExceededError):
        check.caller_of(key, HERE)


def test_with_the_limit_off_nothing_is_counted(database, key):
    check = KeyCheck(database, Settings(key_pepper=PEPPER, wrong_keys_per_minute=0))
    try_wrong_ones(check, 2 * QUOTA)
    with database.reading() as session:
        assert session.connection().execute(text("SELECT count(*) FROM request_count")).scalar_one() == 0


def test_no_address_is_stored_as_it_is(check, database):
    try_wrong_ones(check, 1)
    with database.reading() as session:
        (client,) = session.connection().execute(text("SELECT client FROM request_count")).scalars()
    assert HERE not in client
