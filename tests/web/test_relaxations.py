"""For no result, what would give some: every number is that of the lookup with the one condition changed."""

import csv

import pytest
from hypothesis import assume, given, settings

from service.engine.threads import parse_thread
from tests.web.facets_oracle import FILTERS, LOOKUPS, as_parameters, by_verdict, listed, passing

WALL = {"fastening": "threaded_wall", "bore_mm": 8, "thread": "M8x1.25"}
FOUR_WIDTHS = {"outside_width_mm": 44.4, "inside_width_mm": 24.4, "head_wall_mm": 10, "far_wall_mm": 10}
INSIDE_AND_WALLS = {"head_wall_mm": 4, "far_wall_mm": 4}
TOGETHER = {"holes": ["hole_offset_mm"], "position": ["brake_thread"]}
NO_CONDITIONS = {"instrument", "rider_mass_kg", "child", "wall_material", "hub_width_mm"}


def relaxed(client, lookup, filters):
    """What the facets of a lookup without result propose; none where there is a result, or no such frame."""
    answer = client.get("/v1/facets", params=lookup | as_parameters(filters))
    return answer.json()["relax"] if answer.status_code == 200 and answer.json()["count"] == 0 else None


def changed(fields, relaxation):
    """The fields with one of them dropped, with what belongs to it, or moved."""
    name = relaxation["condition"]
    if relaxation["change"] == "moved":
        return {other: relaxation["to"] if other == name else value for other, value in fields.items()}
    gone = [name, *TOGETHER.get(name, [])]
    return {other: value for other, value in fields.items() if other not in gone}


@settings(max_examples=60)
@given(LOOKUPS, FILTERS)
def test_a_relaxation_gives_what_it_says_when_it_is_asked_for(client, lookup, filters):
    relax = relaxed(client, lookup, filters)
    for relaxation in relax or []:
        assert relaxation["condition"] in lookup or relaxation["condition"] in filters
        found = passing(listed(client, changed(lookup, relaxation)), changed(filters, relaxation))
        assert relaxation["count"] == len(found) > 0
        assert relaxation["counts"] == by_verdict(found)


@settings(max_examples=30)
@given(LOOKUPS, FILTERS)
def test_every_condition_that_alone_is_in_the_way_is_named(client, lookup, filters):
    relax = relaxed(client, lookup, filters)
    assume(relax is not None)
    named = [entry["condition"] for entry in relax if entry["change"] == "dropped"]
    in_the_way = []
    for name in [*lookup, *filters]:
        drop = {"condition": name, "change": "dropped"}
        kept = changed(lookup, drop)
        if name not in NO_CONDITIONS and passing(listed(client, kept), changed(filters, drop)):
            in_the_way.append(name)
    assert sorted(named) == sorted(in_the_way)


@pytest.fixture
def proposed(client):
    """What is proposed for a lookup without result: for condition and change the value to move to."""

    def ask(lookup, **filters):
        relax = relaxed(client, lookup, filters)
        assert relax is not None
        return {(entry["condition"], entry["change"]): entry["to"] for entry in relax}

    return ask


@pytest.fixture(scope="module")
def axles(seed_data):
    with (seed_data / "axles.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize(
    ("lookup", "filters", "field"),
    [
        (WALL | {"outside_width_mm": 90}, {}, "outside_width_mm"),
        (WALL | {"outside_width_mm": 20, "far_wall_mm": 6}, {}, "outside_width_mm"),
        (WALL | {"outside_width_mm": 60, "instrument": "tape"}, {"colour": "silver"}, "outside_width_mm"),
        ({"fastening": "two_piece", "outside_width_mm": 60, "recess_mm": 2}, {}, "outside_width_mm"),
        ({"fastening": "bolt_and_nut", "outside_width_mm": 20}, {}, "outside_width_mm"),
        (WALL | FOUR_WIDTHS, {"colour": "white"}, "outside_width_mm"),
        (WALL | INSIDE_AND_WALLS | {"inside_width_mm": 22}, {"colour": "white"}, "inside_width_mm"),
    ],
    ids=str,
)
def test_no_axle_serves_a_width_nearer_than_the_one_proposed(client, proposed, lookup, filters, field):
    to = proposed(lookup, **filters)[field, "moved"]
    steps = 25
    for step in range(steps + 1):
        width = lookup[field] + (to - lookup[field]) * step / steps
        moved = lookup | {field: width}
        outside = client.get("/v1/fits", params=moved | {"limit": 1}).json()["frame"]["outside_width_mm"][
            "value"
        ]
        windows = [fit["width_window_mm"] for fit in passing(listed(client, moved), filters)]
        # Answers are in whole micrometres; an axle may be listed before its window begins, unsure.
        serves = [w for w in windows if w["min"] - 0.002 <= outside <= w["max"] + 0.002]
        assert bool(serves) is (step == steps), width


