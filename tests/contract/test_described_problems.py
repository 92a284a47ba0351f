"""The OpenAPI document names every status that an operation can answer with, each by the shared response."""

import pytest

from service.app import create_app
from service.settings import Settings
from service.web.problem_kinds import problem_kinds

DOCUMENT = create_app(Settings()).openapi()
OPERATIONS = [
    pytest.param(operation, id=f"{method} {path}")
    for path, operations in DOCUMENT["paths"].items()
    for method, operation in operations.items()
]
each_operation = pytest.mark.parametrize("operation", OPERATIONS)
STATUSES = {kind.status for kind in problem_kinds()}


def references_in(value):
    """All references in a part of the document."""
    if isinstance(value, dict):
        if isinstance(value.get("$ref"), str):
            yield value["$ref"]
        for inner in value.values():
            yield from references_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from references_in(inner)


def resolved(reference):
    found = DOCUMENT
    for step in reference.removeprefix("#/").split("/"):
        found = found[step]
    return found


def test_every_reference_leads_somewhere():
    references = set(references_in(DOCUMENT))
    assert "#/components/schemas/Problem" in references
    assert all(resolved(reference) for reference in references)


def test_no_response_is_described_in_vain():
    used = set(references_in(DOCUMENT["paths"]))
    assert {f"#/components/responses/{name}" for name in DOCUMENT["components"]["responses"]} <= used


@each_operation
def test_every_refusal_of_an_operation_is_the_shared_problem_of_its_status(operation):
    for status, response in operation["responses"].items():
        if int(status) < 400:
            continue
        assert int(status) in STATUSES
        assert response["$ref"] == f"#/components/responses/Problem{status}"
        assert resolved(response["$ref"])["content"] == {
            "application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}
        }


@each_operation
def test_an_operation_names_what_any_request_can_be_answered_with(operation):
    # 400 no HTTP, 413 to 431 too large, 422 a parameter that it does not have, 500 an error of our own.
    assert {"400", "413", "414", "422", "431", "500"} <= set(operation["responses"])


def test_an_operation_that_reads_a_body_names_the_media_type_and_one_that_writes_the_key():
    for operations in DOCUMENT["paths"].values():
        for operation in operations.values():
            assert ("415" in operation["responses"]) == ("requestBody" in operation)
            assert ("401" in operation["responses"]) == ("security" in operation)


@pytest.mark.parametrize("table", ["axles/{sku}", "frames/{code}", "sleeves/{sku}"])
def test_a_write_of_a_record_names_the_answers_that_it_gives(table):
    operations = DOCUMENT["paths"][f"/v1/{table}"]
    succeeding = {
        method: sorted(status for status in operations[method]["responses"] if status < "300")
        for method in ("put", "patch", "delete")
    }
    assert succeeding == {"put": ["200", "201"], "patch": ["200"], "delete": ["204"]}
    assert {"401", "403", "412", "428", "503"} <= set(operations["put"]["responses"])


def test_what_a_status_means_is_told_by_the_types_that_it_can_be():
    described = DOCUMENT["components"]["responses"]["Problem503"]
    for kind in problem_kinds():
        assert kind.status != 503 or f"`/problems/{kind.code}`" in described["description"]
    assert "Retry-After" in described["headers"]


def test_who_is_to_wait_is_told_how_long():
    # RFC 9110, 10.2.3.
    assert all(int(kind.headers["Retry-After"]) > 0 for kind in problem_kinds() if kind.status == 503)
