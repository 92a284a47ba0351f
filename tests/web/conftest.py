"""What tests of the web speak with: problem documents, and lookups in both forms."""

import json

import pytest

PROBLEM_JSON = "application/problem+json"


@pytest.fixture
def get_fits(client):
    """A lookup whose query is written as it goes over the wire."""
    return lambda query: client.get(f"/v1/fits?{query}")


@pytest.fixture
def post_fits(client):
    """A lookup whose body is the bytes, or the JSON of what is given."""

    def post(body):
        content = body if isinstance(body, bytes) else json.dumps(body).encode()
        return client.post("/v1/fits", content=content, headers={"Content-Type": "application/json"})

    return post


@pytest.fixture
def problem_in():
    """The problem document that a response is; anything else is a failure."""

    def read(response):
        assert 400 <= response.status_code < 500, response.text
        assert response.headers["content-type"] == PROBLEM_JSON
        problem = response.json()
        assert problem["status"] == response.status_code
        assert problem["title"]
        assert problem["detail"]
        assert problem["type"] == "about:blank" or problem["type"].startswith("/problems/")
        return problem

    return read


@pytest.fixture
def fields_of(problem_in):
    """The fields that a refused request is told of: parameters by name, fields of a body by pointer."""

    def read(response):
        faults = problem_in(response)["errors"]
        assert all(fault["allowed"] for fault in faults)
        return [fault.get("parameter") or fault["pointer"] for fault in faults]

    return read
