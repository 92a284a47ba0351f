"""Requests that nobody sends by mistake, and some that one does."""

import time

import pytest


def test_a_name_that_is_a_lone_surrogate_and_stands_twice_is_refused(post_fits, problem_in):
    problem_in(post_fits(b'{"\\ud800": 1, "\\ud800": 2}'))


@pytest.mark.parametrize("depth", [400, 900])
def test_deep_lists_are_refused_by_pointer(post_fits, fields_of, depth):
    body = b'{"outside_width_mm": 36.4, "weather": %s}' % (b"[" * depth + b"1" + b"]" * depth)
    assert fields_of(post_fits(body)) == ["#/weather"]


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-32"])
def test_a_body_in_another_encoding_than_utf_8_is_refused(post_fits, problem_in, encoding):
    problem_in(post_fits('{"outside_width_mm": 36.4}'.encode(encoding)))


def test_a_field_that_does_not_go_with_others_is_told_with_what_was_found(get_fits, problem_in):
    (fault,) = problem_in(get_fits("outside_width_mm=36.4&hole_offset_mm=1"))["errors"]
    assert fault["found"] == "1"


@pytest.mark.parametrize("value", [True, 5.5, "5.0", [5]])
def test_a_limit_that_is_no_whole_number_is_refused(post_fits, fields_of, value):
    assert fields_of(post_fits({"outside_width_mm": 36.4, "limit": value})) == ["#/limit"]


@pytest.mark.parametrize("limit", ["1_0", "1.0", "%2B1"])
def test_a_limit_in_another_form_is_refused(get_fits, fields_of, limit):
    assert fields_of(get_fits(f"outside_width_mm=36.4&limit={limit}")) == ["limit"]


@pytest.mark.parametrize("value", [b"NaN", b"Infinity", b"-Infinity", b"1e999"])
def test_a_number_that_json_or_a_frame_does_not_have_is_told_with_its_field(post_fits, fields_of, value):
    assert fields_of(post_fits(b'{"outside_width_mm": %s}' % value)) == ["#/outside_width_mm"]


def test_many_names_are_refused_in_the_time_that_few_are(post_fits, problem_in):
    names = b",".join(b'"n%d":1' % i for i in range(20_000))
    began = time.process_time()  # others may be busy on the machine
    problem_in(post_fits(b'{%s,"n1":1}' % names))
    assert time.process_time() - began < 1


def test_a_parameter_that_a_path_does_not_have_is_refused(client, fields_of):
    assert fields_of(client.get("/v1/axles/TW8-36-M8-BK?weather=fine")) == ["weather"]
    assert fields_of(client.post("/v1/fits?weather=fine", json={"outside_width_mm": 36.4})) == ["weather"]


def test_a_long_name_is_shown_short(post_fits):
    assert len(post_fits({"outside_width_mm": 36.4, "x" * 100_000: 1}).content) < 2000
