"""RUNBOOK.md: its commands run, in order, and it has a section for whatever wakes somebody."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

from tests.commands.serving import free_port
from tests.deploy.tools import ROOT, tool

RUNBOOK = (ROOT / "deploy/RUNBOOK.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```([^\n]*)\n(.*?)^```$", RUNBOOK, re.DOTALL | re.MULTILINE)
RULES = yaml.safe_load((ROOT / "deploy/prometheus/alerts.yaml").read_text(encoding="utf-8"))["groups"]
ALERTS = [rule for group in RULES for rule in group["rules"] if "alert" in rule]


@pytest.fixture
def checkout(tmp_path):
    """The root of a checkout whose state is fresh: what the commands write stays here."""
    for name in ("deploy", "schemas", "seed_data", "service"):
        (tmp_path / name).symlink_to(ROOT / name)
    return tmp_path


def test_its_commands_run_in_order_on_a_fresh_state(checkout):
    tool("curl")
    tool("openssl")
    script = "\n".join(body for kind, body in BLOCKS if kind == "sh run")
    beside = Path(sys.executable).parent  # its python is the one with the pinned packages
    environment = {
        "PATH": f"{beside}{os.pathsep}{os.environ['PATH']}",
        "AXLEFIT_DATABASE_URL": "sqlite:///axlefit.sqlite3",
        "AXLEFIT_PORT": str(free_port()),
        "LC_ALL": "C.UTF-8",
    }
    done = subprocess.run(
        ["bash", "-euo", "pipefail", "-c", "trap 'kill $(jobs -p) 2> /dev/null || true' EXIT\n" + script],  # noqa: S607
        cwd=checkout, env=environment, capture_output=True, text=True, check=False, timeout=900,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    assert "The backup is good" in done.stdout
    assert done.stdout.splitlines()[-1] == "Certificate will not expire"


def test_every_block_says_whether_it_is_run():
    assert {kind for kind, _ in BLOCKS} == {"sh run", "sh"}
    assert len([kind for kind, _ in BLOCKS if kind == "sh run"]) >= 8


def test_every_file_that_it_names_is_there():
    named = set(re.findall(r"\bdeploy/[a-z_/.-]+[a-z]", RUNBOOK))
    assert named
    assert [name for name in named if not (ROOT / name).exists()] == []


@pytest.mark.parametrize("alert", ALERTS, ids=lambda alert: alert["alert"])
def test_an_alert_has_its_section_and_says_where(alert):
    name = alert["alert"]
    assert f"\n### {name}\n" in RUNBOOK
    assert alert["annotations"]["runbook"] == f"RUNBOOK.md#{name.lower()}"
    assert alert["labels"]["severity"] in {"page", "ticket"}


def test_no_section_is_about_an_alert_that_is_not_there():
    assert re.findall(r"^### (\w+)$", RUNBOOK, re.MULTILINE) == [alert["alert"] for alert in ALERTS]
