"""What tests of the web speak with: problem documents, and lookups in both forms."""

import http.client
import json
import socket
from typing import NamedTuple

import pytest
from fastapi import FastAPI
from fastapi.responses import StreamingResponse

from service.web.problems import install_problem_documents

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


@pytest.fixture
def answering():
    """Makes an application whose only path raises an error, at once or with its answer begun."""

    def make(error, *, begun=False):
        app = FastAPI()
        install_problem_documents(app)

        async def parts():
            yield b"half of it"
            raise error

        @app.get("/")
        async def fail():
            if begun:
                return StreamingResponse(parts())
            raise error

        return app

    return make


@pytest.fixture
def exchange(served):
    """Sends bytes as they are; what comes back, to its end or to the end of the first answer."""

    def send(octets):
        with socket.create_connection(("127.0.0.1", served), timeout=10) as connection:
            connection.sendall(octets)
            answer = http.client.HTTPResponse(connection)
            first = connection.recv(12, socket.MSG_PEEK)
            answer.begin()
            body = answer.read()
        return Exchanged(first.decode(), answer.status, dict(answer.getheaders()), body)

    return send


class Exchanged(NamedTuple):
    """An answer, and the beginning of its first line, which is not this answer's after a 100."""

    first: str
    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def problem(self):
        """The problem document; anything else is a failure."""
        assert self.headers["content-type"] == PROBLEM_JSON, self.body
        problem = json.loads(self.body)
        assert problem["status"] == self.status
        return problem
