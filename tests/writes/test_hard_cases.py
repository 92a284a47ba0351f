"""Writes, backups and commands in the cases that nobody has in mind."""

import gzip
import os
import signal
import time
from contextlib import suppress
from pathlib import Path

import pytest

from service.__main__ import main
from service.errors import BackupError
from service.store.backup import back_up, restore

AXLE = {"name": "One", "fastening": "two_piece"}
HANG_IS_TOLD_WITHIN_S = 15.0


@pytest.mark.parametrize(
    ("changes", "pointers"),
    [
        ({"thread": "M8x9"}, ["#/thread"]),
        ({"price": "4.905", "currency": "EUR"}, ["#/price"]),
        ({"price": "4.90", "currency": "QQQ"}, ["#/currency"]),
        ({"shaft_tolerance": "zz99"}, ["#/shaft_tolerance"]),
    ],
    ids=str,
)
@pytest.mark.parametrize("method", ["PUT", "PATCH"])
def test_what_the_table_cannot_hold_is_told_by_its_pointer(shop, method, changes, pointers):
    path, _ = shop.put_new("axles")
    answer = shop.send(method, path, AXLE | changes, if_match="*")
    assert answer.status_code == 422
    assert [fault["pointer"] for fault in answer.json()["errors"]] == pointers


@pytest.mark.parametrize("field", ["outside_widths_mm", "axle_positions_mm"])
def test_true_and_false_are_refused_within_a_list(shop, field):
    body = {"name": "One", "wheels": 2, "outside_widths_mm": [36.4], field: [False, True]}
    answer = shop.send("PUT", shop.new_path("frames"), body, if_none_match="*")
    assert answer.status_code == 422


@pytest.mark.parametrize("method", ["PATCH", "DELETE"])
def test_a_key_that_no_record_can_have_is_not_in_the_catalogue(shop, method):
    body = {"stock": 1} if method == "PATCH" else None
    assert shop.send(method, "/v1/axles/%00", body, if_match="*").status_code == 404


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE"])
def test_whoever_may_not_write_is_not_told_of_the_query(shop, method):
    body = None if method == "DELETE" else AXLE
    answer = shop.send(method, "/v1/axles/P-9?force=true", body, authorization=None)
    assert answer.status_code == 401


def test_an_application_that_stops_while_it_looks_closes_its_connections(postgresql, opened_shop):
    url = postgresql.empty()
    for _ in range(6):
        with opened_shop(url, refresh_seconds=0.001):
            time.sleep(0.01)


@pytest.fixture
def lines(sqlite, tmp_path, open_database):
    back_up(open_database(sqlite.demonstration()), tmp_path / "good")
    return gzip.decompress((tmp_path / "good").read_bytes()).decode().splitlines(keepends=True)


def a_row(lines, table="sleeve"):
    return next(line for line in lines if line.startswith(f'["{table}"'))


@pytest.mark.parametrize(
    "damage",
    [
        lambda lines: [*lines, a_row(lines).replace('"SL-', '"XL-')],
        lambda lines: [*lines, *lines],
        lambda lines: [*lines[:5], "{}\n", *lines[5:]],
        lambda lines: [*lines[:5], "[]\n", *lines[5:]],
        lambda lines: [*lines[:5], "5\n", *lines[5:]],
    ],
    ids=["a row after the end", "two in one", "an object between rows", "an empty list", "a number"],
)
def test_an_altered_backup_is_refused(lines, damage, any_database, tmp_path):
    (tmp_path / "altered").write_bytes(gzip.compress("".join(damage(lines)).encode()))
    with pytest.raises(BackupError):
        restore(any_database, tmp_path / "altered")
    with any_database.engine.connect() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM axle").scalar_one() == 0


