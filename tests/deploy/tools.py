"""The programs that check the deploy files: CI must have them, a laptop may lack them."""

import os
import re
import shutil
import sys
from pathlib import Path

import pytest

from service.environment import IN_FILES
from service.settings import Settings

ROOT = Path(__file__).resolve().parents[2]
_BESIDE_PYTHON = Path(sys.executable).parent
_MORE = f"{_BESIDE_PYTHON}{os.pathsep}{os.environ.get('PATH', os.defpath)}{os.pathsep}/usr/sbin"

SETTINGS = {f"AXLEFIT_{name.upper()}": field for name, field in Settings.model_fields.items()}
SECRETS = {f"AXLEFIT_{name.upper()}" for name in IN_FILES}
KNOWN = SETTINGS.keys() | {f"{name}_FILE" for name in SECRETS}
"""Every variable that the service reads."""
STOP_SECONDS = SETTINGS["AXLEFIT_STOP_SECONDS"].default


def kept_seconds(upstream):
    """How long the proxy keeps a connection to the service, by a file of it [s]."""
    return int(
        re.search(r"^ *keepalive_timeout (\d+)s;", upstream.read_text(encoding="utf-8"), re.MULTILINE)[1]
    )


def tool(name):
    """The path of a program; without it the test is skipped, unless CI is set."""
    found = shutil.which(name, path=_MORE)
    if found is None:
        if os.environ.get("CI") == "true":
            pytest.fail(f"{name} is missing, and CI must have it")
        pytest.skip(f"{name} is missing")
    return found
