"""Lookups run on the snapshot: they go on without the database, and follow it when it changes."""

import time

import pytest

from service.errors import ServiceError

LOOKUP = "/v1/fits?outside_width_mm=36.4&bore_mm=8"
NEW_AXLE = "sku,name,fastening\nNEW-1,New,two_piece\n"
LOOK = 0.01
"""Seconds between two looks at the revision [s]."""


def move_away(path):
    path.rename(path.with_name("moved.sqlite3"))


def delete(path):
    path.unlink()


def overwrite(path):
    path.write_bytes(b"no database at all" * 1000)


@pytest.mark.parametrize("spoil", [move_away, delete, overwrite])
def test_lookups_are_answered_while_the_database_is_away(start_client, demonstration_copy, spoil):
    client = start_client(demonstration_copy, refresh_seconds=LOOK)
    before = client.get(LOOKUP)
    spoil(demonstration_copy)
    time.sleep(20 * LOOK)  # it has looked several times by now
    after = client.get(LOOKUP)
    assert after.status_code == 200
    assert after.content == before.content
    assert client.get("/v1/axles/TW8-36-M8-BK").status_code == 200
    assert client.get("/health/live").status_code == 200


def revision_of(client):
    return client.get("/health/ready").json().get("catalogue_revision")


def wait_for_revision(client, revision):
    deadline = time.monotonic() + 10
    while revision_of(client) != revision and time.monotonic() < deadline:
        time.sleep(LOOK)
    return revision_of(client)


def test_an_import_is_in_the_answers_a_moment_later(
    start_client, demonstration_copy, demonstration, import_csv
):
    client = start_client(demonstration_copy, refresh_seconds=LOOK)
    assert client.get("/v1/axles/NEW-1").status_code == 404
    moved = import_csv(demonstration, "axles", NEW_AXLE)
    assert wait_for_revision(client, moved.revision) == moved.revision
    assert client.get("/v1/axles/NEW-1").json()["name"] == "New"


def test_a_database_that_comes_back_is_followed_again(
    start_client, demonstration_copy, demonstration, import_csv
):
    client = start_client(demonstration_copy, refresh_seconds=LOOK)
    away = demonstration_copy.with_name("away.sqlite3")
    demonstration_copy.rename(away)
    time.sleep(10 * LOOK)
    away.rename(demonstration_copy)
    moved = import_csv(demonstration, "axles", NEW_AXLE)
    assert wait_for_revision(client, moved.revision) == moved.revision


def test_a_cursor_ends_with_the_revision_that_it_began_with(
    start_client, demonstration_copy, demonstration, import_csv, problem_in
):
    client = start_client(demonstration_copy, refresh_seconds=LOOK)
    cursor = client.get(f"{LOOKUP}&limit=2").json()["next_cursor"]
    assert client.get(f"{LOOKUP}&limit=2&cursor={cursor}").status_code == 200
    moved = import_csv(demonstration, "axles", NEW_AXLE)
    wait_for_revision(client, moved.revision)
    problem = problem_in(client.get(f"{LOOKUP}&limit=2&cursor={cursor}"))
    assert [fault["parameter"] for fault in problem["errors"]] == ["cursor"]


def test_the_service_does_not_start_on_a_database_without_a_schema(start_client, tmp_path):
    (tmp_path / "blank.sqlite3").touch()
    with pytest.raises(ServiceError, match="python -m service upgrade"):
        start_client(tmp_path / "blank.sqlite3")
