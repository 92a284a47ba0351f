"""A trace and a request identifier stand in every answer, and those that a caller sends are kept."""

import asyncio
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.web.tracing import Tracing, current_trace, trace_of

# The example of W3C Trace Context level 1, 3.2.
TRACE_ID = "4bf92f3577b34da6a3ce929d0e0e4736"
PARENT_ID = "00f067aa0ba902b7"
TRACEPARENT = f"00-{TRACE_ID}-{PARENT_ID}-01"
FORM = re.compile(r"00-([0-9a-f]{32})-([0-9a-f]{16})-(0[01])")
LOOKUP = "/v1/fits?outside_width_mm=36.4&bore_mm=8"


def trace_id_for(*traceparents):
    return trace_of([(b"traceparent", value.encode("latin-1")) for value in traceparents]).trace_id


def test_a_trace_goes_on_with_a_span_of_ours_and_the_callers_decision_to_record_it():
    trace = trace_of([(b"traceparent", TRACEPARENT.encode())])
    found = FORM.fullmatch(trace.traceparent)
    assert found[1] == TRACE_ID
    assert found[2] != PARENT_ID
    assert found[3] == "01"


@pytest.mark.parametrize("flags", ["00", "02", "fe"])  # 3.2.2.5.1: the least bit alone says it
def test_a_trace_that_the_caller_does_not_record_is_not_said_to_be_recorded(flags):
    trace = trace_of([(b"traceparent", f"00-{TRACE_ID}-{PARENT_ID}-{flags}".encode())])
    assert trace.trace_id == TRACE_ID
    assert FORM.fullmatch(trace.traceparent)[3] == "00"


def test_flags_that_version_00_does_not_know_are_not_handed_on():
    # 3.2.2.5: the other flags are reserved, and a vendor sets them to zero.
    trace = trace_of([(b"traceparent", f"00-{TRACE_ID}-{PARENT_ID}-ff".encode())])
    assert FORM.fullmatch(trace.traceparent)[3] == "01"


@pytest.mark.parametrize(
    "traceparent",
    [
        f"cc-{TRACE_ID}-{PARENT_ID}-01",
        f"cc-{TRACE_ID}-{PARENT_ID}-01-what-the-future-will-be-like",
    ],
)
def test_of_a_later_version_what_is_known_is_taken(traceparent):  # 3.2.4
    assert trace_id_for(traceparent) == TRACE_ID


@pytest.mark.parametrize(
    "traceparent",
    [
        "",
        "nonsense",
        f"ff-{TRACE_ID}-{PARENT_ID}-01",  # 3.2.2.1: version ff is invalid
        f"00-{'0' * 32}-{PARENT_ID}-01",  # 3.2.2.3
        f"00-{TRACE_ID}-{'0' * 16}-01",  # 3.2.2.4
        TRACEPARENT.upper(),  # 3.2.2.2: lower case
        f"00-{TRACE_ID[:-1]}-{PARENT_ID}-01",
        f"00-{TRACE_ID}0-{PARENT_ID}-01",
        f"00-{TRACE_ID}-{PARENT_ID[:-1]}-01",
        f"00-{TRACE_ID}-{PARENT_ID}-1",
        f"00-{TRACE_ID}-{PARENT_ID}",
        f"{TRACEPARENT}-more",  # version 00 has no more
        f"{TRACEPARENT} ",
        f"{TRACEPARENT}\n",
        f"cc-{TRACE_ID}-{PARENT_ID}-01.more",
        f"00_{TRACE_ID}_{PARENT_ID}_01",
        TRACEPARENT.replace("4b", "4g"),
    ],
    ids=ascii,
)
def test_an_invalid_traceparent_begins_a_new_trace(traceparent):
    trace = trace_of([(b"traceparent", traceparent.encode("latin-1"))])
    found = FORM.fullmatch(trace.traceparent)
    assert found[1] != TRACE_ID
    assert found[3] == "00"


def test_two_traceparents_are_none():
    assert trace_id_for(TRACEPARENT, TRACEPARENT) != TRACE_ID


