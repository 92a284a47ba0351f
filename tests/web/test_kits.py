"""Kits over HTTP: answered, or refused by a pointer into the body."""

import json
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.kits import BrakeCode, KitRequest, KitResponse
from service.app import create_app
from service.settings import Settings

LOOKUP = {"fastening": "threaded_wall", "outside_width_mm": 36.4, "far_wall_mm": 6, "bore_mm": 8}
MEASURED = {"lookup": LOOKUP, "wheels": 3}
WIDTHS = {"lookup": {"fastening": "threaded_wall", "far_wall_mm": 6}, "outside_widths_mm": [38, 37.5, 37]}


@pytest.fixture
def post_kit(client):
    """A kit whose body is the JSON of what is given."""
    return lambda body, **headers: client.post("/v1/kits", json=body, headers=headers)


@pytest.mark.parametrize(
    "body", [{"frame": "QH-COLTSFOOT"}, MEASURED, WIDTHS], ids=["known", "measured", "widths"]
)
def test_a_kit_is_answered_with_an_axle_for_each_wheel(post_kit, body):
    response = post_kit(body)
    assert response.status_code == 200
    answer = KitResponse.model_validate(response.json())
    wheels = {position.position for position in answer.positions}
    assert len(answer.positions) == 2 * len(wheels)
    assert sum(line.pieces for line in answer.lines if line.kind == "axle") == len(answer.positions)


def test_equal_requests_have_equal_answers_byte_for_byte(post_kit):
    body = {"frame": "QH-PLANTAIN"}
    assert len({post_kit(body).content for _ in range(3)}) == 1


def test_money_is_a_decimal_string_with_its_currency(post_kit):
    answer = post_kit({"frame": "QH-ALDER"}).json()
    assert answer["total"]["currency"] == "EUR"
    for amount in (answer["total"]["amount"], answer["lines"][0]["line_price"]):
        assert isinstance(amount, str)
        assert len(amount.partition(".")[2]) == 2


def test_the_sentences_are_in_the_language_that_is_asked_for(post_kit):
    english, german = (post_kit({"frame": "QH-ALDER"}, **{"Accept-Language": one}) for one in ("en", "de-AT"))
    assert german.headers["content-language"] == "de"
    assert "accept-language" in german.headers["vary"].lower()
    (said,) = (c["text"] for c in german.json()["cautions"] if c["code"] == "tools_without_price")
    assert said.startswith("Die Werkzeuge haben im Katalog keinen Preis")
    assert [line["sku"] for line in german.json()["lines"]] == [
        line["sku"] for line in english.json()["lines"]
    ]


@pytest.mark.parametrize(
    ("body", "pointer", "allowed"),
    [
        ({}, "#/frame", "one of the two"),
        ({"frame": "QH-ALDER", "lookup": LOOKUP}, "#/frame", "one of the two"),
        ({"frame": "QH-ELDER"}, "#/frame", "did you mean QH-ALDER?"),
        ({"frame": "QH ALDER"}, "#/frame", "letters, digits"),
        ({"frame": "QH-ALDER", "wheels": 5}, "#/wheels", "4, as this frame has"),
        ({"frame": "QH-ASPEN", "brake": "left"}, "#/brake", "carries no brake"),
        ({"frame": "QH-ALDER", "brake": "rear"}, "#/brake", "'right'"),
        ({"frame": "QH-ALDER", "brake_position": 4}, "#/brake_position", "only together with lookup"),
        (
            {"frame": "QH-ALDER", "outside_widths_mm": [36]},
            "#/outside_widths_mm",
            "only together with lookup",
        ),
        ({"frame": "QH-ALDER", "offset_positions": [5]}, "#/offset_positions", "1 to 4"),
        ({"frame": "QH-ALDER", "offset_positions": [1, 0]}, "#/offset_positions/1", "at least 1"),
        ({"frame": "QH-BURDOCK", "offset_positions": [1]}, "#/offset_positions", "every hole"),
        ({"frame": "QH-ALDER", "frames": 3}, "#/frames", "at most 2"),
        ({"frame": "QH-ALDER", "frames": 1, "brake": "both"}, "#/brake", "with one frame"),
        ({"frame": "QH-ALDER", "weather": "fine"}, "#/weather", "a known name"),
        ({"frame": "QH-ALDER", "brakes": "left"}, "#/brakes", "did you mean brake?"),
        ({"lookup": LOOKUP}, "#/wheels", "the number of wheels"),
        ({"lookup": LOOKUP, "wheels": 13}, "#/wheels", "at most 12"),
        ({"lookup": {"bore_mm": 8}, "wheels": 4}, "#/outside_widths_mm", "outside_width_mm in lookup"),
        ({**WIDTHS, "wheels": 4}, "#/outside_widths_mm", "each of the 4 axles"),
        ({**WIDTHS, "lookup": LOOKUP}, "#/outside_widths_mm", "not both"),
        ({**WIDTHS, "outside_widths_mm": [36, "12,5"]}, "#/outside_widths_mm/1", "decimal point: 12.5"),
        ({**WIDTHS, "outside_widths_mm": []}, "#/outside_widths_mm", "at least 1"),
        ({**MEASURED, "brake_position": 3}, "#/brake_position", "only together with a brake"),
        ({**MEASURED, "brake": "left", "brake_position": 4}, "#/brake_position", "1 to 3"),
        ({**MEASURED, "offset_positions": [4]}, "#/offset_positions", "1 to 3"),
        ({"lookup": {**LOOKUP, "bore": 8}, "wheels": 3}, "#/lookup/bore", "did you mean bore_mm?"),
        ({"lookup": {**LOOKUP, "bore_mm": -1}, "wheels": 3}, "#/lookup/bore_mm", "greater than 0"),
        ({"lookup": {**LOOKUP, "position": "brake"}, "wheels": 3}, "#/lookup/position", "the kit's brake"),
        ({"lookup": {**LOOKUP, "hole_offset_mm": 1}, "wheels": 3}, "#/lookup/hole_offset_mm", "holes=oval"),
        ({"lookup": {**LOOKUP, "thread": "M8x0.8"}, "wheels": 3}, "#/lookup/thread", "M8x1.25"),
        (
            {"lookup": {"inside_width_mm": 24, "head_wall_mm": 5}, "outside_widths_mm": [20]},
            "#/outside_widths_mm/0",
            "",
        ),
    ],
    ids=str,
)
def test_a_kit_is_refused_by_pointer(post_kit, problem_in, body, pointer, allowed):
    (fault,) = problem_in(post_kit(body))["errors"]
    assert fault["pointer"] == pointer
    assert allowed in fault["allowed"]


