"""Stories over HTTP, from a skate on the counter to the axle in the drawer."""

import pytest


@pytest.fixture
def get(client):
    """The answer to a request that is answered."""

    def fetch(path, **parameters):
        response = client.get(path, params=parameters)
        assert response.status_code == 200, response.text
        return response.json()

    return fetch


def text_of(reasons, check):
    return next(reason["text"] for reason in reasons if reason["check"] == check)


def test_a_shop_assistant_measures_a_frame_with_threads_and_gets_axles(get):
    # At first there is only a width, and no two of the axles found say the same of how they hold.
    vague = get("/v1/fits", outside_width_mm=36.4, limit=100)
    assert {fit["verdict"] for fit in vague["fits"]} == {"check_first"}

    # The frame has threads in its far wall, which is 6 mm thick; three readings of the width, M8x1.25.
    measured = {
        "fastening": "threaded_wall",
        "outside_width_mm": [36.38, 36.41, 36.41],
        "far_wall_mm": 6,
        "bore_mm": 8,
        "thread": "M8x1.25",
        "holes": "round",
    }
    found = get("/v1/fits", **measured, in_stock=True)
    assert found["frame"]["outside_width_mm"]["value"] == pytest.approx((36.38 + 36.41 + 36.41) / 3, abs=5e-4)
    best = found["fits"][0]
    assert best["verdict"] == "fits"
    assert best["axle"]["thread"] == "M8x1.25"
    assert best["axle"]["stock"] > 0
    # By the contract's example an axle of 36 mm serves 35 to 37.9 mm.
    assert best["axle"]["length_mm"] == 36
    assert best["width_window_mm"] == {"min": 35.0, "max": 37.9}
    assert text_of(best["reasons"], "thread") == "The axle's thread is M8x1.25, as the frame's is."

    # The drawer is told by its SKU, the packet by its barcode.
    assert get(f"/v1/axles/{best['axle']['sku']}") == best["axle"]
    scanned = get("/v1/axles", gtin=best["axle"]["gtin"])
    assert [axle["sku"] for axle in scanned["items"]] == [best["axle"]["sku"]]

    # The answer ends with what whoever turns the key has to know.
    assert {"maker_and_workshop_first", "tighten_and_check_again"} <= {
        caution["code"] for caution in found["cautions"]
    }


def test_a_customer_with_a_keyed_frame_gets_axles_of_its_profile(get):
    # Mallow: two-piece axles of 8 mm, 33.5 mm over its walls, recesses of 1 mm keyed larch.
    (frame,) = (
        frame
        for frame in get("/v1/frames", fastening="two_piece", limit=100)["items"]
        if frame["name"].startswith("Mallow")
    )
    found = get(f"/v1/frames/{frame['code']}/fits", limit=100)
    assert found["fits"]
    assert {fit["axle"]["keyed_profile"] for fit in found["fits"] if fit["verdict"] != "check_first"} == {
        "larch"
    }
    best = found["fits"][0]
    assert best["tool"] == {"drive": "hexagon_4", "keys": 1}
    assert "larch" in text_of(best["reasons"], "heads")

    # With no name on the frame: the old axle took one key, so the frame holds the other head.
    unnamed = {"fastening": "two_piece", "outside_width_mm": 33.5, "bore_mm": 8, "recess_mm": 1}
    one_key = get("/v1/fits", **unnamed, keys_needed=1, limit=100)
    assert "none" not in {fit["axle"]["keyed_profile"] for fit in one_key["fits"]}
    two_keys = get("/v1/fits", **unnamed, keys_needed=2, limit=100)
    certain = [fit for fit in two_keys["fits"] if fit["verdict"] in {"fits", "fits_with_caution"}]
    assert {fit["axle"]["keyed_profile"] for fit in certain} == {"none"}


def test_where_nothing_fits_the_nearest_axle_is_told_and_how_much_is_missing(get):
    # The longest axle with threads is 50 mm, the frame 53 mm wide.
    found = get(
        "/v1/fits", fastening="threaded_wall", outside_width_mm=53, far_wall_mm=6, bore_mm=8, thread="M8x1.25"
    )
    assert found["fits"] == []
    assert found["counts"]["no_fit"] == found["counts"]["considered"]
    nearest = found["near_misses"][0]
    assert nearest["axle"]["length_mm"] == 50
    (width,) = (reason for reason in nearest["reasons"] if reason["check"] == "width")
    assert (width["outcome"], width["value"]) == ("fail", 53)
    # An axle serves at least its own length, and at most that and the wall.
    assert 50 <= width["maximum"] < 53
    missing = round(53 - width["maximum"], 2)
    for text in (width["text"], nearest["would_fit_if"]):
        assert f"{width['maximum']:g} mm" in text
        assert f"{missing:g} mm" in text


def test_a_tapering_frame_is_fitted_axle_by_axle(get, client):
    # Coltsfoot is 38.5 mm wide at the front and 35.5 mm at the rear.
    refused = client.get("/v1/frames/QH-COLTSFOOT/fits")
    assert refused.status_code == 422
    (fault,) = refused.json()["errors"]
    assert fault == {"parameter": "axle_position", "allowed": "1 to 4, from the front"}

    lengths = []
    for position in (1, 2, 3, 4):
        found = get("/v1/frames/QH-COLTSFOOT/fits", axle_position=position)
        assert found["frame"]["outside_width_mm"]["value"] == 38.5 - (position - 1)
        lengths.append(found["fits"][0]["axle"]["length_mm"])
    assert lengths == sorted(lengths, reverse=True)
    assert lengths[0] > lengths[-1]
