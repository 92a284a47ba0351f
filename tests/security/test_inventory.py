"""API9 (OWASP API Security, 2023): nothing answers that the description does not list."""

import re

import pytest

from service import API_VERSION
from tests.security.conftest import by_name, operations

ROOTS = re.compile(r"/(v1/|health/|metrics$|problems|openapi\.json$)")


def test_every_operation_is_in_the_description_but_for_pages_and_the_description(guarded):
    described = {
        (method.upper(), path)
        for path, methods in guarded.get("/openapi.json").json()["paths"].items()
        for method in methods
    }
    beside = {(o.method, o.path) for o in operations()} - described
    for method, path in beside:
        assert method == "GET"
        kind = guarded.get(path.replace("{name}", "cursor")).headers["content-type"]
        assert path == "/openapi.json" or not kind.startswith("application/json"), path
    assert described <= {(o.method, o.path) for o in operations()}


@pytest.mark.parametrize("operation", operations(), ids=by_name)
def test_an_operation_of_the_api_is_of_a_version(guarded, operation):
    assert guarded.get("/openapi.json").json()["info"]["version"] == API_VERSION
    answer = guarded.get(operation.filled)
    if answer.is_success and "json" in answer.headers.get("content-type", ""):
        assert ROOTS.match(operation.path)


@pytest.mark.parametrize(
    "path", ["/docs", "/redoc", "/admin", "/debug", "/v0/fits", "/v2/fits", "/.env", "/.git"]
)
def test_nothing_else_is_there(guarded, path):
    assert guarded.get(path).status_code == 404
