"""What the stories have in common: a shop with the demonstration catalogue, and who speaks with it."""

import json
import time

import pytest

from service.partners.keys import Scope, issue_key
from service.settings import Settings

PEPPER = Settings().key_pepper.get_secret_value()
LOOK = 0.02
"""Seconds between two looks at the revision [s], where a story waits for one."""
PATIENCE_S = 20.0


class Shop:
    """The started application, and a key of the shop's own; headers are named as Python can."""

    def __init__(self, client, database):
        self.client = client
        self.database = database
        self.key = self.issue("Shop")

    def issue(self, name):
        """Issue a key that may write the catalogue."""
        return issue_key(self.database, name=name, scopes=frozenset({Scope.CATALOGUE}), pepper=PEPPER)

    def ask(self, path, *, status=200, headers=None, **parameters):
        """The answer to a question, which has the status that the story expects."""
        answer = self.client.get(path, params=parameters or None, headers=headers)
        assert answer.status_code == status, answer.text
        return answer

    def get(self, path, **parameters):
        """What a question is answered with."""
        return self.ask(path, **parameters).json()

    def patch(self, path, change, *, key=None, **headers):
        """Change some fields of a record with a key (RFC 7396)."""
        given = {"authorization": f"Bearer {key or self.key}", "content-type": "application/merge-patch+json"}
        given |= {name.replace("_", "-"): value for name, value in headers.items()}
        return self.client.patch(path, content=json.dumps(change), headers=given)

    def load(self, text, *, query="table=axles", **headers):
        """Send a file of a table."""
        given = {"authorization": f"Bearer {self.key}", "content-type": "text/csv"}
        given |= {name.replace("_", "-"): value for name, value in headers.items()}
        return self.client.post(f"/v1/imports?{query}", content=text.encode(), headers=given)


@pytest.fixture
def open_shop(start_client, demonstration_copy, demonstration):
    """Opens the shop with settings that the story says."""
    return lambda **settings: Shop(start_client(demonstration_copy, **settings), demonstration)


@pytest.fixture
def shop(open_shop):
    """The shop as it is set by default."""
    return open_shop()


@pytest.fixture
def wait_until():
    """Waits for what comes in a moment."""

    def wait(condition):
        deadline = time.monotonic() + PATIENCE_S
        while not condition():
            assert time.monotonic() < deadline
            time.sleep(LOOK / 2)

    return wait


@pytest.fixture
def problem_in():
    """The problem document of a refusal (RFC 9457), whose status and type the story expects."""

    def read(answer, status, name):
        assert answer.status_code == status, answer.text
        assert answer.headers["content-type"] == "application/problem+json"
        problem = answer.json()
        assert (problem["status"], problem["type"]) == (status, f"/problems/{name}")
        return problem

    return read


@pytest.fixture
def measured():
    """A frame measured with a calliper: tapped wall of 6 mm, for axles of 8 mm with M8x1.25."""
    return {
        "fastening": "threaded_wall",
        "outside_width_mm": 36.4,
        "far_wall_mm": 6,
        "bore_mm": 8,
        "thread": "M8x1.25",
    }
