"""Backups of a running service, and the drill that proves them, from either engine to the other."""

import hashlib
import os
import subprocess
import sys

import pytest

from tests.deploy.tools import ROOT
from tests.faults.workers import client_of, worker


def run(script, *arguments, on):
    """What a script of deploy/backup did with the database of a URL."""
    return subprocess.run(
        [sys.executable, f"deploy/backup/{script}", *map(str, arguments)],
        cwd=ROOT, env=os.environ | {"AXLEFIT_DATABASE_URL": on}, capture_output=True, text=True, check=False,
    )  # fmt: skip


@pytest.fixture
def other(engine, request):
    """The URL of a database without a schema, of the other engine."""
    makes = request.getfixturevalue({"sqlite": "postgresql", "postgresql": "sqlite"}[engine.name])
    url = makes.blank()
    yield url
    makes.drop(url)


def test_a_backup_of_a_running_service_is_restored_and_served_by_the_other_engine(engine, other, tmp_path):
    url = engine.demonstration()
    with worker(url) as port, client_of(port) as client:
        done = run("back_up.py", tmp_path, on=url)
        assert (done.returncode, done.stderr) == (0, "")
        (file,) = tmp_path.iterdir()
        done = run("drill.py", file, "--into", other, on=url)
        assert (done.returncode, done.stderr) == (0, "")
        with worker(other) as second, client_of(second) as restored:
            path = "/v1/fits?fastening=threaded_wall&outside_width_mm=36.4&bore_mm=8&thread=M8x1.25"
            assert restored.send("GET", path)[2] == client.send("GET", path)[2]
    told = dict(line.split() for line in done.stdout.splitlines() if line.split()[0] in {"axles", "frames"})
    exported = subprocess.run(
        [sys.executable, "-m", "service", "export", "axles"],
        cwd=ROOT, env=os.environ | {"AXLEFIT_DATABASE_URL": other}, capture_output=True, check=True,
    )  # fmt: skip
    assert told["axles"] == hashlib.sha256(exported.stdout).hexdigest()
    engine.drop(url)


@pytest.fixture
def backup(demonstration_copy, tmp_path):
    """A backup of a database, and the URL of that database."""
    url = f"sqlite:///{demonstration_copy}"
    (folder := tmp_path / "backups").mkdir()
    assert run("back_up.py", folder, on=url).returncode == 0
    return next(folder.iterdir()), url


def test_the_drill_fails_where_the_backup_is_not_what_the_database_holds(backup, demonstration, tmp_path):
    file, url = backup
    with demonstration.writing() as session:
        session.connection().exec_driver_sql("UPDATE axle SET stock = 41 WHERE sku LIKE 'TW8-36%'")
    done = run("drill.py", file, on=url)
    assert done.returncode == 1
    assert "differs from the database in: axles." in done.stderr
    assert run("drill.py", "--moved", file, on=url).returncode == 0


def test_the_drill_fails_on_half_a_backup(backup, tmp_path):
    file, url = backup
    half = tmp_path / "half"
    half.write_bytes(file.read_bytes()[: file.stat().st_size // 2])
    done = run("drill.py", half, on=url)
    assert done.returncode == 1
    assert "The drill failed" in done.stderr


def test_only_the_newest_backups_stay_and_nothing_else_is_removed(backup):
    file, url = backup
    older = [file.with_name(f"axlefit-2020010{day}T000000Z.jsonl.gz") for day in (1, 2, 3)]
    kept = file.with_name("notes.txt")
    for path in (*older, kept):
        path.write_text("")
    file.rename(newer := file.with_name("axlefit-20200104T000000Z.jsonl.gz"))
    assert run("back_up.py", file.parent, "--keep", "3", on=url).returncode == 0
    left = sorted(path.name for path in file.parent.iterdir())
    assert [older[2].name, newer.name, kept.name] == [left[0], left[1], left[3]]
    assert len(left) == 4


def test_a_backup_that_fails_removes_nothing(backup, tmp_path):
    file, _ = backup
    done = run("back_up.py", file.parent, "--keep", "1", on=f"sqlite:///{tmp_path}/nothing.sqlite3")
    assert done.returncode == 1
    assert list(file.parent.iterdir()) == [file]
