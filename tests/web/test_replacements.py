"""Old axles, what stands in for an axle and which frames it fits, over HTTP."""

import json

import pytest

OLD = {
    "pieces": ["axle"],
    "overall_length_mm": [36.02, 36.05],
    "shaft_mm": 7.97,
    "thread_major_mm": 7.88,
    "thread_pitch_mm": 1.25,
    "drive": "hexagon_4",
    "brake_thread": "none",
}
IDENTIFY = "/v1/axles/identify"


@pytest.fixture
def identify(client):
    def post(body, **headers):
        return client.post(IDENTIFY, json=body, headers=headers)

    return post


def test_an_old_axle_is_told_with_what_replaces_it(identify):
    answer = identify(OLD)
    assert answer.status_code == 200
    found = answer.json()
    assert found["same"][0]["axle"]["sku"] == "TW8-36-M8-BK"
    assert {i["code"] for i in found["inferred"]} >= {
        "fastening_from_pieces",
        "thread_found",
        "length_is_whole",
    }
    assert {i["code"] for i in found["not_inferred"]} >= {"holes_not_told", "parts_not_told_apart"}
    assert found["stand_ins"][0]["verdict"] == "fits"


def test_the_lookup_that_follows_can_be_sent_as_it_is(identify, client):
    found = identify(OLD).json()
    sent = client.post("/v1/fits", json=found["lookup"]).json()
    assert sent | {"links": None} == found["answer"]  # links are those of a path


def test_a_length_in_inches_is_the_same_length(identify):
    # 1.417 × 25.4 = 35.9918
    assert (
        identify(OLD | {"overall_length_mm": "1.417in"}).json()
        == identify(OLD | {"overall_length_mm": 35.9918}).json()
    )


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "#/overall_length_mm"),
        ({"instrument": "ruler", "limit": 5, "rider_mass_kg": 80}, "#/overall_length_mm"),
        ({"fastening": "threaded_wall", "barrel_mm": 30}, "#/barrel_mm"),
        ({"pieces": ["barrel", "nut"]}, "#/pieces"),
        ({"pieces": ["bolt"], "screw_mm": 14}, "#/screw_mm"),
        ({"pieces": ["axle"], "grip_mm": 30}, "#/grip_mm"),
        ({"thread": "M8", "thread_major_mm": 7.9}, "#/thread"),
        ({"thread": "M8x9"}, "#/thread"),
        ({"brake_thread": "None"}, "#/brake_thread"),
        ({"brake_thread": "M8x9"}, "#/brake_thread"),
        ({"pieces": ["wheel"]}, "#/pieces/0"),
        ({"pieces": []}, "#/pieces"),
        ({"overall_length_mm": "12,5"}, "#/overall_length_mm"),
        ({"overall_length_mm": 0}, "#/overall_length_mm"),
        ({"shaft_mm": 8, "pitch_turns": 0}, "#/pitch_turns"),
        ({"shaft_mm": 8, "limit": 101}, "#/limit"),
        ({"shaft_mm": 8, "colour": "Black"}, "#/colour"),
        ({"shaft_mm": 8, "overal_length_mm": 36}, "#/overal_length_mm"),
    ],
    ids=str,
)
def test_a_fault_is_told_by_its_field(identify, fields_of, body, pointer):
    answer = identify(body)
    assert answer.status_code == 422
    assert fields_of(answer) == [pointer]


def test_a_cursor_goes_on_with_the_parts_that_it_may_be(identify, problem_in):
    body = {"shaft_mm": 8, "overall_length_mm": 36, "limit": 3}
    first = identify(body).json()
    second = identify(body | {"cursor": first["next_cursor"]}).json()
    seen = [part["axle"]["sku"] for part in (*first["same"], *second["same"])]
    assert len(seen) == len(set(seen)) == 6
    assert problem_in(identify(body | {"shaft_mm": 6, "cursor": first["next_cursor"]}))["status"] == 400


def test_a_query_is_refused_where_the_body_is_the_request(client, fields_of):
    assert fields_of(client.post(f"{IDENTIFY}?shaft_mm=8", json=OLD)) == ["shaft_mm"]


def test_an_axle_called_identify_is_none(client, problem_in):
    assert problem_in(client.get(IDENTIFY))["status"] in {404, 405}


