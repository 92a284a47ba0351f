"""The description of the API that is kept in the repository is that of the application."""

import json
from pathlib import Path

import pytest

from service.__main__ import main
from service.app import create_app
from service.settings import Settings
from service.web.document import document_text

KEPT = Path(__file__).resolve().parents[2] / "deploy/openapi.json"
COMMAND = "python -m service openapi deploy/openapi.json"
DOCUMENT = create_app(Settings()).openapi()
OPERATIONS = [
    pytest.param(operation, id=f"{method} {path}")
    for path, operations in DOCUMENT["paths"].items()
    for method, operation in operations.items()
]
each_operation = pytest.mark.parametrize("operation", OPERATIONS)


def test_the_kept_document_changes_only_on_purpose():
    made = document_text(create_app(Settings()))
    assert KEPT.read_text(encoding="utf-8") == made, f"if the API is meant to change: {COMMAND}"


def test_the_command_writes_what_the_service_tells(tmp_path, capsys, client):
    assert main(["openapi", str(tmp_path / "made.json")]) == 0
    assert json.loads((tmp_path / "made.json").read_text()) == client.get("/openapi.json").json()
    assert main(["openapi"]) == 0
    assert capsys.readouterr().out == (tmp_path / "made.json").read_text()


def test_the_document_does_not_hang_on_the_settings(tmp_path):
    others = Settings(database_url=f"sqlite:///{tmp_path}/o.sqlite3", limit_per_minute=5, batch_max_lines=3)
    assert document_text(create_app(others)) == document_text(create_app(Settings()))


def test_what_is_asked_for_twice_is_the_same():
    app = create_app(Settings())
    assert document_text(app) == document_text(app)


def test_operations_have_names_of_their_own():
    names = [operation.values[0]["operationId"] for operation in OPERATIONS]
    assert len(set(names)) == len(names)


def test_a_bound_has_its_name_of_json_schema():
    # JSON Schema 2020-12, validation, 6.2: minimum, not ge.
    assert '"ge":' not in json.dumps(DOCUMENT)
    assert '"le":' not in json.dumps(DOCUMENT)
    parameters = {p["name"]: p for p in DOCUMENT["paths"]["/v1/fits"]["get"]["parameters"]}
    assert parameters["rider_mass_kg"]["schema"]["minimum"] == 10
    assert parameters["rider_mass_kg"]["schema"]["maximum"] == 250


@each_operation
def test_an_operation_that_can_answer_304_takes_the_tag_and_gives_it(operation):
    # RFC 9110, 13.1.2 and 15.4.5.
    taken = {parameter["name"] for parameter in operation.get("parameters", [])}
    conditional = "304" in operation["responses"]
    assert conditional == ("ETag" in operation["responses"].get("304", {}).get("headers", {}))
    assert not conditional or (
        "If-None-Match" in taken and "ETag" in operation["responses"]["200"]["headers"]
    )


@each_operation
def test_an_operation_with_a_precondition_takes_it(operation):
    taken = {parameter["name"] for parameter in operation.get("parameters", [])}
    assert ("If-Match" in taken) == ("428" in operation["responses"])


def test_who_is_over_the_limit_is_told_when_to_come_back():
    # RFC 6585, 4.
    assert "Retry-After" in DOCUMENT["components"]["responses"]["Problem429"]["headers"]


def test_a_page_tells_its_links():
    paged = [
        operation.values[0]["operationId"]
        for operation in OPERATIONS
        if "Link" in operation.values[0]["responses"].get("200", {}).get("headers", {})
    ]
    assert {"get_fits", "post_fits", "get_axles", "get_frames", "get_sleeves", "get_frame_fits"} <= set(paged)
