"""API3 (OWASP API Security, 2023): a field or a parameter that is none of the caller's is refused."""

import json

import pytest

from service.app import create_app
from service.settings import Settings
from tests.security.conftest import by_name, operations

DOCUMENT = create_app(Settings()).openapi()
FOREIGN = ("catalogue_revision", "actor", "scopes", "written_at", "is_admin", "__class__", "id_")


def media_type_of(operation):
    """What its body is of; None if it takes none."""
    described = DOCUMENT["paths"].get(operation.path, {}).get(operation.method.lower(), {})
    return next(iter(described.get("requestBody", {}).get("content", {})), None)


TAKES_NOTHING = {
    "/openapi.json": "the framework's own, and it takes nothing from anybody",
    "/counter": "the page is the same whatever its address holds; the page itself asks the API for that",
}
WITH_FIELDS = [o for o in operations() if (media_type_of(o) or "").endswith("json")]


@pytest.mark.parametrize("field", FOREIGN)
@pytest.mark.parametrize("operation", WITH_FIELDS, ids=by_name)
def test_a_field_that_the_body_does_not_have_is_refused_by_its_name(guarded, issued, operation, field):
    headers = {
        "Authorization": issued["admin"], "If-Match": "*", "Content-Type": media_type_of(operation),
    }  # fmt: skip
    before = guarded.get("/v1/snapshot").content
    body = json.dumps({field: 1})
    answer = guarded.request(operation.method, operation.filled, content=body, headers=headers)
    # The problem of a line of a batch stands in its result.
    problem = json.loads(answer.text.splitlines()[0])
    problem = problem.get("problem", problem)
    assert problem["status"] == 422
    assert f"#/{field}" in [fault.get("pointer") for fault in problem["errors"]]
    assert guarded.get("/v1/snapshot").content == before


@pytest.mark.parametrize("operation", operations(), ids=by_name)
def test_a_parameter_that_the_operation_does_not_have_is_refused(guarded, issued, operation):
    if operation.path in TAKES_NOTHING:
        pytest.skip(TAKES_NOTHING[operation.path])
    headers = {
        "Authorization": issued["admin"],
        "If-Match": "*",
        "Content-Type": media_type_of(operation) or "",
    }
    answer = guarded.request(
        operation.method, f"{operation.filled}?is_admin=true", content=b"{}", headers=headers
    )
    assert answer.status_code == 422


@pytest.mark.parametrize("method", ["PUT", "PATCH"])
@pytest.mark.parametrize(("table", "key"), [("axles", "sku"), ("frames", "code"), ("sleeves", "sku")])
def test_the_key_of_a_record_is_that_of_its_path(guarded, issued, method, table, key):
    existing = guarded.get(f"/v1/{table}").json()["items"][0]
    headers = {"Authorization": issued["admin"], "If-Match": "*", "Content-Type": "application/json"}
    path = f"/v1/{table}/{existing[key]}"
    answer = guarded.request(method, path, content=json.dumps(existing | {key: "STOLEN"}), headers=headers)
    assert answer.status_code == 422
    assert guarded.get(f"/v1/{table}/STOLEN").status_code == 404
