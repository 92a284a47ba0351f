"""The steps of the Containerfile, run in a folder: there is no engine for containers where tests run.

What stands under /opt/axlefit in the container stands under the folder here. uv takes pip's place, since
it does the same with the same arguments, hashes and all, in a twentieth of the time.
"""

import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

from tests.deploy.tools import ROOT, tool

FILE = ROOT / "deploy/container/Containerfile"
INSIDE = "/opt/axlefit"


def instructions():
    """The instructions of the file, each a word and what follows it."""
    text = re.sub(r"^#.*\n", "", FILE.read_text(encoding="utf-8"), flags=re.MULTILINE)
    lines = re.sub(r"\\\n\s*", "", text).splitlines()
    return [(word, rest) for word, _, rest in (line.partition(" ") for line in lines) if word]


def stages():
    """The instructions of each stage."""
    found = []
    for word, rest in instructions():
        if word == "FROM":
            found.append([])
        if found:
            found[-1].append((word, rest))
    return found


class Container:
    """What the Containerfile makes, in a folder."""

    def __init__(self, folder):
        self._folder = folder
        self._environment = {}
        self._work = folder
        self.commands = {}

    def build(self):
        """Run the steps of the first stage, and read what the second says about running."""
        first, last = stages()
        for word, rest in first:
            self._step(word, rest)
        self._environment = {}
        for word, rest in last:
            if word in {"ENV", "WORKDIR"}:
                self._step(word, rest)
            elif word in {"ENTRYPOINT", "CMD", "HEALTHCHECK"}:
                self.commands[word] = json.loads(rest[rest.index("[") :])

    def start(self, command, **settings):
        """Start a command in the container, with nothing of the surroundings but what it is given."""
        environment = self._environment | {"PATH": os.defpath} | settings
        words = [self._outside(word) for word in command]
        return subprocess.Popen(words, cwd=self._work, env=environment, stderr=subprocess.STDOUT)

    def files(self):
        """Every file with the moment of its last change."""
        return {path: path.lstat().st_mtime_ns for path in self._folder.rglob("*")}

    def _step(self, word, rest):
        if word == "WORKDIR":
            self._work = Path(self._outside(rest))
            self._work.mkdir(parents=True, exist_ok=True)
        elif word == "ENV":
            self._environment |= dict(pair.split("=", 1) for pair in shlex.split(rest))
        elif word == "COPY":
            source, target = rest.split()
            self._copy(ROOT / source, self._work / target)
        elif word == "RUN":
            subprocess.run(["bash", "-euc", self._run(rest)], cwd=self._work, check=True)  # noqa: S607

    def _copy(self, source, target):
        if source.is_dir():
            shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            if target.is_dir():
                target /= source.name
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(source, target)

    def _run(self, rest):
        uv = f"{shlex.quote(tool('uv'))} pip install -q --no-config --compile-bytecode --python"
        line = re.sub(r"python3 -m pip --python (\S+) install", rf"{uv} \1", self._outside(rest))
        return line.replace("python3 -m venv", f"{sys.executable} -m venv")

    def _outside(self, text):
        return text.replace(INSIDE, f"{self._folder}{INSIDE}")
