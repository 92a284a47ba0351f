"""What README.md shows is what the service does."""

import json
import re
import shlex
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from service.__main__ import main
from service.app import create_app
from service.settings import Settings

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def block(name):
    found = re.search(rf"^```{name}\n(.*?)^```$", README, re.DOTALL | re.MULTILINE)
    assert found, name
    return found[1]


def assert_contains(answer, shown, where="answer"):
    """Everything that is shown stands in the answer; lists from their beginning."""
    if isinstance(shown, dict):
        for name, value in shown.items():
            assert name in answer, f"{where}.{name}"
            assert_contains(answer[name], value, f"{where}.{name}")
    elif isinstance(shown, list):
        assert len(answer) >= len(shown), where
        for place, value in enumerate(shown):
            assert_contains(answer[place], value, f"{where}[{place}]")
    else:
        assert answer == shown, where


def test_the_lookup_of_the_readme_gives_the_answer_of_the_readme(client):
    url = urlsplit(shlex.split(block("sh curl"))[1])
    answer = client.get(f"{url.path}?{url.query}")
    assert answer.status_code == 200
    assert_contains(answer.json(), json.loads(block("json answer")))


def test_the_command_of_the_readme_runs(demonstration_file, monkeypatch, capsys):
    monkeypatch.setenv("AXLEFIT_DATABASE_URL", f"sqlite:///{demonstration_file}")
    words = shlex.split(block("sh example"))
    assert words[1:3] == ["-m", "service"]
    assert main(words[3:]) == 0
    assert "TP8-" in capsys.readouterr().out


def test_ci_runs_the_test_command_of_the_readme():
    assert "README.md" in (ROOT / ".ci/run").read_text(encoding="utf-8")
    assert block("sh test").strip().endswith("-m pytest")


@pytest.mark.parametrize("path", [*sorted(create_app(Settings()).openapi()["paths"]), "/openapi.json"])
def test_the_readme_names_the_path(path):
    assert path in README


@pytest.mark.parametrize("command", ["demo", "serve", "fit", "import", "export", "upgrade"])
def test_the_readme_names_the_command_and_the_command_has_help(command, capsys):
    assert f"`{command}" in README
    with pytest.raises(SystemExit) as ended:
        main([command, "--help"])
    assert ended.value.code == 0
    assert "usage: python -m service" in capsys.readouterr().out
