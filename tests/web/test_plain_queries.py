"""What is read without the schema is what the schema makes of it; all else is left to the schema."""

from urllib.parse import urlencode

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.requests import Request

from schemas.lookup import LookupRequest
from service.errors import InvalidRequestError
from service.web.decoding import from_query
from service.web.plain_queries import plain_lookup

WIDTH = "outside_width_mm=36.4"
NUMBERS = [
    "0",
    "0.0",
    "36",
    "36.4",
    "036.40",
    "200",
    "200.0",
    "200.000000001",
    "9.99",
    "10",
    "250",
    "251",
    "1e1",
    "-1",
    "+1",
]
READINGS = [*NUMBERS, "36,4", "36.4mm", " 36.4", "1 3/8in", "", "nan", "36.", ".5", "1_0", "٣", "0.0000001"]
VALUES = {
    "fastening": ["threaded_wall", "two_piece", "bolt_and_nut", "glue", ""],
    "instrument": ["calliper", "ruler", "tape", "declared", "eye"],
    "wall_material": ["aluminium_6061_t6", "steel_8_8", "wood"],
    "thread": ["M8", "M8x1.25", "M8X1", "M8 x 1", "M8×1.25", "M", "m8", "M8x1.25000000000", "M8x"],
    "brake_thread": ["M6x1", "M6", "6"],
    "holes": ["round", "oval", "square"],
    "keyed_profile": ["none", "larch", "Larch", "a" * 32, "a" * 33, "9a"],
    "position": ["any", "brake", "all"],
    "prefer_drive": ["hexagon_4", "slot", "cross_h2", "hexagon_0", "hexagon_123"],
    "prefer_colour": ["black", "Black", "dark blue"],
    "child": ["true", "false", "True", "1", "yes", "2", ""],
    "in_stock": ["true", "false", "on", "maybe"],
    "keys_needed": ["0", "1", "2", "3", "01", "1.0"],
    "limit": ["0", "1", "100", "101", "010", "+1", "1_0", "1000"],
    "near_misses": ["0", "20", "21", "-0", "-1"],
    "cursor": ["WzEwXQ.abc", "", "a" * 256, "a" * 257, "a b"],
    **dict.fromkeys(("rider_mass_kg", "recess_mm", "hub_width_mm", "hole_offset_mm"), NUMBERS),
    **dict.fromkeys(
        ("outside_width_mm", "inside_width_mm", "head_wall_mm", "far_wall_mm", "bore_mm"), READINGS
    ),
    "weather": ["fine"],
}
PAIRS = st.sampled_from(sorted(VALUES)).flatmap(
    lambda name: st.tuples(st.just(name), st.sampled_from(VALUES[name]))
)
ASKED = st.lists(PAIRS, max_size=6).map(lambda pairs: [("outside_width_mm", "36.4"), *pairs])


def read_by_schema(query):
    """What the ordinary decoder makes of a query; None for a fault."""
    reading = from_query(LookupRequest)(Request({"type": "http", "query_string": query, "headers": []}))
    try:
        reading.send(None)
    except StopIteration as ended:
        return ended.value
    except InvalidRequestError:
        return None
    raise AssertionError


def same(one, other):
    """Whether two requests are equal, also in what is dumped of them, and in which order."""
    return (
        one == other
        and one.model_fields_set == other.model_fields_set
        and one.model_dump_json(exclude_defaults=True) == other.model_dump_json(exclude_defaults=True)
        and one.model_dump_json() == other.model_dump_json()
        and {name: type(value) for name, value in one} == {name: type(value) for name, value in other}
    )


@settings(max_examples=1500)
@given(ASKED, st.booleans())
def test_what_is_read_plainly_is_what_the_schema_reads(pairs, escaped):
    query = (urlencode(pairs) if escaped else "&".join(map("=".join, pairs))).encode("utf-8", "replace")
    plain = plain_lookup(query)
    assert plain is None or same(plain, read_by_schema(query))


@given(st.binary(max_size=40))
def test_whatever_bytes_come_nothing_is_read_that_the_schema_refuses(octets):
    query = WIDTH.encode() + b"&" + octets
    plain = plain_lookup(query)
    assert plain is None or same(plain, read_by_schema(query))


@pytest.mark.parametrize("name", LookupRequest.model_fields)
def test_each_field_of_a_lookup_is_read_plainly(name):
    others = {"hole_offset_mm": "&holes=oval", "brake_thread": "&position=brake"}
    width = "" if name == "outside_width_mm" else f"&{WIDTH}"
    read = [
        plain_lookup(f"{name}={value}{others.get(name, '')}{width}".encode())
        for value in VALUES[name]
        if value.isascii() and value.replace(".", "").replace("_", "").isalnum()
    ]
    assert any(request is not None and name in request.model_fields_set for request in read)


@pytest.mark.parametrize(
    "query",
    [
        "",
        "bore_mm=8",
        "inside_width_mm=24&head_wall_mm=6",
        f"{WIDTH}&hole_offset_mm=1",
        f"{WIDTH}&holes=round&hole_offset_mm=1",
        f"{WIDTH}&brake_thread=M6",
        f"{WIDTH}&limit=1&limit=1",
        f"{WIDTH}&",
        f"{WIDTH}&weather=fine",
    ],
)
def test_what_is_a_fault_is_left_to_the_schema(query):
    assert plain_lookup(query.encode()) is None


def test_three_walls_are_a_width_too():
    assert plain_lookup(b"inside_width_mm=24&head_wall_mm=6&far_wall_mm=6") is not None
