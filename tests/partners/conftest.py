"""A database and a clock that the tests of limits share."""

import pytest
from sqlmodel import text

from service.store.database import Database

BEGIN = 1_800_000_000_000


class Clock:
    """A clock that stands still until it is set [ms]."""

    def __init__(self):
        self.now = BEGIN

    def __call__(self):
        return self.now


@pytest.fixture(scope="module")
def shared(engine):
    """A database that these tests share; each begins with no request counted."""
    opened = Database(engine.empty())
    yield opened
    opened.close()


@pytest.fixture
def database(shared):
    with shared.writing() as session:
        session.connection().execute(text("DELETE FROM request_count"))
    return shared


@pytest.fixture
def clock():
    return Clock()
