"""A line that is written directly is the line that the formatter writes."""

import io
import json
import logging
import re

import pytest

from service.web.logs import JsonLines, Lines, OfRequest, TextLines, direct_lines
from service.web.tracing import trace_of, within

FIELDS = {"method": "GET", "route": "/v1/fits", "status": 200, "duration_ms": 0.125, "bytes": 44_002}
MESSAGE = "GET /v1/fits 200"
MOMENT = 1_764_103_183.789
"""2025-11-25T20:39:43.789Z: 20,417 days after 1970-01-01, and 74,383.789 s."""
LOG = logging.getLogger("axlefit.access")


@pytest.fixture
def lines():
    """A handler on a stream of the test's own."""
    made = Lines(io.StringIO())
    made.setFormatter(JsonLines())
    made.addFilter(OfRequest())
    return made


@pytest.fixture
def make_alone(monkeypatch, lines):
    """Makes the handler the only one that there is; within the test, which has handlers of its own."""

    def make():
        monkeypatch.setattr(logging.root, "handlers", [lines])
        return lines

    return make


@pytest.mark.parametrize("request_id", [b"order-7", b'a"b\\c', b"<&>'/"])
@pytest.mark.parametrize("more", [{}, {"key_id": "k-1"}, {"status": None}])
def test_a_line_is_the_same_either_way(lines, monkeypatch, request_id, more):
    monkeypatch.setattr("time.time", lambda: MOMENT)
    with within(trace_of([(b"x-request-id", request_id)])):
        lines.write(LOG.name, MESSAGE, FIELDS | more)
        record = LOG.makeRecord(LOG.name, logging.INFO, "", 0, MESSAGE, (), None, extra=FIELDS | more)
        lines.handle(record)
    direct, formatted = lines.stream.getvalue().splitlines()
    assert direct == formatted
    assert json.loads(direct)["request_id"] == request_id.decode()
    assert json.loads(direct)["time"] == "2025-11-25T20:39:43.789Z"


def test_a_line_outside_of_a_request_has_none(lines):
    lines.write(LOG.name, MESSAGE, FIELDS)
    line = json.loads(lines.stream.getvalue())
    assert not {"request_id", "trace_id", "span_id"} & line.keys()
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", line["time"])


def test_each_second_has_its_own_time(lines, monkeypatch):
    for moment in (MOMENT, MOMENT + 1, MOMENT - 1):
        monkeypatch.setattr("time.time", lambda moment=moment: moment)
        lines.write(LOG.name, MESSAGE, FIELDS)
    seconds = [json.loads(line)["time"][17:19] for line in lines.stream.getvalue().splitlines()]
    assert seconds == ["43", "44", "42"]


def test_lines_are_direct_where_they_go_to_our_handler_alone(make_alone):
    assert make_alone() is direct_lines(LOG)


def test_lines_go_through_the_library_where_somebody_else_listens_too(make_alone, monkeypatch):
    alone = make_alone()
    for logger in (logging.root, LOG, logging.getLogger("axlefit")):
        with monkeypatch.context() as changed:
            changed.setattr(logger, "handlers", [*logger.handlers, logging.NullHandler()])
            assert direct_lines(LOG) is None
        assert direct_lines(LOG) is alone


def test_lines_that_are_not_handed_on_are_not_written_directly(make_alone, monkeypatch):
    make_alone()
    monkeypatch.setattr(LOG, "propagate", False)
    assert direct_lines(LOG) is None


def test_lines_for_people_go_through_the_library(make_alone):
    make_alone().setFormatter(TextLines())
    assert direct_lines(LOG) is None
