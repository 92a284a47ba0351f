"""Whatever a stranger sends, the service answers it or refuses it, and never breaks."""

import json
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.browse import AxleListRequest
from schemas.codes import FasteningCode, InstrumentCode, MaterialCode, PositionCode
from schemas.lookup import FrameLookupRequest, LookupRequest

NAMES = st.sampled_from(sorted(LookupRequest.model_fields))
NUMBERS = (
    st.integers() | st.floats() | st.sampled_from([0.0, -0.0, 36.4, 8, 6.3, 1e-300, 1e308, 2**63, 10**400])
)
PLAUSIBLE = st.sampled_from(
    [
        "36.4",
        "12,5",
        "8",
        "true",
        "M8x1.25",
        "threaded_wall",
        "oval",
        "brake",
        "none",
        "larch",
        "ruler",
        "5",
        "",
    ]
)
VALUES = st.recursive(
    st.none() | st.booleans() | NUMBERS | st.text() | PLAUSIBLE,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=6,
)
GOOD_WIDTH = st.sampled_from([{}, {"outside_width_mm": 36.4}])


def assert_answered_or_refused(response):
    assert response.status_code < 500
    kind = "json" if response.status_code == 200 else "problem+json"
    assert response.headers["content-type"] == f"application/{kind}"


@settings(max_examples=60)
@given(st.lists(st.tuples(NAMES | st.text(), PLAUSIBLE | st.text() | NUMBERS.map(str)), max_size=6))
def test_any_query_of_names_and_values_is_answered_or_refused(client, pairs):
    assert_answered_or_refused(client.get("/v1/fits", params=pairs))


@given(st.binary(max_size=60))
def test_any_query_of_bytes_is_answered_or_refused(client, octets):
    assert_answered_or_refused(client.get("/v1/fits?" + "".join(f"%{octet:02x}" for octet in octets)))


@given(st.text(st.characters(min_codepoint=33, max_codepoint=126, exclude_characters="#"), max_size=60))
def test_any_query_of_signs_is_answered_or_refused(client, signs):
    assert_answered_or_refused(client.get("/v1/fits?" + signs))


@settings(max_examples=80)
@given(
    st.fixed_dictionaries(
        {"outside_width_mm": st.floats(0, 200, exclude_min=True)},
        optional={
            "fastening": st.sampled_from(get_args(FasteningCode)),
            "inside_width_mm": st.floats(1, 60),
            "head_wall_mm": st.floats(1, 12),
            "far_wall_mm": st.floats(0.01, 200),
            "bore_mm": st.floats(0.01, 200) | st.lists(st.floats(5, 9), min_size=1, max_size=5),
            "recess_mm": st.floats(0, 200),
            "thread": st.sampled_from(["M8x1.25", "M8x1", "M5"]),
            "keyed_profile": st.sampled_from(["none", "larch", "oak"]),
            "keys_needed": st.integers(1, 2),
            "position": st.sampled_from(get_args(PositionCode)),
            "wall_material": st.sampled_from(get_args(MaterialCode)),
            "instrument": st.sampled_from(get_args(InstrumentCode)),
            "rider_mass_kg": st.floats(10, 250),
            "child": st.booleans(),
            "hub_width_mm": st.floats(0.01, 200),
        },
    )
)
def test_any_frame_that_can_be_is_answered(client, fields):
    response = client.post("/v1/fits", json=fields)
    if response.status_code != 200:
        # Walls and inside width may leave no width for the rest; that is for the caller to put right.
        (fault,) = response.json()["errors"]
        assert fault["pointer"] == "#/outside_width_mm"


@settings(max_examples=120)
@given(GOOD_WIDTH, st.dictionaries(NAMES | st.text(), VALUES, max_size=5))
def test_any_object_is_answered_or_refused(client, width, fields):
    body = json.dumps(width | fields).encode()
    assert_answered_or_refused(
        client.post("/v1/fits", content=body, headers={"Content-Type": "application/json"})
    )


@settings(max_examples=60)
@given(VALUES)
def test_any_json_is_answered_or_refused(client, value):
    assert_answered_or_refused(
        client.post(
            "/v1/fits", content=json.dumps(value).encode(), headers={"Content-Type": "application/json"}
        )
    )


@given(st.binary() | st.text().map(str.encode))
def test_any_body_is_answered_or_refused(client, body):
    assert_answered_or_refused(
        client.post("/v1/fits", content=body, headers={"Content-Type": "application/json"})
    )


@pytest.mark.parametrize(
    ("path", "model"),
    [("/v1/axles", AxleListRequest), ("/v1/frames/QH-COLTSFOOT/fits", FrameLookupRequest)],
)
def test_any_query_of_another_path_is_answered_or_refused(client, path, model):
    names = st.sampled_from(sorted(model.model_fields))

    @settings(max_examples=30)
    @given(st.lists(st.tuples(names, PLAUSIBLE | st.text() | NUMBERS.map(str)), max_size=4))
    def holds(pairs):
        assert_answered_or_refused(client.get(path, params=pairs))

    holds()


@settings(max_examples=40)
@given(st.text(min_size=1))
def test_any_key_is_found_or_said_to_be_missing(client, key):
    written = "".join(f"%{octet:02x}" for octet in key.encode())
    for table in ("axles", "frames"):
        assert_answered_or_refused(client.get(f"/v1/{table}/{written}"))
