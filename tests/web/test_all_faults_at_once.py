"""A refusal tells every fault of the request, each at its place: query, header, body."""

import json
import tracemalloc

import pytest

JSON = {"Content-Type": "application/json"}


def places(answer):
    return [
        (kind, fault[kind])
        for fault in answer.json()["errors"]
        for kind in ("parameter", "header", "pointer")
        if kind in fault
    ]


def allowed_at(answer, place):
    """What is allowed at a place, of each fault that stands there."""
    return [fault["allowed"] for fault in answer.json()["errors"] if place in fault.values()]


def test_faults_of_the_query_and_of_the_body_are_told_together(client):
    body = b'{"outside_widht_mm": 36.4, "limit": 0, "limit": 500, "bore_mm": "12,5"}'
    answer = client.post("/v1/fits?weather=fine&weather=wet&limit=1", content=body, headers=JSON)
    assert answer.status_code == 422
    assert sorted(places(answer)) == [
        ("parameter", "limit"),
        ("parameter", "weather"),
        ("pointer", "#/bore_mm"),
        ("pointer", "#/limit"),  # it stands twice
        ("pointer", "#/limit"),  # and is too much
        ("pointer", "#/outside_widht_mm"),
    ]
    assert allowed_at(answer, "#/outside_widht_mm") == ["a known name; did you mean outside_width_mm?"]
    assert allowed_at(answer, "#/bore_mm") == ["a number with a decimal point: 12.5"]


@pytest.mark.parametrize(
    ("body", "pointers"),
    [
        (b'{"a": 1, "a": 2}', ["#/a"]),
        (b'{"a": {"b": 1, "b": 2}}', ["#/a/b"]),
        (b'{"a": [0, {"b": [{"c": 1, "c": 1}]}], "d": 1, "d": 2}', ["#/d", "#/a/1/b/0/c"]),
        (b'{"a": {"b": 1, "b": {"c": 1, "c": 2}}}', ["#/a/b", "#/a/b/c"]),
        (b'{"a/b~c": {"": 1, "": 2}}', ["#/a~1b~0c/"]),  # RFC 6901, 3 and 5
        (b'{"a b%": {"c": 1, "c": 2}}', ["#/a%20b%25/c"]),  # RFC 6901, 6
        ('{"ä": {"c": 1, "c": 2}}'.encode(), ["#/%C3%A4/c"]),
        (b'{"a": {"\\ud800": 1, "\\ud800": 2}}', ["#/a/?"]),
    ],
)
def test_a_repeated_name_is_told_at_its_depth(post_fits, body, pointers):
    faults = post_fits(body).json()["errors"]
    assert [fault["pointer"] for fault in faults if fault["allowed"] == "the name once"] == pointers


@pytest.mark.parametrize("depth", [300, 800])
def test_a_pointer_that_would_be_endless_ends_at_what_the_place_is_within(post_fits, depth):
    body = b'{"name":' * depth + b'{"a":1,"a":2}' + b"}" * depth
    answer = post_fits(body)
    pointer = answer.json()["errors"][0]["pointer"]
    assert pointer == "#" + "/name" * pointer.count("/")
    assert len(answer.content) < 2000


def test_a_name_longer_than_any_is_told_by_the_object_that_it_stands_in(post_fits):
    answer = post_fits({"outside_width_mm": 36.4, "x" * 5000: 1})
    (fault,) = answer.json()["errors"]
    assert (fault["pointer"], fault["found"]) == ("#", "x" * 79 + "…")


