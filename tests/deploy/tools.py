"""The programs that check the deploy files: CI must have them, a laptop may lack them."""

import os
import shutil
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
_BESIDE_PYTHON = Path(sys.executable).parent
_MORE = f"{_BESIDE_PYTHON}{os.pathsep}{os.environ.get('PATH', os.defpath)}{os.pathsep}/usr/sbin"


def tool(name):
    """The path of a program; without it the test is skipped, unless CI is set."""
    found = shutil.which(name, path=_MORE)
    if found is None:
        if os.environ.get("CI") == "true":
            pytest.fail(f"{name} is missing, and CI must have it")
        pytest.skip(f"{name} is missing")
    return found
