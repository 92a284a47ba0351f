"""A body that cannot be answered is refused by a JSON pointer into it, or as no JSON object at all."""

import pytest


@pytest.mark.parametrize(
    ("body", "pointer", "allowed"),
    [
        ({}, "#/outside_width_mm", "the width over both walls"),
        ({"outside_width_mm": -1}, "#/outside_width_mm", "greater than 0"),
        ({"outside_width_mm": "12,5"}, "#/outside_width_mm", "a number with a decimal point: 12.5"),
        ({"outside_width_mm": True}, "#/outside_width_mm", "a number"),
        ({"outside_width_mm": {"value": 36.4}}, "#/outside_width_mm", "a number"),
        ({"outside_width_mm": [36.4, "x"]}, "#/outside_width_mm/1", "a number"),
        ({"outside_width_mm": [36.4, None]}, "#/outside_width_mm/1", "a number"),
        ({"outside_width_mm": []}, "#/outside_width_mm", "at least 1"),
        ({"outside_width_mm": 2**63}, "#/outside_width_mm", ""),
        ({"outside_width_mm": -(2**63) - 1}, "#/outside_width_mm", ""),
        ({"outside_width_mm": 10**400}, "#/outside_width_mm", ""),
        ({"outside_width_mm": 36.4, "limit": 2**63}, "#/limit", "at most 100"),
        ({"outside_width_mm": 36.4, "limit": 10**400}, "#/limit", ""),
        ({"outside_width_mm": 36.4, "limit": "ten"}, "#/limit", "whole number"),
        ({"outside_width_mm": 36.4, "limit": None}, "#/limit", "whole number"),
        ({"outside_width_mm": 36.4, "recess_mm": [1, 2]}, "#/recess_mm", "a number"),
        ({"outside_width_mm": 36.4, "thread": "\ud800"}, "#/thread", "text"),
        ({"outside_width_mm": 36.4, "keyed_profile": "\udfff"}, "#/keyed_profile", "text"),
        ({"outside_width_mm": 36.4, "fastening": "\ud800"}, "#/fastening", ""),
        ({"outside_width_mm": "\ud800"}, "#/outside_width_mm", "a number"),
        ({"outside_width_mm": 36.4, "keyed_profile": "larch\0"}, "#/keyed_profile", "a lower-case word"),
        ({"outside_width_mm": 36.4, "thread": 8}, "#/thread", "text"),
        ({"outside_width_mm": 36.4, "child": "perhaps"}, "#/child", "true or false"),
        ({"outside_width_mm": 36.4, "weather": "fine"}, "#/weather", "a known name"),
        ({"outside_width_mm": 36.4, "bore": 8}, "#/bore", "did you mean bore_mm?"),
        ({"outside_width_mm": 36.4, "a/b~c": 1}, "#/a~1b~0c", "a known name"),
        ({"outside_width_mm": 36.4, "\0": 1}, "#/%00", "a known name"),
        ({"outside_width_mm": 36.4, "hole_offset_mm": 1}, "#/hole_offset_mm", "holes=oval"),
        ({"outside_width_mm": 36.4, "cursor": "junk"}, "#/cursor", "next_cursor"),
    ],
    ids=lambda value: None if isinstance(value, dict) else value.encode("unicode_escape").decode(),
)
def test_a_body_is_refused_by_pointer(post_fits, problem_in, body, pointer, allowed):
    (fault,) = problem_in(post_fits(body))["errors"]
    assert fault["pointer"] == pointer
    assert allowed in fault["allowed"]


@pytest.mark.parametrize("number", ["1e999", "-1e999"])
def test_a_number_too_great_for_any_computer_is_refused_by_pointer(post_fits, fields_of, number):
    assert fields_of(post_fits(b'{"outside_width_mm": %s}' % number.encode())) == ["#/outside_width_mm"]


def test_a_name_that_stands_twice_is_refused_by_pointer(post_fits, problem_in):
    (fault,) = problem_in(post_fits(b'{"outside_width_mm": 36.4, "outside_width_mm": 30}'))["errors"]
    assert (fault["pointer"], fault["allowed"]) == ("#/outside_width_mm", "the name once")


def test_all_faults_of_a_body_are_told_at_once(post_fits, fields_of):
    body = {"outside_width_mm": [36.4, -1], "limit": 0, "weather": "fine"}
    assert sorted(fields_of(post_fits(body))) == ["#/limit", "#/outside_width_mm/1", "#/weather"]


@pytest.mark.parametrize(
    "body",
    [
        pytest.param(b"", id="nothing"),
        pytest.param(b" ", id="a space"),
        pytest.param(b"outside_width_mm=36.4", id="a form"),
        pytest.param(b'{"outside_width_mm": 36.4', id="no end"),
        pytest.param(b'{"outside_width_mm": 36.4} {}', id="more than one"),
        pytest.param(b"{'outside_width_mm': 36.4}", id="other quotes"),
        pytest.param(b'{"outside_width_mm": 36.4,}', id="a comma too many"),
        pytest.param(b'{"outside_width_mm": 036.4}', id="a leading zero"),
        pytest.param(b'{"outside_width_mm": 36,4}', id="a decimal comma"),
        pytest.param(b'{"limit": %s}' % (b"9" * 5000), id="a number of 5000 digits"),
        pytest.param(b"[36.4]", id="a list"),
        pytest.param(b'"36.4"', id="a string"),
        pytest.param(b"36.4", id="a number"),
        pytest.param(b"null", id="null"),
        pytest.param(b'{"thread": "M8\xff"}', id="not UTF-8"),
        pytest.param('{"thread": "ü"}'.encode("latin-1"), id="Latin-1"),
        pytest.param(b"\x00" * 64, id="zeros"),
        pytest.param(b"[" * 100_000, id="lists in lists without an end"),
        pytest.param(b'{"a":' * 40_000 + b"1" + b"}" * 40_000, id="objects in objects"),
    ],
)
def test_what_is_not_one_json_object_is_refused(post_fits, problem_in, body):
    assert problem_in(post_fits(body))["status"] == 400


@pytest.mark.parametrize("depth", [2, 50, 300])
def test_lists_in_lists_are_refused_by_pointer(post_fits, fields_of, depth):
    nested = b"[" * depth + b"36.4" + b"]" * depth
    assert fields_of(post_fits(b'{"outside_width_mm": %s}' % nested)) == ["#/outside_width_mm/0"]


def test_a_byte_order_mark_before_the_body_does_no_harm(post_fits):
    # RFC 8259, 8.1: a parser may ignore it rather than treat it as an error.
    marked = post_fits(b'\xef\xbb\xbf{"outside_width_mm": 36.4}')
    assert marked.content == post_fits({"outside_width_mm": 36.4}).content


def test_a_single_reading_is_pointed_at_as_it_was_sent(post_fits, fields_of):
    # RFC 6901, 4: a pointer that does not lead to a value of the document is an error.
    assert fields_of(post_fits({"outside_width_mm": -1})) == ["#/outside_width_mm"]
    assert fields_of(post_fits({"outside_width_mm": [-1]})) == ["#/outside_width_mm/0"]
