"""How long the client waits, decided without a clock: RFC 9110, 10.2.3 (Retry-After) and 5.6.7 (dates)."""

import time
from email.utils import formatdate

import httpx
import pytest
from axlefit_client.retries import Waits, retry_after
from hypothesis import example, given
from hypothesis import strategies as st

PATIENCE = 30.0


def refused(status=503, **headers):
    return httpx.Response(status, headers={name.replace("_", "-"): value for name, value in headers.items()})


class Clock:
    """A clock that goes on when it is told to."""

    def __init__(self):
        self.now = 1000.0

    def __call__(self):
        return self.now


def first_wait(outcome):
    return Waits(PATIENCE, Clock()).after(outcome)


@pytest.mark.parametrize("status", [429, 502, 503, 504])
def test_what_passes_is_asked_again_after_the_seconds_of_retry_after(status):
    assert first_wait(refused(status, retry_after="7")) == 7.0


@pytest.mark.parametrize(
    "date",
    [  # the three forms of one instant in RFC 9110, 5.6.7
        "Sun, 06 Nov 1994 08:49:37 GMT",
        "Sunday, 06-Nov-94 08:49:37 GMT",
        "Sun Nov  6 08:49:37 1994",
    ],
)
def test_a_date_in_retry_after_is_read_against_the_clock_of_the_server(date):
    assert first_wait(refused(retry_after=date, date="Sun, 06 Nov 1994 08:49:17 GMT")) == 20.0


def test_a_date_is_read_against_our_own_clock_where_the_server_tells_no_time():
    in_twenty_seconds = formatdate(time.time() + 20, usegmt=True)  # whole seconds
    assert first_wait(refused(retry_after=in_twenty_seconds)) == pytest.approx(20, abs=2)


def test_a_date_that_has_passed_asks_for_no_wait():
    assert retry_after(refused(retry_after="Sun, 06 Nov 1994 08:49:37 GMT")) == 0.0


@pytest.mark.parametrize("junk", ["", "soon", "-5", "1.5", "1e3", "٣", "Sun, 99 Foo 1994 08:49:37 GMT"])
def test_a_retry_after_that_means_nothing_is_as_none(junk):
    answer = httpx.Response(503, headers=[(b"Retry-After", junk.encode())])
    assert retry_after(answer) is None
    assert 0 < first_wait(answer) < 1


@pytest.mark.parametrize(
    ("seconds", "waits"), [("29", True), ("30", True), ("31", False), ("9" * 400, False)]
)
def test_a_wait_beyond_the_patience_is_not_begun(seconds, waits):
    assert (first_wait(refused(retry_after=seconds)) is not None) == waits


@pytest.mark.parametrize("status", [400, 401, 403, 404, 409, 410, 412, 413, 415, 422, 428, 500, 501])
def test_what_would_be_refused_again_is_not_asked_again(status):
    assert first_wait(refused(status, retry_after="1")) is None


@pytest.mark.parametrize(
    "error", [httpx.ConnectError, httpx.ReadError, httpx.ReadTimeout, httpx.RemoteProtocolError]
)
def test_a_lost_connection_is_tried_again(error):
    assert first_wait(error("lost")) is not None


@pytest.mark.parametrize("error", [httpx.UnsupportedProtocol, httpx.LocalProtocolError, httpx.DecodingError])
def test_a_fault_of_the_request_itself_is_not_tried_again(error):
    assert first_wait(error("wrong")) is None


@example(["1"] * 60)
@given(st.lists(st.sampled_from([None, "0", "1", "5", "20"]), min_size=60, max_size=60))
def test_the_waits_obey_every_retry_after_and_end_with_the_patience(asked):
    clock = Clock()
    waits = Waits(PATIENCE, clock)
    waited = []
    for seconds in asked:
        pause = waits.after(refused(**({} if seconds is None else {"retry_after": seconds})))
        if pause is None:
            break
        assert pause >= float(seconds or 0)
        waited.append(pause)
        clock.now += pause
    assert sum(waited) <= PATIENCE
    assert len(waited) < 20  # however little is asked for, the waits grow
    assert waits.attempts == len(waited) + 1


def test_without_retry_after_the_waits_grow_and_differ_by_chance():
    def series():
        waits = Waits(1000, Clock())
        return [waits.after(refused()) for _ in range(6)]

    many = [series() for _ in range(50)]
    for earlier, later in zip(range(4), range(2, 6), strict=True):
        # At least half of four times as much is always more than the whole.
        assert all(one[later] > one[earlier] for one in many)
    assert len({one[0] for one in many}) > 1


def test_the_time_that_attempts_themselves_take_is_part_of_the_patience():
    clock = Clock()
    waits = Waits(PATIENCE, clock)
    clock.now += 29
    assert waits.after(httpx.ReadTimeout("slow")) is not None
    clock.now += 1.1
    assert waits.after(httpx.ReadTimeout("slow")) is None
