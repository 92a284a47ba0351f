"""Every operation of the application as it is, found from its routes: a new one is tested without a word."""

import shutil
from contextlib import contextmanager
from typing import NamedTuple

import pytest
from fastapi.routing import APIRoute

from service.app import create_app
from service.partners.keys import Scope, issue_key, revoke_key
from service.settings import Settings
from service.store.database import Database

PEPPER = "a pepper of the tests"
EXISTING = {"sku": "TW8-36-M8-HX6", "code": "QH-ALDER", "name": "cursor"}
"""What stands in a path in place of its parameters."""


class Operation(NamedTuple):
    """One method of one path."""

    method: str
    path: str

    @property
    def filled(self):
        """The path with something in place of its parameters."""
        known = EXISTING | ({"sku": "SL-6-24"} if "/sleeves/" in self.path else {})
        return self.path.format(**{name: known.get(name, "1") for name in _names_in(self.path)})


def _names_in(path):
    return [part.strip("{}") for part in path.split("/") if part.startswith("{")]


def routes_of(app):
    """All routes of an application, those of routers within it too."""
    found, waiting = [], list(app.routes)
    while waiting:
        route = waiting.pop()
        inner = getattr(route, "original_router", None)
        if inner is not None:
            waiting += inner.routes
        else:
            found.append(route)
    return found


def operations():
    """Every operation, in order; HEAD is that of GET."""
    routes = routes_of(create_app(Settings()))
    found = {
        Operation(method, route.path)
        for route in routes
        for method in (getattr(route, "methods", None) or ())
    }
    assert len(found) > 20  # or the routes were not found
    assert any(isinstance(route, APIRoute) for route in routes)
    return sorted(operation for operation in found if operation.method not in {"HEAD", "OPTIONS"})


def by_name(operation):
    return f"{operation.method} {operation.path}"


@pytest.fixture(scope="session")
def shop(demonstration_file, tmp_path_factory):
    """The file of the demonstration catalogue that these tests share, as an opened database."""
    path = shutil.copy(demonstration_file, tmp_path_factory.mktemp("security") / "shop.sqlite3")
    opened = Database(f"sqlite:///{path}")
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def issued(shop):
    """Authorizations of every kind, by name; None is nobody."""

    def issue(*scopes):
        return issue_key(shop, name="Somebody", scopes=frozenset(scopes), pepper=PEPPER)

    revoked = issue(Scope.CATALOGUE)
    revoke_key(shop, revoked.split("_")[1])
    wrong = issue(Scope.CATALOGUE)
    other = issue(Scope.CATALOGUE)
    # The identifier of one and the secret of another; its checksum is right.
    keys = {
        "wrong": _with_right_checksum("_".join([*other.split("_")[:2], wrong.split("_")[2][:32]])),
        "unknown": _with_right_checksum("axf_AAAAAAAA_" + "B" * 32),
        "revoked": revoked,
        "without a scope": issue(),
        **{scope.value: issue(scope) for scope in Scope},
    }
    return {"nobody": None} | {name: f"Bearer {key}" for name, key in keys.items()}


def _with_right_checksum(body):
    from service.partners.keys import _checksum  # noqa: PLC0415 (a guesser knows how it is made)

    return body + _checksum(body)


@pytest.fixture(scope="session")
def open_with(shop, client_of):
    """A client of an application on the shop's database, with settings that the test says."""

    @contextmanager
    def open_one(**settings):
        given = {"database_url": str(shop.engine.url), "key_pepper": PEPPER, "refresh_seconds": 60}
        with client_of(create_app(Settings(**given | settings))) as client:
            yield client

    return open_one


@pytest.fixture(scope="session")
def guarded(open_with):
    """A client of an application whose wrong keys are not counted: each is to be looked at."""
    with open_with(wrong_keys_per_minute=0) as client:
        yield client
