"""Stories over HTTP, from an old axle on the counter to what goes into the frame."""

import pytest


@pytest.fixture
def get(client):
    """The answer to a request that is answered."""

    def fetch(path, **parameters):
        response = client.get(path, params=parameters)
        assert response.status_code == 200, response.text
        return response.json()

    return fetch


@pytest.fixture
def identify(client):
    """What an old axle is said to be."""

    def ask(**measured):
        response = client.post("/v1/axles/identify", json=measured)
        assert response.status_code == 200, response.text
        return response.json()

    return ask


def codes(inferences):
    return {inference["code"] for inference in inferences}


def test_a_worn_axle_is_named_and_a_better_one_found_for_the_same_frame(get, identify):
    # The customer lays a black axle of one piece on the counter, its socket rounded.
    first = identify(pieces=["axle"], overall_length_mm=36.03, shaft_mm=7.97)
    assert len(first["same"]) > 1
    assert {part["verdict"] for part in first["same"]} == {"check_first"}
    assert {"thread_not_given", "holes_not_told"} <= codes(first["not_inferred"])
    assert {"thread", "drive", "colour"} <= set(first["differ_in"])

    # So the assistant measures the thread, 12.5 mm over ten turns, and looks at the rest.
    seen = {"drive": "hexagon_4", "colour": "black", "offset_mm": 0, "brake_thread": "none"}
    second = identify(
        pieces=["axle"],
        overall_length_mm=36.03,
        shaft_mm=7.97,
        thread_major_mm=7.87,
        thread_pitch_mm=1.25,
        **seen,
    )
    assert second["threads"][0] == {"thread": "M8x1.25", "probability": 1.0}
    assert len(second["same"]) < len(first["same"])
    assert second["same"][0]["axle"]["sku"] == "TW8-36-M8-BK"

    # The same axle with a drive that lasts longer, and what is different in it.
    better = get("/v1/axles/TW8-36-M8-BK/equivalents")["items"][0]
    assert better["axle"]["drive"] == "hexalobular_25"
    assert "Drive: hexalobular_25 instead of hexagon_4." in [d["text"] for d in better["differs"]]

    # The packet's barcode leads to the axle, the axle to the frames that it fits.
    (scanned,) = get("/v1/axles", gtin=better["axle"]["gtin"])["items"]
    frames = get(f"/v1/axles/{scanned['sku']}/frames")["items"]
    assert frames[0]["verdict"] == "fits"
    assert {reason["check"] for reason in frames[0]["positions"][0]["reasons"]} >= {"width", "thread", "bore"}


def test_an_axle_in_two_pieces_from_a_keyed_frame_stays_in_its_family(get, identify):
    # A barrel and a screw; one head took the key, the other is shaped. As it was mounted, 33.5 mm apart.
    found = identify(
        pieces=["barrel", "screw"], barrel_mm=30.04, screw_mm=13.97, shaft_mm=7.96, grip_mm=33.5,
        driven_heads=1, keyed_profile="larch", drive="hexagon_4",
    )  # fmt: skip
    (same,) = found["same"]
    assert (same["axle"]["sku"], same["verdict"]) == ("TP8-30-LARCH", "fits")
    assert {"heads_keyed", "length_is_grip", "width_from_grip"} <= codes(found["inferred"])
    sure = [fit for fit in found["answer"]["fits"] if fit["verdict"] != "check_first"]
    assert {fit["axle"]["keyed_profile"] for fit in sure} == {"larch"}
    frames = get("/v1/axles/TP8-30-LARCH/frames", limit=100)["items"]
    assert {f["frame"]["keyed_profile"] for f in frames if f["verdict"] != "check_first"} == {"larch"}


def test_an_axle_that_the_shop_never_sold_still_leads_to_what_fits(identify):
    # 35.5 mm long, between the shop's lengths.
    found = identify(
        fastening="threaded_wall",
        overall_length_mm=35.5,
        shaft_mm=8,
        thread="M8x1.25",
        drive="slot",
        offset_mm=0,
        limit=100,
    )
    assert found["same"] == []
    assert "no_part_agrees" in codes(found["not_inferred"])
    assert {35.0, 36.0} <= {fit["axle"]["length_mm"] for fit in found["answer"]["fits"]}
    assert "maker_and_workshop_first" in {caution["code"] for caution in found["answer"]["cautions"]}
