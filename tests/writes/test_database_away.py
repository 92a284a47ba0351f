"""The database away: lookups go on and say how old they are, writes wait, and it recovers by itself."""

import time
from pathlib import Path

import pytest

LOOKUP = "/v1/fits?outside_width_mm=36.4&bore_mm=8"
LOOK = 0.1
"""Seconds between two looks at the revision [s]."""
PATIENCE_S = 15.0
CHANGE = {"stock": 7}


class Absence:
    """Takes the database away, and brings it back."""

    def __init__(self, url, server):
        self._file = Path(url.removeprefix("sqlite:///"))
        self._server = server

    def begin(self):
        if self._server:
            self._server.stop()
        else:
            self._file.rename(self._file.with_suffix(".away"))

    def end(self):
        if self._server and not self._server.runs:
            self._server.start()
        elif not self._server and not self._file.exists():
            self._file.with_suffix(".away").rename(self._file)


@pytest.fixture
def url(engine):
    return engine.demonstration()


@pytest.fixture
def away(url, request):
    """The absence of the database, which ends with the test."""
    server = request.getfixturevalue("postgresql_server") if url.startswith("postgresql") else None
    absence = Absence(url, server)
    yield absence
    absence.end()


@pytest.fixture
def shop(url, open_shop, away):
    """A shop whose snapshot has been read."""
    return open_shop(url, refresh_seconds=LOOK)


def wait_until(condition):
    deadline = time.monotonic() + PATIENCE_S
    while not condition():
        assert time.monotonic() < deadline
        time.sleep(LOOK / 2)


def age_header(shop):
    return shop.client.get(LOOKUP).headers.get("Catalogue-Age")


def told_age(shop):
    return shop.get("/health/ready")["catalogue_age_seconds"]


def test_lookups_go_on_with_the_same_answers(shop, away):
    before = shop.client.get(LOOKUP)
    away.begin()
    wait_until(lambda: age_header(shop))
    assert shop.client.get(LOOKUP).content == before.content
    assert shop.client.get("/v1/axles/TW8-36-M8-BK").status_code == 200
    assert shop.client.get("/v1/snapshot").status_code == 200


def test_the_age_is_told_in_the_header_and_by_readiness_and_it_grows(shop, away):
    away.begin()
    begin = time.monotonic()
    wait_until(lambda: (told_age(shop) or 0) > 1)
    assert 1 < told_age(shop) <= time.monotonic() - begin + LOOK + PATIENCE_S
    assert int(age_header(shop)) >= 1


def test_what_needs_the_database_is_told_to_come_again(shop, away, good):
    path = "/v1/axles/TW8-36-M8-BK"
    away.begin()
    answers = [
        shop.send("PUT", path, good["axles"], if_match="*"),
        shop.send("PATCH", path, CHANGE, if_match="*"),
        shop.send("DELETE", path, if_match="*"),
        shop.load("axles", "sku,name,fastening\nA-1,One,two_piece\n"),
        shop.client.get("/v1/changes?since=0"),
    ]
    assert [answer.status_code for answer in answers] == [503] * 5
    assert {answer.json()["type"] for answer in answers} == {"/problems/database-unavailable"}
    assert all(int(answer.headers["Retry-After"]) > 0 for answer in answers)  # RFC 9110, 10.2.3: seconds


def test_it_recovers_by_itself_and_says_no_age_before_and_after(shop, away):
    assert (age_header(shop), told_age(shop)) == (None, None)
    away.begin()
    wait_until(lambda: age_header(shop))
    away.end()
    wait_until(lambda: age_header(shop) is None)
    assert told_age(shop) is None
    assert shop.send("PATCH", "/v1/axles/TW8-36-M8-BK", CHANGE, if_match="*").json()["stock"] == 7


def test_a_write_is_carried_out_again_as_soon_as_the_database_is_back(shop, away):
    # Without waiting for a look: the connections that were open before are not used again.
    assert shop.send("PATCH", "/v1/axles/TW8-36-M8-BK", {"stock": 6}, if_match="*").status_code == 200
    away.begin()
    assert shop.send("PATCH", "/v1/axles/TW8-36-M8-BK", CHANGE, if_match="*").status_code == 503
    away.end()
    assert shop.send("PATCH", "/v1/axles/TW8-36-M8-BK", CHANGE, if_match="*").status_code == 200
    assert shop.get("/v1/axles/TW8-36-M8-BK")["stock"] == 7


def test_what_others_wrote_meanwhile_is_followed(shop, away, url, open_shop):
    away.begin()
    wait_until(lambda: age_header(shop))
    away.end()
    other = open_shop(url)
    other.send("PATCH", "/v1/axles/TW8-36-M8-BK", CHANGE, if_match="*")
    wait_until(lambda: shop.get("/v1/axles/TW8-36-M8-BK")["stock"] == 7)
