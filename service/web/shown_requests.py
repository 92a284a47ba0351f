"""The examples of the OpenAPI document as commands that can be typed."""

from __future__ import annotations

import json
import shlex
from typing import Any
from urllib.parse import quote, urlencode

BASE = "http://127.0.0.1:8000"
"""Where the README's demonstration listens; the service does not know under which name it is reached."""
KEY = "$AXLEFIT_KEY"


def curl_of(path: str, method: str, operation: dict[str, Any]) -> str:
    """The example of an operation as a command; a key stands in the variable AXLEFIT_KEY."""
    words = ["curl"] if method == "get" else ["curl", "-X", method.upper()]
    words.append(shlex.quote(BASE + _target(path, operation)))
    lines = [" ".join(words)]
    lines += [f"-H {shlex.quote(f'{name}: {value}')}" for name, value in _examples(operation, "header")]
    if operation.get("security"):
        lines.append(f'-H "Authorization: Bearer {KEY}"')
    for media_type, content in operation.get("requestBody", {}).get("content", {}).items():
        example = content["example"]
        body = example if isinstance(example, str) else json.dumps(example, ensure_ascii=False)
        lines += [f"-H 'Content-Type: {media_type}'", f"--data-binary {shlex.quote(body)}"]
    return " \\\n  ".join(lines)


def _target(path: str, operation: dict[str, Any]) -> str:
    keys = {name: quote(str(value), safe="") for name, value in _examples(operation, "path")}
    query = [
        (name, _written(one)) for name, value in _examples(operation, "query") for one in _several(value)
    ]
    return path.format(**keys) + (f"?{urlencode(query)}" if query else "")


def _examples(operation: dict[str, Any], place: str) -> list[tuple[str, Any]]:
    return [
        (parameter["name"], parameter["example"])
        for parameter in operation.get("parameters", [])
        if parameter["in"] == place and "example" in parameter
    ]


def _several(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [value]


def _written(value: Any) -> str:
    return json.dumps(value) if isinstance(value, bool) else str(value)
