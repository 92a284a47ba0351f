"""Rockers and guides over HTTP: answers, refusals, languages, and whatever a stranger sends."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.codes import Language
from schemas.guides import MeasuringGuideResponse, ToolsGuideResponse
from schemas.rockers import RockersRequest, RockersResponse

FOUR = {"axle_positions_mm": [0, 80, 160, 240], "wheel_diameters_mm": 76}
GUIDES = {"measuring": MeasuringGuideResponse, "tools": ToolsGuideResponse}


@pytest.fixture
def post_rockers(client):
    """A question whose body is the bytes, or the JSON of what is given."""

    def post(body, **headers):
        content = body if isinstance(body, bytes) else json.dumps(body).encode()
        return client.post(
            "/v1/rockers", content=content, headers={"Content-Type": "application/json", **headers}
        )

    return post


def test_a_rocker_is_answered_by_its_schema(post_rockers, snapshot):
    response = post_rockers(FOUR | {"wanted_offsets_mm": [1, 0, 0, 1]})
    assert response.status_code == 200
    answer = RockersResponse.model_validate(response.json())
    assert answer.catalogue_revision == snapshot.revision
    assert [stance.wheels for stance in answer.wanted.stances] == [[1, 2], [2, 3], [3, 4]]
    assert answer.wanted.ways[0].exact


def test_lengths_may_have_their_unit(post_rockers):
    # 3 in = 76.2 mm
    written = post_rockers({"axle_positions_mm": ["0", "80mm", "160", "240"], "wheel_diameters_mm": "3in"})
    assert [wheel["diameter_mm"] for wheel in written.json()["wheels"]] == [76.2] * 4


@pytest.mark.parametrize(
    ("change", "pointers"),
    [
        ({"wheel_diameters_mm": None}, ["/wheel_diameters_mm"]),
        ({"wheel_diameters_mm": 29.9}, ["/wheel_diameters_mm"]),
        ({"wheel_diameters_mm": [76, 200.1]}, ["/wheel_diameters_mm/1"]),
        ({"wheel_diameters_mm": [76, 76, 76]}, ["/wheel_diameters_mm"]),
        ({"wheel_diameters_mm": []}, ["/wheel_diameters_mm"]),
        ({"offsets_mm": [0, 0, 0, 10.1]}, ["/offsets_mm/3"]),
        ({"offsets_mm": [0, 0, 0, -10.1]}, ["/offsets_mm/3"]),
        ({"offsets_mm": [0, 0, 0, "1,5"]}, ["/offsets_mm/3"]),
        ({"offsets_mm": [1], "wanted_offsets_mm": [1]}, ["/offsets_mm", "/wanted_offsets_mm"]),
        ({"axle_positions_mm": [0]}, ["/axle_positions_mm"]),
        ({"axle_positions_mm": [0, 80, 80, 160]}, ["/axle_positions_mm"]),
        ({"axle_positions_mm": [0, 80, 160, 1000.1]}, ["/axle_positions_mm/3"]),
        ({"axle_positions_mm": list(range(0, 1000, 80))}, ["/axle_positions_mm"]),
        ({"frame": "QH-ALDER"}, ["/axle_positions_mm"]),
        ({"axle_positions_mm": None}, ["/axle_positions_mm"]),
        ({"axle_positions_mm": None, "frame": "QH-ALDER", "lookup": {"outside_width_mm": 36}}, ["/lookup"]),
        ({"lookup": {}}, ["/lookup/outside_width_mm"]),
        ({"lookup": {"outside_width_mm": -1}}, ["/lookup/outside_width_mm"]),
        ({"lookup": {"outside_width_mm": 36, "limit": 3}}, ["/lookup/limit"]),
        ({"lookup": {"outside_width_mm": 36, "thread": "M8x3"}}, ["/lookup/thread"]),
        ({"limit": 0}, ["/limit"]),
        ({"wheels": 4}, ["/wheels"]),
    ],
    ids=str,
)  # fmt: skip
def test_each_fault_is_told_of_the_field_that_it_stands_in(post_rockers, fields_of, change, pointers):
    body = {name: value for name, value in (FOUR | change).items() if value is not None}
    response = post_rockers(body)
    assert response.status_code == 422
    assert fields_of(response) == [f"#{pointer}" for pointer in pointers]


@pytest.mark.parametrize("limits", [(30, 200), (200, 30)])
def test_the_limits_themselves_are_taken(post_rockers, limits):
    body = {"axle_positions_mm": [0, 1000], "wheel_diameters_mm": limits, "offsets_mm": [-10, 10]}
    assert post_rockers(body).status_code == 200


def test_a_frame_that_is_not_there_is_not_found(post_rockers, problem_in):
    assert problem_in(post_rockers({"frame": "NOTHING", "wheel_diameters_mm": 80}))["status"] == 404


@pytest.mark.parametrize(("body", "status"), [(b"{", 400), (b"[]", 400), (b"", 400), (b"{}", 422)])
def test_a_body_that_is_no_question_is_refused(post_rockers, problem_in, body, status):
    assert problem_in(post_rockers(body))["status"] == status


@pytest.mark.parametrize("path", ["/v1/guides/measuring", "/v1/guides/tools"])
def test_a_guide_takes_no_query(client, fields_of, path):
    response = client.get(path, params={"language": "de"})
    assert (response.status_code, fields_of(response)) == (422, ["language"])


def test_a_rocker_takes_no_query(client, fields_of):
    response = client.post("/v1/rockers?frame=QH-ALDER", json=FOUR)
    assert (response.status_code, fields_of(response)) == (422, ["frame"])


@pytest.mark.parametrize("guide", GUIDES)
@pytest.mark.parametrize("language", Language)
def test_a_guide_comes_in_the_language_that_is_asked_for(client, guide, language):
    response = client.get(f"/v1/guides/{guide}", headers={"Accept-Language": language})
    assert response.status_code == 200
    assert response.headers["content-language"] == language
    assert "accept-language" in response.headers["vary"].lower()
    GUIDES[guide].model_validate(response.json())
    english = client.get(f"/v1/guides/{guide}").json()
    assert (response.json() == english) == (language == "en")


@pytest.mark.parametrize("guide", GUIDES)
def test_a_guide_is_not_sent_twice_in_a_language_but_in_another_it_is(client, guide):
    def ask(language, **named):
        return client.get(f"/v1/guides/{guide}", headers={"Accept-Language": language, **named})

    german = ask("de").headers["etag"]
    known = ask("de", **{"If-None-Match": german})
    # RFC 9110, 15.4.5: what 200 would have said of caches and of the variant
    assert (known.status_code, known.content, known.headers["content-language"]) == (304, b"", "de")
    assert "accept-language" in known.headers["vary"].lower()
    other = ask("fr", **{"If-None-Match": german})
    assert (other.status_code, other.headers["content-language"]) == (200, "fr")


def test_a_rocker_is_worded_in_the_language_that_is_asked_for(post_rockers):
    german = post_rockers(FOUR, **{"Accept-Language": "de"})
    assert german.headers["content-language"] == "de"
    assert german.json()["stances"][0]["text"] == "Der Skate steht waagerecht, auf den Rollen 1, 2, 3, 4."


def test_a_guide_that_is_not_there_is_not_found(client, problem_in):
    assert problem_in(client.get("/v1/guides/cooking"))["status"] == 404


LENGTHS = st.floats(0, 1000) | st.integers(-20, 300)


@settings(max_examples=80)
@given(
    st.lists(st.floats(0, 1000), min_size=2, max_size=12, unique=True).map(sorted),
    st.data(),
)
def test_any_wheels_within_the_limits_are_answered(client, positions, data):
    def one_each(least, most):
        return st.lists(st.floats(least, most), min_size=len(positions), max_size=len(positions))

    body = {
        "axle_positions_mm": positions,
        "wheel_diameters_mm": data.draw(one_each(30, 200) | st.floats(30, 200)),
        "offsets_mm": data.draw(one_each(-10, 10)),
        "wanted_offsets_mm": data.draw(one_each(-10, 10)),
    }
    response = client.post("/v1/rockers", json=body)
    assert response.status_code == 200, response.text


NAMES = st.sampled_from(sorted(RockersRequest.model_fields))
VALUES = st.recursive(
    st.none() | st.booleans() | LENGTHS | st.text(max_size=8) | st.sampled_from(["QH-ALDER", "36.4", "1in"]),
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(NAMES | st.text(), inner, max_size=3),
    max_leaves=8,
)  # fmt: skip


@settings(max_examples=120)
@given(st.dictionaries(NAMES | st.text(max_size=6), VALUES, max_size=6))
def test_any_body_is_answered_or_refused(client, body):
    response = client.post("/v1/rockers", json=body)
    assert response.status_code in {200, 404, 422}
    kind = "json" if response.status_code == 200 else "problem+json"
    assert response.headers["content-type"] == f"application/{kind}"


@pytest.mark.parametrize("path", ["/v1/rockers", "/v1/guides/measuring", "/v1/guides/tools"])
def test_the_openapi_document_says_that_there_are_languages(client, path):
    (operation,) = client.get("/openapi.json").json()["paths"][path].values()
    assert "Accept-Language" in [parameter["name"] for parameter in operation["parameters"]]
    assert operation["responses"]["200"]["headers"]["Content-Language"]
