"""Stories of a web shop: its product filter, its pages in other languages, its caches."""

import re

ORIGIN = "https://shop.example"


def every_page(shop, path, **parameters):
    """The pages of a list, by the links of their header alone (RFC 8288)."""
    answer = shop.ask(path, **parameters)
    while True:
        yield answer
        following = re.search(r'<([^>]*)>; rel="next"', answer.headers["link"])
        if following is None:
            return
        answer = shop.ask(following[1])


def test_a_shops_filter_narrows_to_one_axle_and_its_pages_list_as_many_as_it_counted(shop, measured):
    whole = shop.get("/v1/facets", **measured)
    chosen = {"drive": "hexalobular_25", "colour": "black"}
    narrowed = shop.get("/v1/facets", **measured, **chosen)
    assert narrowed["count"] == 1 < whole["count"]
    # A facet is counted without its own filter, so that the shop can show what another choice would give.
    colours = {entry["value"]: entry["count"] for entry in narrowed["facets"]["colour"]}
    assert colours["black"] == 1
    assert colours["silver"] > 1

    pages = list(every_page(shop, "/v1/fits", **measured, limit=4, near_misses=0))
    listed = [fit["axle"] for page in pages for fit in page.json()["fits"]]
    assert len(pages) == -(-whole["count"] // 4)
    assert len({axle["sku"] for axle in listed}) == len(listed) == whole["count"]
    for facet, choices in (("drive", ["hexalobular_25", "hexagon_4"]), ("colour", ["black", "silver"])):
        counts = {entry["value"]: entry["count"] for entry in whole["facets"][facet]}
        for value in choices:
            assert counts[value] == sum(axle[facet] == value for axle in listed)
    (one,) = [axle for axle in listed if chosen.items() <= axle.items()]
    assert shop.get(f"/v1/axles/{one['sku']}") == one
    # The links of the body are those of the header.
    assert all((page.json()["links"]["next"] or "") in page.headers["link"] for page in pages)
    assert pages[-1].json()["links"]["next"] is None


def test_a_customer_who_measured_in_inches_gets_the_answer_in_millimetres(shop, measured):
    # 1 7/16 in = 1.4375 × 25.4 mm = 36.5125 mm; an inch is 25.4 mm exactly (yard = 0.9144 m, 1959).
    in_mm = shop.ask("/v1/fits", **measured | {"outside_width_mm": "36.5125"})
    for inches in ("1 7/16in", "1.4375in"):
        in_inches = shop.ask("/v1/fits", **measured | {"outside_width_mm": inches})
        assert in_inches.content == in_mm.content
        assert in_inches.headers["etag"] == in_mm.headers["etag"]
    best = in_mm.json()["fits"][0]
    # lo = L - 1; hi = L - c + t_f - e_min with c = 1.25, e_min = 0.6·(6 - 1.25) = 2.85 for an axle of 36 mm.
    assert best["width_window_mm"] == {"min": 36 - 1, "max": 36 - 1.25 + 6 - 2.85}
    width = next(reason for reason in best["reasons"] if reason["check"] == "width")
    assert width["unit"] == "mm"


def test_a_german_page_says_the_same_in_german(shop, measured):
    english = shop.ask("/v1/fits", **measured, limit=3)
    german = shop.ask("/v1/fits", **measured, limit=3, headers={"Accept-Language": "de-AT,de;q=0.9,en;q=0.5"})
    assert german.headers["content-language"] == "de"
    # RFC 9110, 12.5.5 and 8.8.3: a cache keeps the two apart.
    assert "accept-language" in german.headers["vary"].lower()
    assert german.headers["etag"] != english.headers["etag"]
    for said, spoken in zip(english.json()["fits"], german.json()["fits"], strict=True):
        assert said["axle"] == spoken["axle"]
        for reason, grund in zip(said["reasons"], spoken["reasons"], strict=True):
            assert grund["text"] != reason["text"]
            assert grund | {"text": ""} == reason | {"text": ""}


def test_where_nothing_fits_the_filter_tells_which_condition_to_move(shop, measured):
    wide = measured | {"outside_width_mm": 53}
    nothing = shop.get("/v1/facets", **wide)
    assert nothing["count"] == 0
    relaxed = {(entry["condition"], entry["change"]): entry for entry in nothing["relax"]}
    # The longest axle with M8x1.25 is 50 mm: hi = 50 - 1.25 + 6 - 2.85 = 51.9 (see the fit's formula).
    width = relaxed["outside_width_mm", "moved"]
    assert width["to"] == 51.9
    assert shop.get("/v1/facets", **wide | {"outside_width_mm": width["to"]})["count"] == width["count"] > 0
    # What a dropped condition promises is what the lookup without it gives.
    dropped = [entry for entry in nothing["relax"] if entry["change"] == "dropped"]
    assert dropped
    for entry in dropped:
        left = {name: value for name, value in wide.items() if name != entry["condition"]}
        assert shop.get("/v1/facets", **left)["count"] == entry["count"] > 0


def test_a_page_from_another_origin_reads_an_error_and_its_page_explains_it(shop, problem_in):
    query = "outside_width_mm=36,4&bore_mm=7"
    refused = shop.client.get(f"/v1/fits?{query}", headers={"Origin": ORIGIN})
    problem = problem_in(refused, 422, "invalid-request")
    # Fetch standard, CORS check: without this header the page would see a network error and no reason.
    assert refused.headers["access-control-allow-origin"] == "*"
    assert "retry-after" in refused.headers["access-control-expose-headers"].lower()
    # The page puts each fault beside its field; the comma is told what a decimal point is.
    faults = {fault["parameter"]: fault for fault in problem["errors"]}
    assert faults["outside_width_mm"]["found"] == "36,4"
    assert "36.4" in faults["outside_width_mm"]["allowed"]
    page = shop.ask(problem["type"])
    assert page.headers["content-type"].startswith("text/html")
    assert problem["title"] in page.text
    assert "<script" not in page.text


def test_a_cache_asks_again_and_is_told_that_nothing_has_changed_until_a_sale(shop):
    query = "/v1/fits?fastening=threaded_wall&outside_width_mm=36.4&bore_mm=8&thread=M8x1.25&limit=3"
    again = "/v1/fits?limit=3&thread=M8x1.25&bore_mm=8.0&outside_width_mm=36.40&fastening=threaded_wall"
    kept = shop.ask(query)
    tag, best = kept.headers["etag"], kept.json()["fits"][0]["axle"]
    assert {"public", "max-age=10"} <= set(re.split(r",\s*", kept.headers["cache-control"]))
    assert "stale-if-error" in kept.headers["cache-control"]  # RFC 5861, 4

    # RFC 9110, 13.1.2 and 15.4.5: the same question in another order and spelling is not sent again.
    unchanged = shop.ask(again, status=304, headers={"If-None-Match": tag})
    assert (unchanged.content, unchanged.headers["etag"]) == (b"", tag)

    sold = shop.patch(f"/v1/axles/{best['sku']}", {"stock": best["stock"] - 1}, if_match="*")
    assert sold.status_code == 200
    moved = shop.ask(again, headers={"If-None-Match": tag})
    assert moved.headers["etag"] != tag
    assert moved.json()["fits"][0]["axle"]["stock"] == best["stock"] - 1
