"""API7, API10 (OWASP API Security, 2023): no request makes the service call another one."""

import ast
import sys
from pathlib import Path

import pytest

from tests.security.conftest import operations
from tests.security.test_properties import media_type_of

ROOT = Path(__file__).resolve().parents[2]
CLIENTS = {
    "http.client", "urllib.request", "urllib3", "httpx", "requests", "aiohttp", "ftplib", "smtplib",
    "telnetlib", "xmlrpc", "imaplib", "poplib", "socket", "subprocess",
}  # fmt: skip
_watched = {"on": False, "events": []}
_EVENTS = {"socket.connect", "socket.getaddrinfo", "urllib.Request", "subprocess.Popen", "os.system"}


def _note(event, arguments):
    if _watched["on"] and event in _EVENTS:
        _watched["events"].append((event, arguments))


@pytest.fixture
def outgoing():
    """What the process calls out for; an audit hook cannot be taken off, and so is switched."""
    if not _watched.get("installed"):
        sys.addaudithook(_note)
        _watched["installed"] = True
    _watched["events"] = []
    _watched["on"] = True
    yield _watched["events"]
    _watched["on"] = False


def test_no_operation_connects_to_anything(guarded, issued, outgoing):
    for operation in operations():
        media_type = media_type_of(operation)
        headers = {"Authorization": issued["admin"], "Host": "192.0.2.1"}
        if operation.method != "DELETE":  # the other tests want to find what is there
            headers["If-Match"] = "*"
        body = None
        if media_type:
            headers["Content-Type"] = media_type
            body = b'{"name":"http://192.0.2.1/","frame":"http://192.0.2.1/","url":"http://192.0.2.1/"}\n'
        answer = guarded.request(operation.method, operation.filled, content=body, headers=headers)
        assert answer.status_code < 500, operation
    assert outgoing == []


def test_the_watch_sees_a_connection(outgoing):
    import socket  # noqa: PLC0415 (what it proves is that the test above could fail)

    with socket.socket() as one:
        assert one.connect_ex(("127.0.0.1", 1)) != 0
    assert [event for event, _ in outgoing] == ["socket.connect"]


def test_no_module_of_the_service_knows_how_to_call_another_service():
    found = {
        (path.relative_to(ROOT).as_posix(), name)
        for folder in ("service", "schemas")
        for path in (ROOT / folder).rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        for name in _imported(node)
        if any(name == client or name.startswith(f"{client}.") for client in CLIENTS)
    }
    assert found == set()


def _imported(node):
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if isinstance(node, ast.ImportFrom) and node.module and not node.level:
        return [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
    return []
