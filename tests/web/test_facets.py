"""The facets of a lookup: what a shop's filter shows is what the lookup lists, counted one by one."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.facets import FacetsRequest
from tests.web.facets_oracle import (
    COUNTED,
    FACETS,
    FILTERS,
    LOOKUPS,
    as_parameters,
    by_verdict,
    has,
    listed,
    passing,
)

ODD = [
    "36.4",
    "1.417in",
    "12,5",
    "8",
    "6",
    "true",
    "M8x1.25",
    "threaded_wall",
    "oval",
    "brake",
    "none",
    "slot",
    "",
]
WIDTH = "outside_width_mm=36.4"


@pytest.fixture(scope="session")
def facets(client):
    """The facets of a lookup under filters."""

    def ask(lookup, **filters):
        answer = client.get("/v1/facets", params=lookup | as_parameters(filters))
        assert answer.status_code == 200, answer.text
        return answer.json()

    return ask


@settings(max_examples=60)
@given(LOOKUPS, FILTERS)
def test_each_facet_counts_the_listed_axles_that_pass_the_other_filters(client, lookup, filters):
    answer = client.get("/v1/facets", params=lookup | as_parameters(filters))
    fits = listed(client, lookup)
    if answer.status_code == 422:  # no such frame: the lookup says so too
        assert fits == []
        return
    counted = answer.json()["facets"]
    assert list(counted) == FACETS
    for facet in FACETS:
        of_others = [has(fit, facet) for fit in passing(fits, filters, without=facet)]
        chosen = filters.get(facet, [])
        values = {has(fit, facet) for fit in fits} | set(chosen if isinstance(chosen, list) else [chosen])
        expected = {value: of_others.count(value) for value in values}
        assert {entry["value"]: entry["count"] for entry in counted[facet]} == expected
        assert len(counted[facet]) == len(expected)


@settings(max_examples=40)
@given(LOOKUPS, FILTERS)
def test_the_count_is_of_the_listed_axles_that_pass_every_filter(client, lookup, filters):
    answer = client.get("/v1/facets", params=lookup | as_parameters(filters))
    fits = passing(listed(client, lookup), filters)
    if answer.status_code == 200:
        found = answer.json()
        assert found["count"] == len(fits) == sum(found["counts"].values())
        assert found["counts"] == by_verdict(fits)
        assert list(found["counts"]) == COUNTED
        assert not (found["count"] and found["relax"])


def test_the_revision_is_that_of_the_lookup(client, facets):
    revision = client.get(f"/v1/fits?{WIDTH}").json()["catalogue_revision"]
    assert facets({"outside_width_mm": 36.4})["catalogue_revision"] == revision


def test_values_come_most_frequent_first_and_what_is_not_known_last(facets):
    for facet in facets({"outside_width_mm": 36.4})["facets"].values():
        known = [entry["count"] for entry in facet if entry["value"] is not None]
        assert known == sorted(known, reverse=True)
        assert [entry for entry in facet[:-1] if entry["value"] is None] == []


def test_a_value_that_was_filtered_by_is_there_with_nothing_behind_it(facets):
    colours = facets({"outside_width_mm": 36.4}, colour="mauve")["facets"]["colour"]
    assert {"value": "mauve", "count": 0} in colours
    assert sum(entry["count"] for entry in colours) > 0  # counted without the filter by colour


def test_an_axle_whose_colour_is_not_known_passes_no_filter_by_colour(client, facets):
    lookup = {"outside_width_mm": 36.4}
    colours = {fit["axle"]["colour"] for fit in listed(client, lookup)}
    assert None in colours
    found = facets(lookup, colour=sorted(colours - {None}))
    (unknown,) = [entry for entry in found["facets"]["colour"] if entry["value"] is None]
    assert unknown["count"] > 0
    assert found["count"] == facets(lookup)["count"] - unknown["count"]


def test_in_stock_leaves_out_what_the_lookup_only_puts_last(client, facets):
    lookup = {"outside_width_mm": 36.4}
    in_order = listed(client, lookup | {"in_stock": "true"})
    assert facets(lookup, in_stock=True)["count"] == sum((fit["axle"]["stock"] or 0) > 0 for fit in in_order)
    assert facets(lookup, in_stock=True)["count"] < len(in_order)


def test_the_lookups_own_query_may_be_sent_and_its_preferences_change_nothing(facets):
    lookup = {"outside_width_mm": 36.4, "bore_mm": 8}
    own = {"prefer_drive": "slot", "prefer_colour": "mauve", "limit": 1, "near_misses": 0}
    assert facets(lookup | own, colour="black") == facets(lookup, colour="black")


@pytest.mark.parametrize("colours", [["white", "black"], ["black", "white", "black"]], ids=str)
def test_a_filter_is_the_same_in_any_order(client, colours):
    one, other = (FacetsRequest(outside_width_mm=36.4, colour=c) for c in (colours, ["black", "white"]))
    assert one.model_dump_json() == other.model_dump_json()
    answers = [
        client.get("/v1/facets", params={"outside_width_mm": 36.4, "colour": c})
        for c in (colours, other.colour)
    ]
    assert [answer.status_code for answer in answers] == [200, 200]
    assert answers[0].content == answers[1].content


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(st.sampled_from(sorted(FacetsRequest.model_fields)), st.sampled_from(ODD) | st.text()),
        max_size=6,
    )
)
def test_any_query_of_names_and_values_is_answered_or_refused(client, pairs):
    answer = client.get("/v1/facets", params=[("outside_width_mm", "36.4"), *pairs])
    assert answer.status_code in {200, 422}


@pytest.mark.parametrize(
    ("query", "field", "allowed"),
    [
        ("", "outside_width_mm", "the width over both walls"),
        (f"{WIDTH}&drive=hammer", "drive", "a drive with its size"),
        (f"{WIDTH}&colour=black&colour=Black", "colour", "a lower-case word"),
        (f"{WIDTH}&driven_heads=3", "driven_heads", "at most 2"),
        (f"{WIDTH}&material=cheese", "material", "steel_8_8"),
        (f"{WIDTH}&pack_quantity=0", "pack_quantity", "at least 1"),
        (f"{WIDTH}&pack_quantity=2.5", "pack_quantity", "whole number"),
        (f"{WIDTH}&in_stock=perhaps", "in_stock", "true or false"),
        (f"{WIDTH}&colour=" + "&colour=".join(["black"] * 51), "colour", "at most 50 values"),
        (f"{WIDTH}&color=black", "color", "did you mean colour?"),
        (f"{WIDTH}&cursor=junk", "cursor", "a known name"),
        (f"{WIDTH}&thread=M8x0.8", "thread", "M8x1.25"),
        (f"{WIDTH}&bore_mm=8&thread=M8&thread=M7x1", "thread", "one value"),
    ],
)
def test_a_query_is_refused_by_parameter(client, problem_in, query, field, allowed):
    (fault,) = problem_in(client.get(f"/v1/facets?{query}"))["errors"]
    assert fault["parameter"] == field
    assert allowed in fault["allowed"]


def test_a_filter_may_be_repeated_and_the_api_says_so(client):
    parameters = client.get("/openapi.json").json()["paths"]["/v1/facets"]["get"]["parameters"]
    assert {p["name"] for p in parameters if p["schema"].get("type") == "array"} == set(FACETS)
