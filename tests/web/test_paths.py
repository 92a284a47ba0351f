"""Paths that are there, paths that are not, and the state of the service."""

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from service.web.problems import install_problem_documents


@pytest.mark.parametrize(
    "path",
    [
        "/v1/axles/NOTHING",
        "/v1/axles/tw8-36-m8-bk",  # keys are told apart by case
        "/v1/axles/%00",
        "/v1/axles/%ED%A0%80",
        "/v1/axles/..%2F..%2Fetc",
        "/v1/frames/NOTHING",
        "/v1/frames/NOTHING/fits",
    ],
)
def test_a_key_that_the_catalogue_does_not_have_is_not_found(client, problem_in, path):
    assert problem_in(client.get(path))["status"] == 404


@pytest.mark.parametrize("path", ["/nothing", "/v1", "/v1/", "/v2/fits", "/v1/fits/", "/v1//fits", "/%00"])
def test_a_path_that_is_not_there_is_not_found(client, problem_in, path):
    assert problem_in(client.get(path))["status"] == 404


@pytest.mark.parametrize(
    ("method", "path"),
    [("DELETE", "/v1/fits"), ("PUT", "/v1/fits"), ("POST", "/v1/axles"), ("POST", "/health/live")],
)
def test_a_method_that_a_path_does_not_have_is_not_allowed(client, problem_in, method, path):
    response = client.request(method, path)
    assert problem_in(response)["status"] == 405
    assert "GET" in response.headers["allow"]


def test_the_process_is_live(client):
    response = client.get("/health/live")
    assert (response.status_code, response.json()["status"]) == (200, "live")


def test_the_service_is_ready_on_a_revision_of_the_catalogue(client, snapshot):
    response = client.get("/health/ready")
    assert response.status_code == 200
    answer = response.json()
    assert (answer["status"], answer["catalogue_revision"]) == ("ready", snapshot.revision)


def test_an_error_of_the_services_own_is_a_problem_that_tells_nothing_of_the_inside():
    app = FastAPI()
    install_problem_documents(app)

    @app.get("/broken")
    async def broken():
        raise RuntimeError("the secret of the inside")

    response = TestClient(app, raise_server_exceptions=False).get("/broken")
    assert response.status_code == 500
    assert response.headers["content-type"] == "application/problem+json"
    assert "secret" not in response.text


@pytest.mark.parametrize(
    ("method", "path", "allowed"),
    [
        ("DELETE", "/v1/fits", {"GET", "POST"}),
        ("POST", "/v1/axles/TW8-36-M8-BK", {"GET", "PUT", "PATCH", "DELETE"}),
        ("POST", "/v1/frames/NOTHING", {"GET", "PUT", "PATCH", "DELETE"}),
        ("GET", "/v1/imports", {"POST"}),
        ("POST", "/problems", {"GET"}),
    ],
)
def test_the_methods_of_a_path_are_told_whichever_route_has_them(client, problem_in, method, path, allowed):
    # RFC 9110, 15.5.6: Allow lists the methods that the resource supports.
    response = client.request(method, path)
    assert set(response.headers["allow"].split(", ")) >= allowed
    assert method not in response.headers["allow"].split(", ")
    (fault,) = problem_in(response)["errors"]
    assert (fault["found"], set(fault["allowed"].split(", ")) >= allowed) == (method, True)


@pytest.mark.parametrize(
    ("path", "like"), [("/v1/fit", "/v1/fits"), ("/v1/fits/", "/v1/fits"), ("/V1/axles", "/v1/axles")]
)
def test_the_path_that_was_probably_meant_is_said(client, problem_in, path, like):
    assert problem_in(client.get(path))["detail"].endswith(f"Did you mean {like}?")


@pytest.mark.parametrize("path", ["/health/live?now=1", "/health/ready?a=1&a=2", "/v1/snapshot?since=1"])
def test_a_path_without_parameters_refuses_any(client, problem_in, path):
    assert problem_in(client.get(path))["status"] == 422
