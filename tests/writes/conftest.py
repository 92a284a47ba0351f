"""A shop's catalogue over HTTP, on both engines: who writes, what with, and what came of it."""

import json
from contextlib import ExitStack, contextmanager

import pytest

from service.app import create_app
from service.catalogue.transfer import current_revision
from service.partners.keys import Scope, issue_key
from service.settings import Settings
from service.store.database import Database

PEPPER = "a pepper of the tests"
NEVER = 60.0
"""Seconds between two looks at the revision [s]: what is seen earlier is seen at once."""
IMPORT_MAX_BYTES = 100_000
GOOD = {
    "axles": {"name": "One", "fastening": "two_piece", "stock": 3},
    "frames": {"name": "One", "wheels": 4, "outside_widths_mm": [36.4]},
    "sleeves": {"name": "One", "inner_mm": 6.0, "outer_mm": 8.0, "length_mm": 24.0},
}


class Shop:
    """A started application, its database, and keys to it."""

    def __init__(self, client, database):
        self.client = client
        self.database = database
        self._keys = 0
        self.key = self.issue(Scope.CATALOGUE)
        self._records = 0

    def issue(self, *scopes, name="Till"):
        """Issue a key."""
        return issue_key(self.database, name=name, scopes=frozenset(scopes), pepper=PEPPER)

    def new_path(self, table):
        """The path of a record that there is not."""
        self._records += 1
        return f"/v1/{table}/T-{self._records}"

    def send(self, method, path, body=None, **headers):
        """A request with the shop's key; the body is JSON, or bytes as they are.

        Headers are named as Python can: `if_match` for `If-Match`; None leaves one out.
        """
        given = {"authorization": f"Bearer {self.key}"}
        if body is not None:
            given["content-type"] = "application/json"
        given |= {name.replace("_", "-"): value for name, value in headers.items()}
        content = body if body is None or isinstance(body, bytes) else json.dumps(body).encode()
        return self.client.request(
            method,
            path,
            content=content,
            headers={name: value for name, value in given.items() if value is not None},
        )

    def put_new(self, table, **changes):
        """Put a record that there was not; its path and the answer are returned."""
        path = self.new_path(table)
        answer = self.send("PUT", path, GOOD[table] | changes, if_none_match="*")
        assert answer.status_code == 201, answer.text
        return path, answer

    def load(self, table, text, *, dry_run=False, **headers):
        """Import a file."""
        query = f"table={table}" + ("&dry_run=true" if dry_run else "")
        content = text if isinstance(text, bytes) else text.encode()
        return self.send("POST", f"/v1/imports?{query}", content, **{"content_type": "text/csv"} | headers)

    @property
    def revision(self):
        """The catalogue's revision, as the database has it."""
        return current_revision(self.database)

    def get(self, path, status=200):
        """What a path answers, without a key."""
        answer = self.client.get(path)
        assert answer.status_code == status, answer.text
        return answer.json()

    def changes(self, since, limit=1000):
        """The changes since a revision, on one page."""
        return self.get(f"/v1/changes?since={since}&limit={limit}")["items"]

    def snapshot_bytes(self, **headers):
        """The snapshot as it goes over the wire, with its headers."""
        with self.client.stream("GET", "/v1/snapshot", headers=headers) as answer:
            assert answer.status_code == 200
            return b"".join(answer.iter_raw()), answer.headers


@pytest.fixture(scope="session")
def opened_shop(client_of):
    """A shop on the database of a URL, open within a `with`."""

    @contextmanager
    def open_for_a_while(url, **settings):
        chosen = {"key_pepper": PEPPER, "import_max_bytes": IMPORT_MAX_BYTES, "refresh_seconds": NEVER}
        database = Database(url)
        try:
            with client_of(create_app(Settings(database_url=url, **chosen | settings))) as client:
                yield Shop(client, database)
        finally:
            database.close()

    return open_for_a_while


@pytest.fixture(scope="session")
def shop(engine, opened_shop):
    """A shop that tests share; each writes records of its own."""
    with opened_shop(engine.empty()) as opened:
        yield opened


@pytest.fixture
def open_shop(opened_shop):
    """Opens shops on the databases of these URLs, with settings that the test says."""
    with ExitStack() as opened:
        yield lambda url, **settings: opened.enter_context(opened_shop(url, **settings))


@pytest.fixture
def own_shop(engine, opened_shop):
    """A shop of the test's own, without a part."""
    url = engine.empty()
    with opened_shop(url) as opened:
        yield opened
    engine.drop(url)


@pytest.fixture(scope="session")
def good():
    """A good record of each table, without its key."""
    return GOOD


@pytest.fixture(params=sorted(GOOD))
def table(request):
    """Each table."""
    return request.param