@pytest.mark.parametrize("path", ["equivalents", "frames"])
class TestOfAnAxle:
    """The two lists that belong to an axle of the catalogue."""

    def test_a_list_is_ranked_and_goes_on_with_its_cursor(self, client, path):
        url = f"/v1/axles/TW8-36-M8-BK/{path}"
        first = client.get(url, params={"limit": 2}).json()
        second = client.get(url, params={"limit": 2, "cursor": first["next_cursor"]}).json()
        assert [item["rank"] for item in (*first["items"], *second["items"])] == [1, 2, 3, 4]
        assert first["axle"]["sku"] == "TW8-36-M8-BK"
        assert first["items"][0]["verdict"] == "fits"

    def test_an_axle_that_is_not_there_is_not_found(self, client, problem_in, path):
        assert problem_in(client.get(f"/v1/axles/NOTHING/{path}"))["status"] == 404

    @pytest.mark.parametrize(
        "query", ["limit=0", "child=perhaps", "rider_mass_kg=5", "colour=black", "child=true&child=false"]
    )
    def test_a_fault_is_told_by_its_parameter(self, client, fields_of, path, query):
        assert fields_of(client.get(f"/v1/axles/TW8-36-M8-BK/{path}?{query}")) == [query.partition("=")[0]]

    def test_a_cursor_of_another_axle_is_refused(self, client, problem_in, path):
        cursor = client.get(f"/v1/axles/TW8-36-M8-BK/{path}?limit=1").json()["next_cursor"]
        other = client.get(f"/v1/axles/TW8-38-M8-BK/{path}", params={"limit": 1, "cursor": cursor})
        assert problem_in(other)["status"] == 400


@pytest.mark.parametrize("language", ["de", "fr", "nl", "es", "it"])
def test_the_answers_are_in_the_language_asked_for(client, identify, language):
    asked = {"Accept-Language": language}
    answers = [
        (identify(OLD), identify(OLD, **asked)),
        *(
            (client.get(url), client.get(url, headers=asked))
            for url in ("/v1/axles/TW8-36-M8-BK/equivalents", "/v1/axles/TW8-36-M8-BK/frames?limit=2")
        ),
    ]
    for english, translated in answers:
        assert (english.headers["content-language"], translated.headers["content-language"]) == (
            "en",
            language,
        )
        assert set(texts_in(english.json())).isdisjoint(texts_in(translated.json()))


def texts_in(answer):
    if isinstance(answer, dict):
        for name, value in answer.items():
            yield from [value] if name in {"text", "would_fit_if"} else texts_in(value)
    elif isinstance(answer, list):
        for value in answer:
            yield from texts_in(value)


@pytest.mark.parametrize(
    ("gtin", "allowed"),
    [
        ("2000000000061", "after 200000000006 it is 0"),
        ("12000000000060", "after 1200000000006 it is 7"),
    ],
)
def test_a_barcode_with_a_wrong_check_digit_is_refused_and_told(client, problem_in, gtin, allowed):
    # GS1 General Specifications, 7.9: 2 + 3·6 = 20 for the first, 1·3 + 2·1 + 6·3 = 23 for the second.
    problem = problem_in(client.get("/v1/axles", params={"gtin": gtin}))
    assert problem["status"] == 422
    assert "check digit" in problem["detail"]
    (fault,) = problem["errors"]
    assert (fault["parameter"], fault["found"]) == ("gtin", gtin)
    assert fault["allowed"].endswith(allowed)


@pytest.mark.parametrize("gtin", ["200000000006", "123", "20000000000600", "٢٠٠٠٠٠٠٠٠٠٠٦٠", "2000000000060 "])
def test_a_word_that_is_no_barcode_number_is_refused(client, fields_of, gtin):
    assert fields_of(client.get("/v1/axles", params={"gtin": gtin})) == ["gtin"]


def test_a_barcode_in_its_forms_finds_the_same_axle(client):
    for gtin in ("2000000000060", "02000000000060"):
        (axle,) = client.get("/v1/axles", params={"gtin": gtin}).json()["items"]
        assert axle["sku"] == "TW8-36-M8-BK"


def test_the_description_names_the_fields_of_an_old_axle(client):
    described = client.get("/openapi.json").json()["paths"][IDENTIFY]["post"]
    schema = described["requestBody"]["content"]["application/json"]["schema"]
    assert {"overall_length_mm", "thread_pitch_mm", "pieces"} <= set(schema["properties"])
    assert json.dumps(schema["properties"]["pieces"]).count('"barrel"') == 1
