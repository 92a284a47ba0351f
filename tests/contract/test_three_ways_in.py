"""The three integrations of README.md run as they stand but for the port, and print what it says they do."""

import json
import os
import re
import shutil
import subprocess
import sys
from urllib.request import urlopen

import pytest

from tests.commands.serving import ROOT, Served
from tests.contract.test_readme import block

ADDRESS = "http://127.0.0.1:8000"


@pytest.fixture(scope="module")
def counter(tmp_path_factory, demonstration_file):
    """A folder as the README's first command leaves it: the demonstration's file, and a Python in `.venv`."""
    folder = tmp_path_factory.mktemp("counter")
    shutil.copy(demonstration_file, folder / "axlefit.sqlite3")
    python = folder / ".venv/bin/python"
    python.parent.mkdir(parents=True)
    python.write_text(f'#!/bin/sh\nexec "{sys.executable}" "$@"\n')
    python.chmod(0o755)
    return folder


@pytest.fixture(scope="module")
def served(counter):
    """The service on that file, by its own command."""
    service = Served(f"sqlite:///{counter / 'axlefit.sqlite3'}")
    yield service
    service.end()


@pytest.fixture
def printed(counter, served):
    """Runs a block of README.md with a program; the lines that it prints."""

    def run(name, *command):
        program = shutil.which(command[0])
        if program is None:
            told = f"{command[0]} is not installed"
            pytest.fail(told) if os.environ.get("CI") else pytest.skip(told)
        written = block(name)
        assert ADDRESS in written
        done = subprocess.run(
            [program, *command[1:]],
            input=written.replace(ADDRESS, served.base),
            cwd=counter,
            env=_environment(),
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        assert (done.returncode, done.stderr) == (0, "")
        return done.stdout.splitlines()

    return run


def _environment():
    """That of a user who has set nothing; the service and its client are found beside the tests."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("AXLEFIT_")}
    places = os.pathsep.join(str(place) for place in (ROOT, ROOT / "deploy/client"))
    return kept | {"PYTHONPATH": places, "no_proxy": "127.0.0.1"}


def told_beside_the_prints(name):
    """What the comments at the ends of a block's lines say that is printed."""
    return re.findall(r"print\(.*\)  # (.*)", block(name))


def test_a_shops_filter_prints_what_the_readme_says(printed):
    lines = printed("js fetch", "node", "--input-type=module", "-")
    assert lines == block("text fetch").splitlines()
    # The number behind a value of a facet is that of the axles which the filter then lists.
    counts = dict(re.findall(r"(\w+) \((\d+)\)", lines[0]))
    assert int(counts["hexalobular_25"]) == sum(line.startswith("TW8-") for line in lines)


def test_a_till_prints_what_the_readme_says_and_the_sale_is_in_the_catalogue(printed, served, counter):
    assert printed("sh till", "bash", "-euo", "pipefail") == block("text till").splitlines()
    with urlopen(f"{served.base}/v1/axles/TW8-36-M8-HX6") as answer:  # noqa: S310 (our own service)
        assert json.load(answer)["stock"] == 5
    # The 304 had no body, and left the answer of the 200 where it was.
    assert json.loads((counter / "fits.json").read_bytes())["fits"]


def test_a_partners_client_prints_what_the_readme_says(printed):
    expected = told_beside_the_prints("python client")
    assert len(expected) == 1
    assert printed("python client", sys.executable, "-W", "error", "-") == expected
