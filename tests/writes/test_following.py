"""A write through one process is followed by the others: at once by a notice, or at their next look."""

import time
from contextlib import contextmanager

import psycopg
import pytest
from sqlmodel import text

PATIENCE_S = 15.0
LOOK = 0.1
"""Seconds between two looks at the revision where a test waits for one [s]."""
NEVER = 60.0
CHANNEL = "axlefit_revision"


def wait_until(condition):
    deadline = time.monotonic() + PATIENCE_S
    while not condition():
        assert time.monotonic() < deadline
        time.sleep(0.01)


@contextmanager
def connected(url):
    with psycopg.connect(url, autocommit=True) as connection:
        yield connection


def listeners(url):
    """The server's processes whose last statement belongs to listening."""
    with connected(url) as connection:
        found = connection.execute(
            "SELECT pid FROM pg_stat_activity WHERE datname = current_database()"
            " AND query LIKE '%%pg_notify%%' AND state = 'idle' AND pid <> pg_backend_pid()"
        )
        return [pid for (pid,) in found]


def stock_in(shop):
    return shop.get("/v1/axles/F-1")["stock"]


@pytest.fixture
def pair(postgresql, open_shop, good):
    """Two shops on one PostgreSQL that look once a minute or more rarely, and an axle that both know."""
    url = postgresql.empty()
    shops = open_shop(url, refresh_seconds=NEVER), open_shop(url, refresh_seconds=NEVER)
    wait_until(lambda: len(listeners(url)) == 2)
    assert shops[0].send("PUT", "/v1/axles/F-1", good["axles"], if_none_match="*").status_code == 201
    wait_until(lambda: shops[1].client.get("/v1/axles/F-1").is_success)
    return url, *shops


def test_a_write_through_one_process_is_in_the_other_long_before_its_next_look(pair):
    _, one, two = pair
    for stock, (writes, reads) in enumerate([(one, two), (two, one)] * 3):
        assert writes.send("PATCH", "/v1/axles/F-1", {"stock": stock}, if_match="*").is_success
        wait_until(lambda: stock_in(reads) == stock)  # noqa: B023 (called at once)


def test_a_write_is_followed_although_its_notice_is_lost_with_the_connection(pair):
    # Nobody hears the notice: the connections that listen are gone before the write.
    url, one, two = pair
    with connected(url) as connection:
        for pid in listeners(url):
            connection.execute("SELECT pg_terminate_backend(%s)", [pid])
        assert one.send("PATCH", "/v1/axles/F-1", {"stock": 7}, if_match="*").is_success
    wait_until(lambda: stock_in(two) == 7)
    wait_until(lambda: len(listeners(url)) == 2)  # and both listen again
    assert one.send("PATCH", "/v1/axles/F-1", {"stock": 8}, if_match="*").is_success
    wait_until(lambda: stock_in(two) == 8)


def test_a_write_without_a_notice_is_found_by_a_look(engine, open_shop):
    url = engine.empty()
    shop = open_shop(url, refresh_seconds=LOOK)
    with shop.database.writing() as session:  # as no write of the service does it
        session.connection().execute(text("UPDATE catalogue SET revision = revision + 1"))
    wait_until(lambda: shop.get("/health/ready")["catalogue_revision"] == 1)


def test_a_notice_goes_out_with_each_write_that_is_committed_and_with_no_other(postgresql, open_shop, good):
    url = postgresql.empty()
    shop = open_shop(url)
    wait_until(lambda: len(listeners(url)) == 1)
    with connected(url) as connection:
        connection.execute(f"LISTEN {CHANNEL}")
        assert shop.send("PUT", "/v1/axles/F-1", good["axles"], if_match="*").status_code == 412
        assert list(connection.notifies(timeout=0.5)) == []
        assert shop.send("PUT", "/v1/axles/F-1", good["axles"], if_none_match="*").status_code == 201
        assert shop.load("axles", "sku,name,fastening\nF-2,Two,two_piece\n").is_success
        assert len(list(connection.notifies(timeout=PATIENCE_S, stop_after=2))) == 2


def test_the_age_is_told_at_once_when_the_server_takes_its_connections_away(pair):
    # The looks are minutes apart: it is the lost connection that is noticed.
    url, one, _ = pair
    name = url.partition("@/")[2].partition("?")[0]
    with connected(url.replace(f"/{name}?", "/postgres?")) as connection:
        connection.execute(f"ALTER DATABASE {name} WITH ALLOW_CONNECTIONS false")
        connection.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", [name]
        )
        wait_until(lambda: "Catalogue-Age" in one.client.get("/health/live").headers)
        connection.execute(f"ALTER DATABASE {name} WITH ALLOW_CONNECTIONS true")
    wait_until(lambda: "Catalogue-Age" not in one.client.get("/health/live").headers)
