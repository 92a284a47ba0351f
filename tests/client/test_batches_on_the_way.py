"""Batches in parts, each verified by its last line, against a server that makes and breaks them."""

import hashlib
import itertools
import json

import pytest
from axlefit_client import AnswerError
from axlefit_client.batch import parts
from axlefit_client.schemas import LookupRequest

NDJSON = {"content-type": "application/x-ndjson"}
PROBLEM = {
    "type": "/problems/invalid-request",
    "title": "Invalid request",
    "status": 422,
    "detail": "See width.",
}


def result(line, number):
    """A result of one line that the service would give: every width below zero is refused."""
    assert line["outside_width_mm"] < 0, "this server answers with problems only"
    return {"id": line["id"], "line": number, "status": 422, "problem": PROBLEM}


def body_for(request):
    lines = [json.loads(line) for line in request["body"].splitlines()]
    return b"".join(json.dumps(result(line, n)).encode() + b"\n" for n, line in enumerate(lines, start=1))


def end_of(body, **changes):
    count = body.count(b"\n")
    end = {"count": count, "answered": 0, "refused": count, "catalogue_revision": 1}
    return json.dumps(end | {"sha256": hashlib.sha256(body).hexdigest()} | changes).encode() + b"\n"


def whole(request):
    body = body_for(request)
    return 200, NDJSON, body + end_of(body)


@pytest.fixture
def shop(connect, server):
    return connect(server.url, patience=5)


def lookups(count, start=0):
    return ((f"n{n}", {"outside_width_mm": -1}) for n in range(start, count))


def test_results_come_in_order_with_the_callers_identifiers(shop, server):
    server.answers += [whole] * 3
    results = list(shop.batch(lookups(250)))
    assert [found.id for found in results] == [f"n{n}" for n in range(250)]
    assert {found.problem.title for found in results} == {"Invalid request"}
    assert [request["target"] for request in server.asked] == ["/v1/fits/batch"] * 3
    assert {request["headers"]["content-type"] for request in server.asked} == {"application/x-ndjson"}


def test_lookups_are_taken_and_sent_only_as_results_are_used(shop, server):
    taken = []
    endless = ((taken.append(n) or n, {"outside_width_mm": -1}) for n in itertools.count())
    server.answers += [whole] * 2
    results = iter(shop.batch(endless))
    assert len(taken) == 0
    assert [next(results).id for _ in range(100)] == list(range(100))
    assert len(server.asked) == 1
    assert len(taken) <= 101  # one is looked ahead at
    assert next(results).id == 100
    assert len(server.asked) == 2


def test_a_lookup_is_a_model_or_its_fields_and_only_what_was_set_is_sent():
    model = LookupRequest(outside_width_mm=(36.4, 36.5), child=True)
    (part,) = parts([("a", model), (2, {"outside_width_mm": "1.417in", "thread": None})])
    assert [json.loads(line) for line in part.lines] == [
        {"id": "a", "outside_width_mm": [36.4, 36.5], "child": True},
        {"id": 2, "outside_width_mm": "1.417in"},
    ]


def test_a_part_is_no_larger_than_a_server_takes_before_it_answers():
    readings = [36.4] * 100
    some = [(n, {"outside_width_mm": readings}) for n in range(1000)]
    sizes = [len(part.content) for part in parts(some)]
    assert max(sizes) <= 64 * 1024
    assert sum(len(part.lines) for part in parts(some)) == 1000
    # One line that is longer alone has a part of its own.
    long = {"thread": "M" * 70_000}
    assert [len(part.lines) for part in parts([(1, {}), (2, long), (3, {}), (4, {})])] == [1, 1, 2]


def test_no_lookups_are_no_request(shop, server):
    assert list(shop.batch([])) == []
    assert server.asked == []


def altered(request):
    body = body_for(request)
    return 200, NDJSON, body.replace(b"See width", b"See words") + end_of(body)


def without_end(request):
    return 200, NDJSON, body_for(request)


def without_one(request):
    body = body_for(request).split(b"\n", 1)[1]
    return 200, NDJSON, body + end_of(body)


def counted_wrongly(request):
    body = body_for(request)
    return 200, NDJSON, body + end_of(body, count=body.count(b"\n") + 1)


def nothing(_request):
    return 200, NDJSON, b""


def end_cut_off(request):
    body = body_for(request)
    return 200, NDJSON, body + end_of(body)[:20]


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        (altered, "digest"),
        (without_end, "last line is missing"),
        (end_cut_off, "last line is missing"),
        (nothing, "last line is missing"),
        (without_one, "1 results for 2 lookups"),
        (counted_wrongly, "2 results for 2 lookups"),
    ],
)
def test_a_batch_that_is_not_whole_gives_no_result(shop, server, answer, told):
    server.answers += [answer]
    results = iter(shop.batch(lookups(2)))
    with pytest.raises(AnswerError, match=told):
        next(results)


def test_a_part_whose_answer_breaks_off_is_sent_again_and_nothing_is_given_twice(shop, server):
    server.answers += [whole, (200, NDJSON, None), whole]
    results = list(shop.batch(lookups(150)))
    assert [found.id for found in results] == [f"n{n}" for n in range(150)]
    assert server.asked[1]["body"] == server.asked[2]["body"]
