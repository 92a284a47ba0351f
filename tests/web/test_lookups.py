"""A lookup over HTTP: the same answer however it is asked for."""

import json
from urllib.parse import unquote_plus

import pytest

LOOKUPS = [
    {"outside_width_mm": 36.4},
    {
        "outside_width_mm": [36.38, 36.41, 36.41],
        "far_wall_mm": 6,
        "thread": "M8x1.25",
        "bore_mm": 8,
        "fastening": "threaded_wall",
    },
    {
        "inside_width_mm": 24.5,
        "head_wall_mm": 4.5,
        "far_wall_mm": 4.5,
        "keyed_profile": "larch",
        "child": True,
    },
    {"outside_width_mm": 34, "bore_mm": [5.98, 6.02], "instrument": "ruler", "limit": 100, "near_misses": 20},
    {"outside_width_mm": 90, "in_stock": True, "prefer_colour": "black"},
]


def as_parameters(fields):
    """The fields as query parameters; true and false as JSON writes them."""
    return {name: json.dumps(value) if isinstance(value, bool) else value for name, value in fields.items()}


@pytest.mark.parametrize("fields", LOOKUPS, ids="-".join)
def test_query_and_body_give_the_same_bytes(client, post_fits, fields):
    got = client.get("/v1/fits", params=as_parameters(fields))
    posted = post_fits(fields)
    assert got.status_code == posted.status_code == 200
    assert got.content == posted.content


@pytest.mark.parametrize("fields", LOOKUPS, ids="-".join)
def test_the_same_request_gives_the_same_bytes(client, fields):
    first, second = (client.get("/v1/fits", params=as_parameters(fields)) for _ in range(2))
    assert first.status_code == 200
    assert first.content == second.content


def test_the_order_of_the_fields_does_not_matter(get_fits):
    one = get_fits("outside_width_mm=36.4&bore_mm=8&thread=M8x1.25")
    other = get_fits("thread=M8x1.25&bore_mm=8&outside_width_mm=36.4")
    assert one.content == other.content


@pytest.mark.parametrize("written", ["36.4", "36.40", "+36.4", "036.4", "%2036.4"])
def test_a_number_is_the_same_however_it_is_written(get_fits, written):
    # A plus in a query is a space.
    assert get_fits(f"outside_width_mm={written}").content == get_fits("outside_width_mm=36.4").content


@pytest.mark.parametrize(
    "written", ["35.9918", "35.9918mm", "1.417in", "1.417%20in", "1.417+in", "1417/1000in"]
)
def test_a_length_may_be_sent_with_its_unit(get_fits, post_fits, written):
    in_mm = post_fits({"outside_width_mm": 35.9918})  # 1.417 × 25.4
    assert get_fits(f"outside_width_mm={written}").content == in_mm.content
    assert post_fits({"outside_width_mm": [unquote_plus(written)]}).content == in_mm.content


def test_a_measured_field_may_be_repeated_as_readings(get_fits):
    answer = get_fits("outside_width_mm=36.3&outside_width_mm=36.4&outside_width_mm=36.5")
    assert answer.status_code == 200
    # s = 0.1, u = √(0.1²/3 + 0.05²/3) = 0.0645
    assert answer.json()["frame"]["outside_width_mm"] == {"value": 36.4, "standard_uncertainty": 0.065}


def test_an_answer_is_json_with_the_fields_of_the_contract(get_fits):
    answer = get_fits("outside_width_mm=36.4&far_wall_mm=6&thread=M8x1.25&fastening=threaded_wall&bore_mm=8")
    assert answer.headers["content-type"] == "application/json"
    found = answer.json()
    assert set(found) >= {
        "catalogue_revision", "frame", "fits", "near_misses", "ask_next", "cautions", "counts",
    }  # fmt: skip
    assert set(found["fits"][0]) >= {
        "rank", "verdict", "fit_probability", "width_window_mm", "ideal_width_mm", "axle", "reasons",
        "also_needed", "tool",
    }  # fmt: skip
    assert set(found["near_misses"][0]) >= {"axle", "reasons", "would_fit_if"}
    assert set(found["counts"]) >= {"considered", "fits", "fits_with_caution", "check_first", "no_fit"}
    assert set(found["fits"][0]["reasons"][0]) >= {"check", "outcome", "text", "source"}


def test_a_price_is_a_decimal_string_with_its_currency(client):
    axle = client.get("/v1/axles/TW8-36-M8-BK").json()
    assert (axle["price"], axle["currency"]) == ("2.40", "EUR")


def test_pages_follow_one_another_by_cursor(get_fits):
    first = get_fits("outside_width_mm=36.4&limit=3").json()
    second = get_fits(f"outside_width_mm=36.4&limit=3&cursor={first['next_cursor']}").json()
    assert [fit["rank"] for fit in first["fits"] + second["fits"]] == [1, 2, 3, 4, 5, 6]


def test_a_cursor_got_by_query_goes_on_in_a_body(get_fits, post_fits):
    cursor = get_fits("outside_width_mm=36.4&limit=3").json()["next_cursor"]
    page = post_fits({"outside_width_mm": 36.4, "limit": 3, "cursor": cursor}).json()
    assert [fit["rank"] for fit in page["fits"]] == [4, 5, 6]


def test_a_known_frame_gives_the_answer_of_its_measures(client, post_fits):
    # Heather: 37.3 mm over walls of 6.5 mm, as its maker declares.
    measures = {
        "fastening": "threaded_wall",
        "bore_mm": 8,
        "holes": "round",
        "outside_width_mm": 37.3,
        "inside_width_mm": 24.3,
        "head_wall_mm": 6.5,
        "far_wall_mm": 6.5,
        "thread": "M8x1.25",
        "instrument": "declared",
    }
    known, measured = client.get("/v1/frames/QH-HEATHER/fits").json(), post_fits(measures).json()
    assert known.pop("links")["first"] == "/v1/frames/QH-HEATHER/fits"
    assert measured.pop("links")["first"].startswith("/v1/fits?")
    assert known == measured


def test_a_parts_link_leads_from_a_fit_to_its_part(client, get_fits):
    (fit,) = get_fits("outside_width_mm=36.4&limit=1").json()["fits"]
    assert client.get(f"/v1/axles/{fit['axle']['sku']}").json() == fit["axle"]