def test_all_faults_are_told_at_once(post_kit, fields_of):
    body = {"frame": "QH-ALDER", "frames": 0, "lookup": {"bore_mm": 0, "limit": 0}}
    assert sorted(fields_of(post_kit(body))) == ["#/frames", "#/lookup/bore_mm", "#/lookup/limit"]


def test_a_query_is_refused(client, problem_in):
    assert problem_in(client.post("/v1/kits?frame=QH-ALDER", json={"frame": "QH-ALDER"}))["status"] == 422


def test_a_kit_has_no_get(client, problem_in):
    assert problem_in(client.get("/v1/kits"))["status"] == 405


def test_every_reference_of_the_kits_description_leads_somewhere():
    description = create_app(Settings()).openapi()

    def references(node):
        if isinstance(node, dict):
            yield from [node["$ref"]] if "$ref" in node else []
            for value in node.values():
                yield from references(value)
        elif isinstance(node, list):
            for value in node:
                yield from references(value)

    kits = description["paths"]["/v1/kits"]["post"]
    lookup = kits["requestBody"]["content"]["application/json"]["schema"]["properties"]["lookup"]
    assert "bore_mm" in lookup["anyOf"][0]["properties"]
    assert not set(references(kits["requestBody"]))
    for reference in set(references(kits["responses"]["200"])):
        assert reference.rpartition("/")[2] in description["components"]["schemas"]


NAMES = st.sampled_from(sorted(KitRequest.model_fields))
VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.sampled_from(["QH-ALDER", "left", "12,5", ""]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES | st.text(), inner, max_size=3),
    max_leaves=6,
)


@settings(max_examples=60)
@given(
    st.sampled_from([{}, {"frame": "QH-ALDER"}, MEASURED]),
    st.dictionaries(NAMES | st.text(), VALUES, max_size=4),
)
def test_any_object_is_answered_or_refused(client, body, fields):
    content = json.dumps(body | fields).encode()
    response = client.post("/v1/kits", content=content, headers={"Content-Type": "application/json"})
    assert response.status_code in {200, 422}, response.text


@settings(max_examples=30)
@given(
    st.fixed_dictionaries(
        {
            "outside_widths_mm": st.lists(st.floats(20, 60), min_size=1, max_size=5),
            "brake": st.sampled_from([code for code in get_args(BrakeCode) if code != "both"]),
            "frames": st.integers(1, 2),
            "lookup": st.fixed_dictionaries(
                {},
                optional={
                    "bore_mm": st.sampled_from([6, 6.3, 8, 7, 6.15]),
                    "holes": st.sampled_from(["round", "oval"]),
                    "inside_width_mm": st.floats(1, 15),
                    "brake_thread": st.just("M6x1"),
                    "child": st.booleans(),
                    "hub_width_mm": st.floats(20, 30),
                },
            ),
        },
        optional={"offset_positions": st.just([1]), "in_stock": st.booleans()},
    )
)
def test_any_skate_that_can_be_is_answered(client, body):
    response = client.post("/v1/kits", json=body)
    assert response.status_code == 200, response.text
    answer = KitResponse.model_validate(response.json())
    assert len(answer.positions) == body["frames"] * len(body["outside_widths_mm"])
    for position in answer.positions:
        assert (position.sku is None) == (position.why_empty is not None)
