"""Stories of a shop's counter, with a known frame in the hand."""

import pytest


def reason_of(fit, check):
    (found,) = [reason for reason in fit["reasons"] if reason["check"] == check]
    return found


def codes_of(cautions):
    return {caution["code"] for caution in cautions}


def test_a_childs_thin_axle_needs_its_sleeve_and_is_not_for_an_adult(shop):
    # Tansy takes axles of 6 mm with M6x1; 34 mm over its walls, of 4.8 mm each.
    path = "/v1/frames/QH-TANSY/fits"
    child = shop.get(path, child=True, rider_mass_kg=30)
    best = child["fits"][0]
    assert (best["axle"]["shaft_mm"], best["axle"]["thread"], best["axle"]["length_mm"]) == (6, "M6x1", 34)
    assert reason_of(best, "thin_axle")["outcome"] == "pass"
    assert best["verdict"] == "fits"
    # lo = L - 1; hi = L - c + t_f - e_min, with e_min at least 0.6·(4.8 - 1) = 2.28.
    assert best["width_window_mm"]["min"] == 33
    assert 34 < best["width_window_mm"]["max"] <= 34 - 1 + 4.8 - 2.28
    # The sleeve goes from 6 mm to the bearing's 8 mm, as long as the hub is wide, 24 mm.
    (needed,) = best["also_needed"]
    sleeve = shop.get(f"/v1/sleeves/{needed['sku']}")
    assert (sleeve["inner_mm"], sleeve["outer_mm"], sleeve["length_mm"]) == (6, 8, 24)
    assert "child_skate_checked_by_adult" in codes_of(child["cautions"])
    assert "thin_axles_not_for_adults" not in codes_of(child["cautions"])

    # A rider of 60 kg or more, or nobody knows: common practice, no source.
    for rider in ({"rider_mass_kg": 60}, {}):
        grown = shop.get(path, **rider)
        assert "thin_axles_not_for_adults" in codes_of(grown["cautions"])
        assert {reason_of(fit, "thin_axle")["outcome"] for fit in grown["fits"]} == {"caution"}
        assert "fits" not in {fit["verdict"] for fit in grown["fits"]}


def test_a_frame_that_tapers_needs_a_length_for_each_of_its_axles(shop, problem_in):
    # Bracken tapers from 38.8 to 37.3 mm; its tapped wall is 6.5 mm. Of the whole lengths the nearest are:
    widths, lengths = [38.8, 38.3, 37.8, 37.3], [39, 38, 38, 37]
    refused = shop.client.get("/v1/frames/QH-BRACKEN/fits")
    (fault,) = problem_in(refused, 422, "axle-position")["errors"]
    assert fault["parameter"] == "axle_position"
    for position, (width, length) in enumerate(zip(widths, lengths, strict=True), 1):
        found = shop.get("/v1/frames/QH-BRACKEN/fits", axle_position=position)
        assert found["frame"]["outside_width_mm"]["value"] == width
        best = found["fits"][0]
        assert (best["verdict"], best["axle"]["length_mm"]) == ("fits", length)
        # hi = L - c + t_f - e_min with c = 1.25 and e_min = 0.6·(6.5 - 1.25) = 3.15.
        window = best["width_window_mm"]
        assert (window["min"], window["max"]) == (length - 1, pytest.approx(length - 1.25 + 6.5 - 3.15))
    problem_in(shop.client.get("/v1/frames/QH-BRACKEN/fits?axle_position=5"), 422, "axle-position")


def test_the_last_wheel_carries_the_brake_and_needs_an_axle_with_its_thread(shop):
    # Alder has its brake at the fourth wheel, on M6x1.
    frame = shop.get("/v1/frames/QH-ALDER")
    assert (frame["brake_position"], frame["brake_thread"], frame["wheels"]) == (4, "M6x1", 4)
    path = "/v1/frames/QH-ALDER/fits"
    last = shop.get(path, axle_position=4, limit=100, near_misses=20)
    assert {fit["axle"]["brake_thread"] for fit in last["fits"]} == {"M6x1"}
    assert {reason_of(fit, "brake")["outcome"] for fit in last["fits"]} == {"pass"}
    # An axle for the other brake thread, and one for none, are told with what is wrong.
    missed = {miss["axle"]["sku"]: miss for miss in last["near_misses"]}
    assert reason_of(missed["TW8-36-M8-BR5"], "brake")["outcome"] == "fail"

    other = shop.get(path, axle_position=3, limit=100)
    brakes = [fit for fit in other["fits"] if fit["axle"]["brake_thread"]]
    assert brakes
    assert {reason_of(fit, "brake")["outcome"] for fit in brakes} == {"caution"}
    assert other["fits"][0]["axle"]["brake_thread"] is None
