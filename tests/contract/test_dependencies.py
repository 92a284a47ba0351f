"""What is installed is what was chosen: every version pinned and hashed, every licence one that may be used.

Known weaknesses are looked up by `pip-audit --strict`, which needs its advisory service (see DEVELOPERS.md).
"""

import re
from importlib.metadata import PackageNotFoundError, metadata
from pathlib import Path

import pytest

DEPLOY = Path(__file__).resolve().parents[2] / "deploy"
FILES = ("requirements.txt", "requirements-test.txt")
# Licences that let a program be used and passed on with its own (permissive), and the weak copyleft of a file
# or a library that is used as it is.
MAY_BE_USED = re.compile(
    r"MIT|BSD|Apache|ISC|PSF|Python Software Foundation|MPL|Mozilla|LGPL|Lesser General|0BSD|Unlicense|HPND"
    r"|CNRI|PostgreSQL|zlib|Public Domain",
    re.IGNORECASE,
)


def pins(name):
    """The entries of a file: each requirement with all that belongs to it."""
    text = (DEPLOY / name).read_text(encoding="utf-8").replace("\\\n", " ")
    return [line for line in text.splitlines() if line and not line.startswith((" ", "#"))]


@pytest.mark.parametrize("name", FILES)
def test_every_version_is_pinned_and_every_file_of_it_hashed(name):
    entries = pins(name)
    assert len(entries) > 20
    for entry in entries:
        assert re.match(r"[A-Za-z0-9._-]+(\[[a-z,]+\])?==[^\s;]+", entry), entry
        assert re.search(r"--hash=sha256:[0-9a-f]{64}", entry), entry


@pytest.mark.parametrize("entry", pins("requirements.txt"), ids=lambda entry: entry.split("==")[0])
def test_what_the_service_runs_on_may_be_used(entry):
    name = re.split(r"[=\[]", entry)[0]
    try:
        described = metadata(name)
    except PackageNotFoundError:
        pytest.skip("for another system than this one")
    told = [described.get("License-Expression") or "", (described.get("License") or "")[:200]]
    told += [line for line in described.get_all("Classifier") or [] if line.startswith("License")]
    assert MAY_BE_USED.search(" ".join(told)), (name, told)
