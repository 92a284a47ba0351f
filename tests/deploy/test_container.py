"""The Containerfile: by hadolint's rules, and its steps and commands as they run in a folder."""

import re
import signal
import socket
import subprocess
import time
from secrets import token_hex

import pytest
import yaml

from tests.deploy.container_steps import FILE, Container, instructions
from tests.deploy.tools import ROOT, tool

COMPOSE = ROOT / "deploy/compose/compose.yaml"
SECRETS = {f"AXLEFIT_{name}": token_hex(32) for name in ("KEY_PEPPER", "CURSOR_SECRET")}


def hadolint(file):
    command = [tool("hadolint"), "--no-color", "--failure-threshold", "style", file]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_hadolint_finds_nothing_to_say_and_no_rule_is_switched_off():
    done = hadolint(FILE)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert "hadolint" not in FILE.read_text(encoding="utf-8")
    assert not list(ROOT.glob(".hadolint*"))


def test_hadolint_finds_what_is_wrong_elsewhere(tmp_path):
    poorer = tmp_path / "Containerfile"
    poorer.write_text(
        FILE.read_text(encoding="utf-8").replace('CMD ["serve"]', "CMD serve"), encoding="utf-8"
    )
    assert "DL3025" in hadolint(poorer).stdout  # the signal would end at a shell


def test_the_base_is_of_a_version_and_the_user_a_number_other_than_root():
    found = dict(instructions())
    assert re.fullmatch(r"PYTHON_IMAGE=python:3\.11\.\d+-slim-\w+", found["ARG"])
    assert [rest.split()[0] for word, rest in instructions() if word == "FROM"] == ["${PYTHON_IMAGE}"] * 2
    user, group = found["USER"].split(":")
    assert int(user) >= 10_000
    assert int(group) >= 10_000


def test_what_is_copied_is_let_through_and_secrets_are_not():
    lines = (ROOT / ".dockerignore").read_text(encoding="utf-8").splitlines()
    assert "*" in lines
    through = [line.removeprefix("!") for line in lines if line.startswith("!")]
    copied = [rest.split()[0] for word, rest in instructions() if word == "COPY" and "--from" not in rest]
    assert sorted(through) == sorted(copied)
    assert all((ROOT / path).exists() for path in copied)


@pytest.fixture(scope="module")
def container(tmp_path_factory):
    """What the Containerfile makes."""
    made = Container(tmp_path_factory.mktemp("container"))
    made.build()
    return made


@pytest.fixture(scope="module")
def settings(container, tmp_path_factory):
    """The settings of a container whose database is of this release's schema."""
    url = f"sqlite:///{tmp_path_factory.mktemp('state')}/axlefit.sqlite3"
    given = SECRETS | {"AXLEFIT_DATABASE_URL": url, "AXLEFIT_LOG_LEVEL": "error"}
    assert container.start([*container.commands["ENTRYPOINT"], "upgrade"], **given).wait(60) == 0
    return given


def test_it_serves_as_its_commands_say_and_writes_nothing_into_itself(container, settings):
    before = container.files()
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        given = settings | {"AXLEFIT_PORT": str(probe.getsockname()[1])}
    check = container.commands["HEALTHCHECK"]
    assert container.start(check, **given).wait(60) == 1  # nothing serves yet
    serving = container.start(container.commands["ENTRYPOINT"] + container.commands["CMD"], **given)
    deadline = time.monotonic() + 60
    while container.start(check, **given).wait(60) and time.monotonic() < deadline:
        assert serving.poll() is None
    serving.send_signal(signal.SIGTERM)
    assert serving.wait(10) in {0, -signal.SIGTERM}
    assert container.files() == before


def test_its_backups_are_made_until_it_is_told_to_stop(container, settings, tmp_path):
    (backups := tmp_path / "backups").mkdir()
    service = yaml.safe_load(COMPOSE.read_text(encoding="utf-8"))["services"]["backup"]
    command = [word.replace("/backups", str(backups)) for word in service["entrypoint"] + service["command"]]
    running = container.start(command, **settings)
    deadline = time.monotonic() + 60
    while not list(backups.glob("*.gz")) and time.monotonic() < deadline:
        assert running.poll() is None
        time.sleep(0.05)
    running.send_signal(signal.SIGTERM)
    assert running.wait(30) == 0
    assert len(list(backups.iterdir())) == 1