def test_many_objects_far_down_take_no_memory_without_measure(post_fits, problem_in):
    # 800 levels and 80,000 lists there: each with its path copied would be 80,000 × 800 × 8 bytes = 512 MB.
    body = b'{"a":1,"a":' + b"[" * 800 + b"[]," * 80_000 + b"1" + b"]" * 800 + b"}"
    tracemalloc.start()
    try:
        assert problem_in(post_fits(body))["errors"][0]["pointer"] == "#/a"
        assert tracemalloc.get_traced_memory()[1] < 100_000_000
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize(
    ("query", "parameter", "meant"),
    [
        ("outside_width=36.4", "outside_width", "outside_width_mm"),
        ("outsideWidthMm=36.4", "outsideWidthMm", "outside_width_mm"),
        ("OUTSIDE_WIDTH_MM=36.4", "OUTSIDE_WIDTH_MM", "outside_width_mm"),
        ("color=black&prefer_color=black", "prefer_color", "prefer_colour"),
        ("fastning=two_piece", "fastning", "fastening"),
        ("fastning=two_piece&fastning=two_piece", "fastning", "fastening"),
        ("thread=M8&thread=M6", "thread", "M8 or M6"),
        ("limit=5&limit=5", "limit", "5"),
        ("fastening=two-piece", "fastening", "two_piece"),
        ("fastening=Threaded_Wall", "fastening", "threaded_wall"),
        ("instrument=caliper", "instrument", "calliper"),
    ],
)
def test_what_was_probably_meant_is_said(get_fits, query, parameter, meant):
    (allowed,) = allowed_at(get_fits(query), parameter)
    assert allowed.endswith(f"; did you mean {meant}?")


def test_nothing_is_guessed_where_nothing_is_like_it(get_fits):
    assert allowed_at(get_fits("weather=fine"), "weather") == ["a known name"]


def test_a_repeated_parameter_that_is_needed_is_not_told_as_missing_too(client):
    answer = client.get("/v1/changes?since=1&since=2")
    assert places(answer) == [("parameter", "since")]


def test_a_repeated_parameter_hides_no_fault_of_others_together(get_fits):
    answer = get_fits("outside_width_mm=36.4&limit=5&limit=5&hole_offset_mm=1")
    assert places(answer) == [("parameter", "limit"), ("parameter", "hole_offset_mm")]


def test_no_more_than_a_hundred_faults_are_told(get_fits, post_fits):
    assert len(get_fits("&".join(f"n{i}=1" for i in range(900))).json()["errors"]) == 100
    assert len(post_fits({f"n{i}": 1 for i in range(900)}).json()["errors"]) == 100


def test_no_more_than_a_hundred_faults_are_told_of_query_and_body_together(client):
    names = [f"n{i}" for i in range(70)]
    answer = client.post("/v1/fits", params=dict.fromkeys(names, 1), json=dict.fromkeys(names, 1))
    assert len(answer.json()["errors"]) == 100


@pytest.mark.parametrize(
    ("headers", "name", "found"),
    [
        ({}, "Content-Type", None),
        ({"Content-Type": "text/plain"}, "Content-Type", "text/plain"),
        (
            {"Content-Type": "application/x-www-form-urlencoded"},
            "Content-Type",
            "application/x-www-form-urlencoded",
        ),
        ({"Content-Type": "application/jsonp"}, "Content-Type", "application/jsonp"),
        (JSON | {"Content-Encoding": "gzip"}, "Content-Encoding", "gzip"),
    ],
)
def test_a_lookup_of_another_media_type_is_refused(client, headers, name, found):
    # RFC 9110, 15.5.16: Accept and Accept-Encoding say what would have been taken.
    content = json.dumps({"outside_width_mm": 36.4}).encode()
    answer = client.post("/v1/fits", content=content, headers=headers)
    assert (answer.status_code, answer.json()["type"]) == (415, "/problems/unsupported-media-type")
    (fault,) = answer.json()["errors"]
    assert (fault["header"], fault.get("found")) == (name, found)
    told = {
        "Content-Type": ("accept", "application/json"),
        "Content-Encoding": ("accept-encoding", "identity"),
    }
    assert answer.headers[told[name][0]] == told[name][1]


@pytest.mark.parametrize(
    "media_type",
    ["application/json", "application/json; charset=utf-8", "Application/JSON", "application/json;"],
)
def test_json_is_taken_however_its_media_type_is_written(client, media_type):
    # RFC 9110, 8.3.1: type and subtype are case-insensitive.
    content = json.dumps({"outside_width_mm": 36.4}).encode()
    answer = client.post("/v1/fits", content=content, headers={"Content-Type": media_type})
    assert answer.status_code == 200


def test_what_is_not_json_is_told_by_line_and_column(post_fits, problem_in):
    assert "line 2, column 4" in problem_in(post_fits(b'{"a": 1,\n   }'))["detail"]
    assert "byte 8" in problem_in(post_fits(b'{"a": "\xff"}'))["detail"]
