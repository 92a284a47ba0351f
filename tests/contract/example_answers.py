"""What the demonstration catalogue answers to the commands of the documentation page, shortened for a reader.

Run as a file, it writes the answers where the page reads them; a test compares the two.
"""

import json
import re
import shlex
import shutil
import sys
import tempfile
import warnings
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from service.app import create_app
from service.commands.serve import load_demonstration
from service.partners.keys import Scope, issue_key
from service.settings import Settings
from service.store.database import Database
from service.store.schema import upgrade
from service.web.document import operations_of
from service.web.shown_requests import BASE, KEY, curl_of

KEPT = ROOT / "service/web/example_answers.json"
MOMENT = "2026-01-01T00:00:00.000+00:00"
"""Stands for every time of day: a write's is that of the run."""
NOT_SHOWN = {"get_metrics", "get_fit_drawing", "get_rocker_drawing"}
"""Its numbers are those of one process."""


class Command(NamedTuple):
    """What a command sends."""

    method: str
    target: str
    headers: dict[str, str]
    body: str | None


def read_command(text):
    """A command as a shell reads it (POSIX, 2.2)."""
    program, *words = shlex.split(text.replace("\\\n", ""))  # 2.2.1: a line that goes on
    assert program == "curl"
    given, target = {"-X": [], "-H": [], "--data-binary": []}, None
    while words:
        word = words.pop(0)
        if word in given:
            given[word].append(words.pop(0))
        else:
            assert target is None
            target = word
    assert target.startswith(BASE)
    headers = dict(header.split(": ", 1) for header in given["-H"])
    return Command(
        "".join(given["-X"]) or "GET",
        target.removeprefix(BASE),
        headers,
        "".join(given["--data-binary"]) or None,
    )


def send(client, command, key):
    """The answer to a command; the key stands in for the variable."""
    method, target, headers, body = read_command(command)
    headers = {name: value.replace(KEY, key) for name, value in headers.items()}
    return client.request(method, target, headers=headers, content=body and body.encode())


def shortened(value, name=""):
    """Every list cut to its first entry, objects whole; what differs with each run is told as it looks."""
    if isinstance(value, dict):
        return {key: shortened(inner, key) for key, inner in value.items()}
    if isinstance(value, list):
        return [shortened(inner) for inner in value[:1]]
    if isinstance(value, str) and name in {"next_cursor", "next"}:
        return re.sub(r"(^|cursor=)[\w.~-]+$", r"\1…", value)
    return MOMENT if name == "at" else value


def shown(answer):
    """The answer's content as the page shows it; nothing for one without content."""
    if not answer.content:
        return None
    if answer.headers["Content-Type"].startswith("application/json"):
        return json.dumps(shortened(answer.json()), indent=2, ensure_ascii=False)
    return json.dumps(shortened(json.loads(answer.text.splitlines()[0])), ensure_ascii=False)


def fresh_answers():
    """The answer to each command, each on a catalogue of its own."""
    from starlette.testclient import TestClient  # noqa: PLC0415 (it warns where it is imported)

    with tempfile.TemporaryDirectory() as folder:
        made, own = (Path(folder) / name for name in ("made.sqlite3", "own.sqlite3"))
        key = _demonstration(made)
        app = create_app(Settings(database_url=f"sqlite:///{own}"))
        for path, method, operation in operations_of(app.openapi()):
            shutil.copy(made, own)
            with TestClient(create_app(Settings(database_url=f"sqlite:///{own}"))) as client:
                yield operation["operationId"], send(client, curl_of(path, method, operation), key)


def _demonstration(path):
    """A key for the demonstration catalogue, which is made in this file."""
    database = Database(f"sqlite:///{path}", create=True)
    upgrade(database)
    load_demonstration(database)
    pepper = Settings().key_pepper.get_secret_value()
    key = issue_key(database, name="Quillhaven", scopes=frozenset({Scope.CATALOGUE}), pepper=pepper)
    database.close()
    return key


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    answers = {name: shown(answer) for name, answer in fresh_answers() if name not in NOT_SHOWN}
    kept = {name: text for name, text in sorted(answers.items()) if text is not None}
    KEPT.write_text(json.dumps(kept, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
