"""The client in both forms, the real service on this machine's loopback, and a server that fails as told."""

import asyncio
import shutil
import threading
import time
from collections.abc import AsyncIterator
from contextlib import ExitStack, contextmanager

import pytest
import uvicorn
from axlefit_client import AsyncAxleFit, AxleFit

from service.app import create_app
from service.partners.keys import Scope, issue_key
from service.settings import Settings
from service.store.database import Database

PEPPER = "a pepper of the tests"
NEVER = 60.0
START_WITHIN_S = 30.0


@contextmanager
def serving(app):
    """Serve an application on a free port of the loopback; its address is given."""
    settings = uvicorn.Config(app, port=0, log_config=None, ws="none", timeout_graceful_shutdown=1)
    server = uvicorn.Server(settings)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        deadline = time.monotonic() + START_WITHIN_S
        while not server.started:
            assert thread.is_alive(), "the server ended"
            assert time.monotonic() < deadline, "the server did not start"
            time.sleep(0.01)
        yield f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join(START_WITHIN_S)


class InLoop:
    """An asynchronous client whose calls a test can make as if they returned when they are done."""

    def __init__(self, *args, **options):
        self._loop = asyncio.new_event_loop()
        self._client = AsyncAxleFit(*args, **options)

    def __getattr__(self, name):
        def call(*args, **fields):
            result = getattr(self._client, name)(*args, **fields)
            if isinstance(result, AsyncIterator):
                return self._listed(result)
            return self._loop.run_until_complete(result)

        return call

    def _listed(self, items):
        end = object()
        while (item := self._loop.run_until_complete(anext(items, end))) is not end:
            yield item

    def __enter__(self):
        self._loop.run_until_complete(self._client.__aenter__())
        return self

    def __exit__(self, *_):
        self._loop.run_until_complete(self._client.__aexit__(None, None, None))
        self._loop.run_until_complete(self._loop.shutdown_asyncgens())
        self._loop.close()


@pytest.fixture(params=[AxleFit, InLoop], ids=["blocking", "awaited"])
def connect(request):
    """Opens clients of both forms, which are closed when the test ends."""
    with ExitStack() as opened:
        yield lambda *args, **options: opened.enter_context(request.param(*args, **options))


class Service:
    """The real service on a catalogue that tests may change."""

    def __init__(self, url, key, database_url):
        self.url = url
        self.key = key
        self.database_url = database_url


@pytest.fixture(scope="session")
def real_service(demonstration_file, tmp_path_factory):
    """The service on a copy of the demonstration catalogue."""
    path = shutil.copy(demonstration_file, tmp_path_factory.mktemp("client") / "own.sqlite3")
    database_url = f"sqlite:///{path}"
    database = Database(database_url)
    key = issue_key(database, name="Till", scopes=frozenset({Scope.CATALOGUE}), pepper=PEPPER)
    database.close()
    settings = Settings(database_url=database_url, key_pepper=PEPPER, refresh_seconds=NEVER)
    with serving(create_app(settings)) as url:
        yield Service(url, key, database_url)


@pytest.fixture
def shop(connect, real_service):
    """A client with a key to the real service."""
    return connect(real_service.url, real_service.key)


class Scripted:
    """An application that gives the answers it was told to, in order, and keeps what it was asked.

    An answer is a status, headers and a body, or a function that makes one of the request. A body of None
    breaks off: the connection is closed before all that was promised has come.
    """

    def __init__(self):
        self.answers = []
        self.asked = []

    async def __call__(self, scope, receive, send):
        if scope["type"] == "lifespan":
            return
        request = {
            "method": scope["method"],
            "target": scope["raw_path"].decode()
            + (f"?{query}" if (query := scope["query_string"].decode()) else ""),
            "headers": {name.decode(): value.decode() for name, value in scope["headers"]},
            "body": await _body(receive),
        }
        self.asked.append(request)
        answer = self.answers.pop(0)
        status, headers, body = answer(request) if callable(answer) else answer
        length = 100 if body is None else len(body)
        fields = {"content-length": str(length)} | headers
        await send(
            {
                "type": "http.response.start",
                "status": status,
                "headers": [(name.lower().encode(), value.encode()) for name, value in fields.items()],
            }
        )
        await send({"type": "http.response.body", "body": body or b"", "more_body": body is None})
        # To return with more promised makes the server close the connection.


async def _body(receive):
    body = b""
    while True:
        message = await receive()
        body += message.get("body", b"")
        if not message.get("more_body"):
            return body


@pytest.fixture(scope="session")
def scripted_server():
    """A server that fails as it is told."""
    app = Scripted()
    with serving(app) as url:
        app.url = url
        yield app


@pytest.fixture
def server(scripted_server):
    """The same, with nothing asked yet."""
    scripted_server.answers.clear()
    scripted_server.asked.clear()
    return scripted_server


@pytest.fixture
def other_server():
    """Another server on another port."""
    app = Scripted()
    with serving(app) as url:
        app.url = url
        yield app
