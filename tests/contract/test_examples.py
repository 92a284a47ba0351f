"""The examples of the OpenAPI document, sent to the service, are answered as the document says."""

import json

import pytest
from jsonschema import Draft202012Validator

from service.app import create_app
from service.partners.keys import Scope, issue_key
from service.settings import Settings

DOCUMENT = create_app(Settings()).openapi()
OPERATIONS = [
    pytest.param(path, method, operation, id=operation["operationId"])
    for path, operations in DOCUMENT["paths"].items()
    for method, operation in operations.items()
]
each_operation = pytest.mark.parametrize(("path", "method", "operation"), OPERATIONS)
WITHOUT_EXAMPLE = {"cursor"}  # an answer gives it, for the same request


def faults_of(value, schema):
    # OpenAPI 3.1, 4.8.24: a schema is one of JSON Schema 2020-12; its references begin at the document.
    within = schema | {"components": DOCUMENT["components"]}
    return [error.message for error in Draft202012Validator(within).iter_errors(value)]


def parameters_of(operation, place):
    return {
        parameter["name"]: parameter["example"]
        for parameter in operation.get("parameters", [])
        if parameter["in"] == place and "example" in parameter
    }


def in_query(values):
    """As a query has them: true and false in lower case, a list repeated."""
    return {
        name: [json.dumps(one) if isinstance(one, bool) else one for one in value]
        if isinstance(value, list)
        else json.dumps(value)
        if isinstance(value, bool)
        else value
        for name, value in values.items()
    }


def body_of(operation):
    """The example's media type and its bytes."""
    if "requestBody" not in operation:
        return {}, None
    ((media_type, described),) = operation["requestBody"]["content"].items()
    example = described["example"]
    return {"Content-Type": media_type}, example if isinstance(example, str) else json.dumps(example)


@pytest.fixture
def writer(demonstration, demonstration_copy, start_client):
    """A client on a copy of the demonstration catalogue, with a key that may write."""
    pepper = Settings().key_pepper.get_secret_value()
    key = issue_key(demonstration, name="Quillhaven", scopes=frozenset({Scope.CATALOGUE}), pepper=pepper)
    client = start_client(demonstration_copy)
    client.headers["Authorization"] = f"Bearer {key}"
    return client


@each_operation
def test_the_example_of_an_operation_is_answered_as_the_document_says(path, method, operation, writer):
    media_type, body = body_of(operation)
    answer = writer.request(
        method,
        path.format(**parameters_of(operation, "path")),
        params=in_query(parameters_of(operation, "query")),
        headers=parameters_of(operation, "header") | media_type,
        content=body,
    )
    assert answer.is_success, answer.text
    described = operation["responses"][str(answer.status_code)]
    assert [name for name in described.get("headers", {}) if name not in answer.headers] == []
    if answer.status_code == 204:
        assert "content" not in described
        return
    sent = answer.headers["Content-Type"].partition(";")[0]
    value = answer.json() if sent == "application/json" else answer.text
    assert value
    assert faults_of(value, described["content"][sent]["schema"]) == []


@each_operation
def test_every_parameter_and_body_has_an_example(path, method, operation):
    bare = [
        parameter["name"]
        for parameter in operation.get("parameters", [])
        if "example" not in parameter
        and "default" not in parameter["schema"]
        and not {"examples", "enum"} & set(parameter["schema"])
        and parameter["name"] not in WITHOUT_EXAMPLE
    ]
    assert bare == []
    required = {parameter["name"] for parameter in operation.get("parameters", []) if parameter["required"]}
    shown = {name for place in ("path", "query", "header") for name in parameters_of(operation, place)}
    assert required <= shown
    assert all(
        "example" in content for content in operation.get("requestBody", {}).get("content", {}).values()
    )


@each_operation
def test_every_example_is_of_the_schema_that_it_stands_beside(path, method, operation):
    for parameter in operation.get("parameters", []):
        values = parameter["schema"].get("examples", [])
        values = [*values, parameter["example"]] if "example" in parameter else values
        assert [faults_of(value, parameter["schema"]) for value in values] == [[]] * len(values)
    for content in operation.get("requestBody", {}).get("content", {}).values():
        assert faults_of(content["example"], content["schema"]) == []


def test_the_example_of_the_lookup_finds_axles(client):
    operation = DOCUMENT["paths"]["/v1/fits"]["get"]
    answer = client.get("/v1/fits", params=in_query(parameters_of(operation, "query")))
    assert answer.json()["fits"]


def test_each_line_of_the_examples_of_lines_is_answered(writer):
    media_type, body = body_of(DOCUMENT["paths"]["/v1/fits/batch"]["post"])
    lines = writer.post("/v1/fits/batch", content=body, headers=media_type).text.splitlines()
    assert len(lines) == len(body.splitlines()) + 1
    assert json.loads(lines[0])["status"] == 200


def test_a_schema_with_a_fault_is_found():
    assert faults_of({"catalogue_revision": "one"}, {"$ref": "#/components/schemas/AxleListResponse"})
