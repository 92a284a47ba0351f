"""What `serve` writes to its log: one JSON object a line, and nothing that a caller sent."""

import json
import re
import sqlite3

import pytest

from service.partners.keys import Scope, issue_key
from service.settings import Settings
from tests.commands.serving import Served

MARK = "Zwieback"
"""A word that stands in everything that is sent, and must stand in no line."""
TRACE_ID = "4bf92f3577b34da6a3ce929d0e0e4736"
AXLE = {"name": MARK, "fastening": "two_piece", "colour": "black", "stock": 3}
REQUEST_ID = "X-Request-Id"


@pytest.fixture
def key(demonstration):
    pepper = Settings().key_pepper.get_secret_value()
    return issue_key(demonstration, name="Till", scopes=frozenset({Scope.CATALOGUE}), pepper=pepper)


@pytest.fixture
def url(demonstration_copy):
    """A shop whose database refuses one axle, so that a write of it meets an error nobody expects."""
    with sqlite3.connect(demonstration_copy) as connection:
        connection.execute(
            "CREATE TRIGGER refuse BEFORE INSERT ON axle WHEN NEW.sku = 'T-500'"
            " BEGIN SELECT RAISE(ABORT, 'not this one'); END"
        )
    connection.close()
    return f"sqlite:///{demonstration_copy}"


def send_everything(served, key):
    """A request of each kind, the word in every place where something can be sent; the statuses."""
    bearer = {"Authorization": f"Bearer {key}", "Content_Type": "application/json", "If_None_Match": "*"}
    body = json.dumps(AXLE).encode()
    sent = [
        ("GET", f"/v1/fits?outside_width_mm=36.4&api_key={MARK}", None, {}),
        ("GET", f"/v1/axles/{MARK}", None, {}),
        ("GET", f"/{MARK}", None, {"Cookie": MARK, "Referer": f"http://shop.invalid/{MARK}"}),
        ("POST", "/v1/fits", f'{{"thread": "{MARK}"}}'.encode(), {"Content_Type": "application/json"}),
        ("POST", "/v1/fits", MARK.encode(), {"Content_Type": "application/json"}),
        ("PUT", "/v1/axles/T-1", body, bearer),
        ("PUT", "/v1/axles/T-2", body, bearer | {"Authorization": f"Bearer {MARK}"}),
        ("PUT", "/v1/axles/T-500", body, bearer),
        (
            "POST",
            "/v1/imports?table=axles",
            f"sku,name,fastening\nT-3,{MARK},{MARK}\n".encode(),
            bearer | {"Content_Type": "text/csv", "Idempotency_Key": MARK},
        ),
    ]
    return [served.send(method, path, data, **headers)[0] for method, path, data, headers in sent]


def test_every_line_is_json_and_none_has_anything_that_was_sent(url, key):
    served = Served(url)
    statuses = send_everything(served, key)
    lines = served.end()
    assert statuses == [422, 404, 404, 422, 400, 201, 401, 500, 422]
    records = [json.loads(line) for line in lines]
    assert all(set(record) >= {"time", "level", "logger", "message"} for record in records)
    assert [record for record in records if "color_message" in record] == []  # the server's, for terminals
    secret = key.split("_")[2]
    assert [line for line in lines if MARK in line or secret in line or key in line] == []
    answers = [record for record in records if record["logger"] == "axlefit.access"]
    assert [record["status"] for record in answers if record["route"] != "/health/ready"] == statuses


def test_the_line_of_an_answer_says_what_it_was_and_whose_without_what_was_asked(url, key):
    served = Served(url)
    asked = {"X_Request_Id": "order-7", "traceparent": f"00-{TRACE_ID}-00f067aa0ba902b7-01"}
    bearer = {"Authorization": f"Bearer {key}", "Content_Type": "application/json", "If_None_Match": "*"}
    status, headers = served.send("PUT", "/v1/axles/T-1", json.dumps(AXLE).encode(), **bearer, **asked)
    lines = served.end()
    (line,) = [record for record in map(json.loads, lines) if record.get("method") == "PUT"]
    assert (line["route"], line["status"], line["level"]) == ("/v1/axles/{sku}", status, "INFO")
    assert line["request_id"] == headers[REQUEST_ID] == "order-7"
    assert line["trace_id"] == TRACE_ID
    assert headers["traceparent"].split("-")[1:3] == [TRACE_ID, line["span_id"]]
    assert line["bytes"] == int(headers["Content-Length"]) > 0
    assert 0 < line["duration_ms"] < 20_000
    assert line["key_id"] == key.split("_")[1]
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", line["time"])  # RFC 3339, in UTC


def test_an_error_that_nobody_expected_is_logged_once_with_its_place_and_its_request(url, key):
    served = Served(url)
    bearer = {"Authorization": f"Bearer {key}", "Content_Type": "application/json", "If_None_Match": "*"}
    served.send("PUT", "/v1/axles/T-500", json.dumps(AXLE).encode(), **bearer, X_Request_Id="order-8")
    (error,) = [record for record in map(json.loads, served.end()) if record["level"] == "ERROR"]
    assert error["request_id"] == "order-8"
    assert "sqlite3.IntegrityError" in error["exc_info"]
    assert "not this one" not in error["exc_info"]  # what the message says may be of what was sent
    assert "service/catalogue/repository.py" in error["exc_info"].replace("\\", "/")


def test_the_text_form_has_the_same_for_people(url, key):
    served = Served(url, log_format="text")
    statuses = send_everything(served, key)
    lines = served.end()
    assert [line for line in lines if MARK in line or key.split("_")[2] in line] == []
    answers = [line for line in lines if " axlefit.access " in line and "/health/" not in line]
    assert len(answers) == len(statuses)
    assert re.search(
        r"PUT /v1/axles/\{sku\} 201 request_id=\S+ trace_id=[0-9a-f]{32} [\d.]+ ms \d+ bytes$", answers[5]
    )


def test_what_is_less_than_the_level_is_not_logged(url):
    served = Served(url, log_level="error")
    served.send("GET", "/health/live")
    assert served.end() == []
