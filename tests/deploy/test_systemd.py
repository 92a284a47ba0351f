"""The systemd units: by systemd's own word, and as little exposed as they can be."""

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.deploy.reverse_proxy import certificate
from tests.deploy.tools import KNOWN, ROOT, STOP_SECONDS, kept_seconds, tool

FILES = ROOT / "deploy/systemd"
UNITS = sorted(path.name for path in FILES.iterdir() if path.suffix in {".service", ".timer"})
SERVICES = [name for name in UNITS if name.endswith(".service")]
PROGRAMS = ["opt/axlefit/venv/bin/python", "usr/sbin/nginx", "bin/kill"]
MOST_EXPOSED = 20  # tenths, of 100; systemd calls less than 50 OK, and a bare unit has 96


@pytest.fixture(scope="module")
def machine(tmp_path_factory):
    """The root of a machine on which the units are installed, with systemd's own beside them."""
    root = tmp_path_factory.mktemp("machine")
    tool("systemd-analyze")
    shutil.copytree("/usr/lib/systemd/system", root / "usr/lib/systemd/system", symlinks=True)
    (installed := root / "etc/systemd/system").mkdir(parents=True)
    for name in UNITS:
        shutil.copy(FILES / name, installed)
    for name in PROGRAMS:
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text("#!/bin/sh\n")
        (root / name).chmod(0o755)
    return root


def verified(root, unit):
    return subprocess.run(
        [tool("systemd-analyze"), "verify", "--man=no", "--recursive-errors=yes", f"--root={root}", unit],
        capture_output=True, text=True, check=False, env=os.environ | {"SYSTEMD_LOG_LEVEL": "notice"},
    )  # fmt: skip


@pytest.mark.parametrize("unit", UNITS)
def test_systemd_finds_nothing_to_say_about_a_unit(machine, unit):
    done = verified(machine, unit)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        ("ProtectSystem=strict", "ProtectSystem=strictly", "strictly"),
        ("DynamicUser=yes", "DynamicUsers=yes", "'DynamicUsers'"),
        ("venv/bin/python -m service serve", "venv/bin/pythons -m service serve", "not executable"),
    ],
)
def test_systemd_finds_what_is_wrong_elsewhere(machine, right, wrong, said):
    unit = machine / "etc/systemd/system/poorer.service"
    text = (FILES / "axlefit.service").read_text(encoding="utf-8")
    assert right in text
    unit.write_text(text.replace(right, wrong), encoding="utf-8")
    assert said in verified(machine, unit.name).stderr
    unit.unlink()


@pytest.mark.parametrize("unit", SERVICES)
def test_a_unit_is_little_exposed(unit):
    command = [
        tool("systemd-analyze"),
        "security",
        "--offline=true",
        f"--threshold={MOST_EXPOSED}",
        FILES / unit,
    ]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout.splitlines()[-1]


@pytest.mark.parametrize("unit", ["axlefit.service", "axlefit-backup.service"])
def test_a_unit_sets_what_is_a_setting_and_no_secret(unit):
    text = (FILES / unit).read_text(encoding="utf-8")
    given = dict(re.findall(r"(AXLEFIT_[A-Z_]+)=(\S+)", text))
    assert set(given) <= KNOWN
    assert given["AXLEFIT_ENVIRONMENT"] == "production"
    assert given["AXLEFIT_DATABASE_URL"] == "sqlite:////var/lib/axlefit/axlefit.sqlite3"
    handed = set(re.findall(r"^LoadCredential=(\w+):/etc/axlefit/secrets/\1$", text, re.MULTILINE))
    assert handed == {"key_pepper", "cursor_secret"}
    assert {given[f"AXLEFIT_{name.upper()}_FILE"] for name in handed} == {f"%d/{name}" for name in handed}


def test_the_service_outlasts_the_connections_that_the_proxy_keeps_and_is_given_time_to_end():
    text = _text("axlefit.service")
    pause = float(re.search(r"AXLEFIT_STOP_PAUSE_SECONDS=(\S+)", text)[1])
    assert kept_seconds(FILES / "upstream.conf") < pause < STOP_SECONDS
    assert float(re.search(r"^TimeoutStopSec=(\d+)$", text, re.MULTILINE)[1]) > STOP_SECONDS


def test_nginx_finds_nothing_to_say_about_the_proxy_of_a_machine(tmp_path):
    proxy = tmp_path / "proxy"
    shutil.copytree(ROOT / "deploy/proxy", proxy)
    for name in ("place.conf", "upstream.conf"):
        shutil.copy(FILES / name, proxy)
    text = (proxy / "place.conf").read_text(encoding="utf-8")
    (proxy / "place.conf").write_text(text.replace(":443", ":8443").replace(" 443", " 8443"))
    certificate(proxy / "certificate")
    (tmp_path / "run").mkdir()
    command = re.search(r"^ExecStart=/usr/sbin/nginx (.*)$", _text("axlefit-proxy.service"), re.MULTILINE)[1]
    words = [
        word.replace("/run/axlefit-proxy", f"{tmp_path}/run").replace("/etc/axlefit", str(tmp_path))
        for word in command.split(" -g ")[0].split()
    ]
    done = subprocess.run([tool("nginx"), "-t", *words], capture_output=True, text=True, check=False)
    assert [line.rpartition(" ")[2] for line in done.stderr.splitlines()] == ["ok", "successful"]


def _text(name):
    return Path(FILES / name).read_text(encoding="utf-8")
