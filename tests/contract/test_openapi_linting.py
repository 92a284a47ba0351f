"""The API's description keeps spectral's rules for OpenAPI and those that redocly recommends."""

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
KEPT = ROOT / "deploy/openapi.json"
RULES = ROOT / "deploy/openapi"
QUIET = {"REDOCLY_TELEMETRY": "off", "REDOCLY_SUPPRESS_UPDATE_NOTICE": "true", "NO_COLOR": "1"}


def run(command, folder):
    return subprocess.run(
        command, cwd=folder, env=os.environ | QUIET, capture_output=True, text=True, check=False, timeout=600
    )


@pytest.fixture(scope="module")
def linters(pytestconfig):
    """The folder where both are installed in the pinned versions; kept from run to run."""
    npm = shutil.which("npm")
    if npm is None:
        if os.environ.get("CI") == "true":
            pytest.fail("npm is missing, and CI must have it")
        pytest.skip("npm is missing: spectral and redocly cannot be installed")
    folder = pytestconfig.cache.mkdir("openapi-rules")
    pinned = (RULES / "package-lock.json").read_text(encoding="utf-8")
    installed = folder / "installed"  # written last, so that half an installation counts as none
    if not installed.exists() or installed.read_text(encoding="utf-8") != pinned:
        for name in ("package.json", "package-lock.json", ".npmrc"):
            shutil.copy(RULES / name, folder)
        done = run([npm, "ci"], folder)
        assert done.returncode == 0, done.stderr
        installed.write_text(pinned, encoding="utf-8")
    return folder


def spectral(folder, document):
    """What spectral finds, hints too."""
    rules = str(RULES / ".spectral.yaml")
    command = ["node_modules/.bin/spectral", "lint", "--ruleset", rules, "--format", "json", "--quiet"]
    done = run([*command, "--fail-severity", "hint", str(document)], folder)
    assert done.returncode in {0, 1}, done.stderr  # 2: it could not do its work
    return [f"{found['code']}: {found['message']} {found['path']}" for found in json.loads(done.stdout)]


def redocly(folder, document):
    """What redocly finds, warnings too."""
    rules = str(RULES / "redocly.yaml")
    command = ["node_modules/.bin/redocly", "lint", "--config", rules, "--format", "json"]
    done = run([*command, str(document)], folder)
    assert done.returncode in {0, 1}, done.stderr
    report = json.loads(done.stdout)
    assert report["totals"]["ignored"] == 0
    return [f"{found['ruleId']}: {found['message']}" for found in report["problems"]]


# One test for both, so that two processes never install at the same time.
def test_the_document_has_no_error_and_no_warning(linters, tmp_path):
    assert spectral(linters, KEPT) == []
    assert redocly(linters, KEPT) == []
    document = json.loads(KEPT.read_text(encoding="utf-8"))
    del document["info"]["contact"]  # spectral: info-contact
    del document["info"]["license"]  # redocly: info-license
    poorer = tmp_path / "poorer.json"
    poorer.write_text(json.dumps(document), encoding="utf-8")
    assert [found.partition(":")[0] for found in spectral(linters, poorer)] == ["info-contact"]
    assert [found.partition(":")[0] for found in redocly(linters, poorer)] == ["info-license"]


def test_no_rule_is_switched_off():
    assert (RULES / ".spectral.yaml").read_text().splitlines()[1:] == ['extends: ["spectral:oas"]']
    assert (RULES / "redocly.yaml").read_text().splitlines()[1:] == ["extends:", "  - recommended"]


def test_the_pinned_versions_hold_no_address_and_have_checksums():
    packages = json.loads((RULES / "package-lock.json").read_text(encoding="utf-8"))["packages"]
    assert "://" not in (RULES / "package-lock.json").read_text(encoding="utf-8")
    assert [name for name, package in packages.items() if name and "integrity" not in package] == []