def test_a_backup_with_any_bit_wrong_is_refused(lines, any_database, tmp_path):
    data = gzip.compress("".join(lines).encode(), mtime=0)
    for place in range(10, len(data) - 8, 167):
        (tmp_path / "altered").write_bytes(data[:place] + bytes([data[place] ^ 0x10]) + data[place + 1 :])
        with pytest.raises(BackupError):
            restore(any_database, tmp_path / "altered")


def test_an_altered_row_of_a_large_backup_is_told_as_such(
    sqlite, any_database, tmp_path, open_database, import_csv
):
    large = open_database(sqlite.empty())
    rows = "".join(f"S-{n:04},S,6,8,24,{n}\n" for n in range(1200))
    import_csv(large, "sleeves", "sku,name,inner_mm,outer_mm,length_mm,stock\n" + rows)
    back_up(large, tmp_path / "large")
    text = gzip.decompress((tmp_path / "large").read_bytes()).decode()
    (tmp_path / "large").write_bytes(gzip.compress(text.replace('"stock": 7}', '"stock": -7}').encode()))
    with pytest.raises(BackupError):
        restore(any_database, tmp_path / "large")


@pytest.mark.parametrize(
    "arguments", [["check"], ["keys", "list"], ["export", "sleeves"], ["backup", "FILE"]], ids=str
)
def test_a_command_closes_its_connections(postgresql, monkeypatch, capsys, tmp_path, arguments):
    monkeypatch.setenv("AXLEFIT_DATABASE_URL", postgresql.empty())
    assert main([str(tmp_path / "file") if a == "FILE" else a for a in arguments]) == 0


def test_a_backup_that_cannot_be_written_is_told(sqlite, monkeypatch, capsys, tmp_path):
    monkeypatch.setenv("AXLEFIT_DATABASE_URL", sqlite.empty())
    assert main(["backup", str(tmp_path / "no folder" / "file")]) == 1


def test_an_export_that_cannot_be_written_is_told(sqlite, monkeypatch, capsys, tmp_path):
    monkeypatch.setenv("AXLEFIT_DATABASE_URL", sqlite.empty())
    assert main(["export", "axles", str(tmp_path / "no folder" / "file")]) == 1


def test_the_list_of_keys_shows_identifiers_and_times_whole_in_a_pipe(sqlite, monkeypatch, capsys):
    monkeypatch.setenv("AXLEFIT_DATABASE_URL", sqlite.empty())
    ids = []
    for number in (1, 2, 3):
        main(
            [
                "keys",
                "issue",
                "a rather long name of a till " * number,
                "--scope",
                "admin",
                "--scope",
                "catalogue",
            ]
        )
        ids.append(capsys.readouterr().out.split("_")[1])
    for identifier in ids:
        main(["keys", "revoke", identifier])
    capsys.readouterr()
    main(["keys", "list"])
    out = capsys.readouterr().out
    assert all(identifier in out for identifier in ids), out
    assert out.count("+00:00") == 6, out


def children_of(pid):
    found = []
    for folder in Path("/proc").iterdir():
        if folder.name.isdigit():
            with suppress(OSError):
                status = (folder / "stat").read_text(encoding="utf-8").rpartition(")")[2]
                if int(status.split()[1]) == pid:
                    found.append(int(folder.name))
    return found


def test_a_database_that_hangs_is_told_as_away(postgresql_server, postgresql, open_shop):
    shop = open_shop(postgresql.demonstration(), refresh_seconds=0.1)
    postmaster = int((postgresql_server.folder / "data" / "postmaster.pid").read_text().split()[0])
    pids = [postmaster, *children_of(postmaster)]
    for pid in pids:
        os.kill(pid, signal.SIGSTOP)
    try:
        deadline = time.monotonic() + HANG_IS_TOLD_WITHIN_S
        while (answer := shop.client.get("/v1/axles")).headers.get("Catalogue-Age") is None:
            assert time.monotonic() < deadline
            time.sleep(0.1)
        assert answer.status_code == 200
    finally:
        for pid in pids:
            os.kill(pid, signal.SIGCONT)
