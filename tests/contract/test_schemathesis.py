"""Whatever the API's description allows, and much that it does not, is answered as it says."""

import json
import math
import os
from collections import Counter

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis.checks import not_a_server_error
from schemathesis.generation import GenerationMode
from schemathesis.python.asgi import shutdown_lifespans
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from service.app import create_app
from service.partners.keys import Scope, issue_key
from service.settings import Settings

WANTED = int(os.environ.get("SCHEMATHESIS_CASES", "2000"))
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
]
NDJSON = "application/x-ndjson"
VALUES = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20)
OBJECTS = st.dictionaries(st.text(max_size=10), VALUES, max_size=3)
LOOKUPS = st.fixed_dictionaries(
    {"id": st.integers() | st.text(max_size=5), "outside_width_mm": st.floats(1, 100)},
    optional={"bore_mm": st.sampled_from([8, 6.3, 6]), "limit": st.integers(0, 5)},
)
# Of a body of lines the document says that it is text: here the lines are mostly objects and lookups.
LINES = st.lists((LOOKUPS | OBJECTS | VALUES).map(json.dumps) | st.text(max_size=20), max_size=5)


@pytest.fixture
def api(demonstration, demonstration_copy):
    """The description that the service gives of itself, of a copy of the demonstration catalogue."""
    pepper = Settings().key_pepper.get_secret_value()
    key = issue_key(demonstration, name="Quillhaven", scopes=frozenset({Scope.CATALOGUE}), pepper=pepper)
    app = create_app(Settings(database_url=f"sqlite:///{demonstration_copy}", refresh_seconds=60))
    schemathesis.openapi.media_type(NDJSON, LINES.map("\n".join).map(str.encode))
    yield schemathesis.openapi.from_asgi("/openapi.json", app), {"Authorization": f"Bearer {key}"}
    shutdown_lifespans()


def near_the_example(operation):
    """Cases that differ from the operation's example in a few fields: most of the others are refused."""
    raw = operation.definition.raw
    shown = {place: {} for place in ("path", "query", "header")}
    for parameter in raw.get("parameters", []):
        if "example" in parameter:
            shown[parameter["in"]][parameter["name"]] = as_text(parameter["example"])
    bodies = [content["example"] for content in raw.get("requestBody", {}).get("content", {}).values()]

    def near(case, number):
        others = {name: value for name, value in (case.query or {}).items() if name != "cursor"}
        case.path_parameters = shown["path"]
        case.query = shown["query"] | some_of(others, number)
        case.headers = shown["header"] | ({"If-Match": "*"} if "If-Match" in shown["header"] else {})
        if isinstance(case.body, dict):
            case.body = bodies[0] | some_of(case.body, number)
        elif bodies and number == 0:
            case.body = bodies[0]
        return case

    return st.builds(near, operation.as_strategy(), st.integers(0, 3))


def as_text(value):
    """As a query has it; the words of JSON, not of Python."""
    if isinstance(value, list):
        return [as_text(one) for one in value]
    return json.dumps(value) if isinstance(value, bool) else value


def some_of(values, number):
    return dict(list(values.items())[:number])


def strategies_of(operation):
    yield near_the_example(operation)
    yield operation.as_strategy(generation_mode=GenerationMode.POSITIVE)
    if varies(operation):
        yield operation.as_strategy(generation_mode=GenerationMode.NEGATIVE)


def varies(operation):
    """Whether a request can differ from another one; headers of any text cannot be wrong."""
    raw = operation.definition.raw
    return "requestBody" in raw or any(p["in"] != "header" for p in raw.get("parameters", []))


def send_cases(operation, strategy, most, key):
    """The statuses of the answers to so many cases; fewer where there are no more."""
    statuses = Counter()

    @settings(
        max_examples=most,
        derandomize=True,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=strategy)
    def send(case):
        answer = case.call(headers=key)
        statuses[answer.status_code] += 1
        case.validate_response(answer, checks=CHECKS)

    send()
    return statuses


def test_thousands_of_cases_over_all_operations_are_answered_as_described(api):
    schema, key = api
    operations = [found.ok() for found in schema.get_all_operations()]
    operations.sort(key=lambda operation: operation.method == "delete")  # what is removed answers no more
    most = math.ceil(WANTED / sum(map(varies, operations)) / 3)
    answered = {
        operation.label: sum(
            (send_cases(operation, strategy, most, key) for strategy in strategies_of(operation)), Counter()
        )
        for operation in operations
    }
    assert sum(statuses.total() for statuses in answered.values()) >= WANTED
    # An operation that only ever refuses would have shown nothing of its answers.
    assert [label for label, statuses in answered.items() if min(statuses) >= 300] == []
