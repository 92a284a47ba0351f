"""The service as `serve` serves it, over real HTTP on loopback."""

import socket
import time
from contextlib import contextmanager
from threading import Thread

import pytest
import uvicorn

from service.app import create_app
from service.settings import Settings
from service.web.server import PROTOCOL


@contextmanager
def listening_service(database_file, **settings):
    """The port of a service on this database; it has stopped when the block ends."""
    app = create_app(Settings(database_url=f"sqlite:///{database_file}", refresh_seconds=60, **settings))
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(app, log_config=None, timeout_graceful_shutdown=1, **PROTOCOL))
        thread = Thread(target=server.run, kwargs={"sockets": [listening]})
        thread.start()
        deadline = time.monotonic() + 30
        while not server.started and time.monotonic() < deadline:
            time.sleep(0.01)
        yield listening.getsockname()[1]
        server.should_exit = True
        thread.join(30)


@pytest.fixture(scope="session")
def served(demonstration_file):
    """The port of the service on the demonstration catalogue, which no test changes."""
    with listening_service(demonstration_file) as port:
        yield port