@given(value=st.binary(max_size=80))
def test_whatever_is_sent_as_traceparent_the_answers_is_valid(value):
    assert FORM.fullmatch(trace_of([(b"traceparent", value)]).traceparent)


def test_each_request_has_a_trace_a_span_and_an_identifier_of_its_own():
    traces = [trace_of([]) for _ in range(50)]
    assert len({trace.trace_id for trace in traces}) == 50
    assert len({trace.span_id for trace in traces}) == 50
    assert len({trace.request_id for trace in traces}) == 50


@pytest.mark.parametrize("value", ["a", "!~", "order-7/42", "x" * 128])
def test_the_callers_request_identifier_is_kept(value):
    assert trace_of([(b"x-request-id", value.encode())]).request_id == value


@pytest.mark.parametrize(
    "value", [b"", b" ", b"a b", b"\x7f", b"x" * 129, "ä".encode(), b"a\nb", b"a\n"], ids=ascii
)
def test_what_is_not_1_to_128_visible_ascii_characters_is_replaced(value):
    made = trace_of([(b"x-request-id", value)]).request_id
    assert re.fullmatch(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", made)  # RFC 9562, 4


def test_two_request_identifiers_are_none():
    assert trace_of([(b"x-request-id", b"one"), (b"x-request-id", b"two")]).request_id not in {"one", "two"}


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", LOOKUP, 200),
        ("HEAD", LOOKUP, 200),
        ("GET", "/v1/fits?unknown=1", 422),
        ("GET", "/nowhere", 404),
        ("DELETE", "/v1/fits", 405),
        ("POST", "/v1/fits", 415),
        ("PUT", "/v1/axles/A-1", 401),
        ("GET", "/metrics", 200),
        ("GET", "/health/live", 200),
        ("GET", "/v1/snapshot", 200),
        ("GET", "/openapi.json", 200),
    ],
)
def test_every_answer_says_which_request_it_is_of(client, method, path, status):
    sent = {"traceparent": TRACEPARENT, "X-Request-Id": "order-7"}
    answer = client.request(method, path, headers=sent)
    assert answer.status_code == status
    assert answer.headers.get_list("x-request-id") == ["order-7"]
    (parent,) = answer.headers.get_list("traceparent")
    assert FORM.fullmatch(parent)[1] == TRACE_ID


@pytest.fixture
def broken(start_client, demonstration_copy):
    """A client of a service in which a fault of its own is waiting."""
    client = start_client(demonstration_copy)

    async def fail():
        raise RuntimeError("axf_secret")

    client.app.add_api_route("/v1/broken", fail)
    return client


def test_an_error_that_nobody_expected_says_which_request_it_is_of(broken):
    answer = broken.get("/v1/broken", headers={"traceparent": TRACEPARENT, "X-Request-Id": "order-7"})
    assert answer.status_code == 500
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.headers["x-request-id"] == "order-7"
    assert FORM.fullmatch(answer.headers["traceparent"])[1] == TRACE_ID
    assert "axf_secret" not in answer.text


def test_a_request_has_its_trace_and_no_other_one_while_it_is_answered(start_client, demonstration_copy):
    client = start_client(demonstration_copy)
    seen = []

    def look():  # in a thread
        seen.append(current_trace().request_id)

    client.app.add_api_route("/v1/look", look)
    for name in ("one", "two"):
        client.get("/v1/look", headers={"X-Request-Id": name})
    assert seen == ["one", "two"]


def test_the_trace_ends_with_the_request_whatever_came_of_it():
    seen = []

    async def fail(_scope, _receive, _send):
        seen.append(current_trace().request_id)
        raise ZeroDivisionError

    async def ask():
        scope = {"type": "http", "headers": [(b"x-request-id", b"one")]}
        with pytest.raises(ZeroDivisionError):
            await Tracing(fail)(scope, None, None)
        return current_trace()

    assert asyncio.run(ask()) is None
    assert seen == ["one"]