def test_a_frame_wider_than_all_is_moved_to_the_widest_that_is_served(proposed, axles):
    wall = ("threaded_wall", "8", "M8x1.25")
    lengths = [
        float(axle["length_mm"])
        for axle in axles
        if (axle["fastening"], axle["shaft_mm"], axle["thread"]) == wall and axle["length_mm"]
    ]
    # Without the far wall an axle is taken to serve half a millimetre more than its length.
    assert proposed(WALL | {"outside_width_mm": 90})["outside_width_mm", "moved"] == max(lengths) + 0.5


@pytest.mark.parametrize(
    ("changes", "filters", "field"),
    [
        (WALL | {"thread": "M9x1.25"}, {"colour": "black"}, "thread"),
        (WALL | {"thread": "M7x0.75"}, {"colour": "black", "in_stock": True}, "thread"),
        ({"bore_mm": 7.4}, {"drive": "hexagon_4", "colour": "black"}, "bore_mm"),
        ({"holes": "oval", "hole_offset_mm": 3}, {}, "hole_offset_mm"),
        ({"position": "brake", "brake_thread": "M10"}, {}, "brake_thread"),
    ],
    ids=str,
)
def test_a_condition_moves_to_the_nearest_value_of_the_catalogue_that_gives_something(
    client, proposed, axles, changes, filters, field
):
    lookup = {"outside_width_mm": 36.4} | changes
    column = {"bore_mm": "shaft_mm", "hole_offset_mm": "offset_mm"}.get(field, field)
    values = {axle[column] for axle in axles if axle[column]} - {"0"}
    give_something = {v for v in values if passing(listed(client, lookup | {field: v}), filters)}
    to = str(proposed(lookup, **filters)[field, "moved"]).removesuffix(".0")
    assert to in give_something
    assert distance(to, lookup[field]) == min(distance(value, lookup[field]) for value in give_something)


def distance(one, other):
    """How far two numbers are apart; of threads the diameter goes before the pitch."""
    if str(one).startswith("M"):
        one, other = parse_thread(one), parse_thread(other)
        return round(abs(one.major_mm - other.major_mm), 6), round(abs(one.pitch_mm - other.pitch_mm), 6)
    return round(abs(float(one) - float(other)), 6)


def test_a_pack_moves_to_the_nearest_size_that_is_sold(client, proposed, axles):
    lookup = {"outside_width_mm": 36.4}
    sizes = {fit["axle"]["pack_quantity"] for fit in listed(client, lookup)}
    for wanted in (7, 12, 1000):
        to = proposed(lookup, pack_quantity=wanted)["pack_quantity", "moved"]
        assert abs(to - wanted) == min(abs(size - wanted) for size in sizes)


def test_nobody_is_told_to_leave_out_the_riders_mass(client, proposed):
    thin = {
        "fastening": "threaded_wall",
        "bore_mm": 6,
        "thread": "M6x1",
        "outside_width_mm": 34,
        "far_wall_mm": 4.8,
    }
    assert listed(client, thin)
    assert listed(client, thin | {"rider_mass_kg": 250}) == []
    assert ("rider_mass_kg", "dropped") not in proposed(thin | {"rider_mass_kg": 250})


def test_where_there_is_a_result_nothing_is_proposed(client):
    answer = client.get("/v1/facets?outside_width_mm=36.4&bore_mm=8&colour=black").json()
    assert answer["count"] > 0
    assert answer["relax"] == []


def test_what_is_left_of_a_shape_of_holes_goes_with_it(client, proposed):
    lookup = {"outside_width_mm": 36.4, "holes": "oval", "hole_offset_mm": 3}
    assert ("holes", "dropped") in proposed(lookup)
    assert client.get("/v1/fits?outside_width_mm=36.4&hole_offset_mm=3").status_code == 422
