"""Stories of a partner's programs: a nightly batch, pages, limits, languages, traces."""

import hashlib
import json
import re

import pytest
from sqlmodel import text


@pytest.fixture
def time_passes(demonstration):
    """Lets seconds pass for the limits: their windows began that much earlier."""

    def pass_by(seconds):
        with demonstration.writing() as session:
            earlier = text("UPDATE request_count SET began_at_ms = began_at_ms - :ms")
            session.connection().execute(earlier, {"ms": seconds * 1000})

    return pass_by


def test_a_nightly_batch_with_one_bad_line_gets_all_its_other_answers(shop, measured):
    lookups = [measured | {"id": f"skate {number}", "outside_width_mm": 34 + number} for number in range(6)]
    lookups[3]["outside_width_mm"] = [36.4, "36,5"]  # the second reading is written as its reader speaks
    written = "".join(json.dumps(lookup) + "\n" for lookup in lookups)
    answer = shop.client.post(
        "/v1/fits/batch", content=written.encode(), headers={"content-type": "application/x-ndjson"}
    )
    assert answer.status_code == 200
    *before, last = answer.content.splitlines(keepends=True)
    results, end = [json.loads(line) for line in before], json.loads(last)

    assert [result["id"] for result in results] == [lookup["id"] for lookup in lookups]
    assert [result["status"] for result in results] == [200, 200, 200, 422, 200, 200]
    (fault,) = results[3]["problem"]["errors"]
    assert (fault["pointer"], fault["found"]) == ("#/outside_width_mm/1", "36,5")
    alone = shop.client.post("/v1/fits", json=measured | {"outside_width_mm": 39})
    assert results[5]["answer"] == alone.json()
    # Nothing was lost on the way: the last line counts and digests the others (FIPS 180-4).
    assert (end["count"], end["answered"], end["refused"]) == (6, 5, 1)
    assert end["sha256"] == hashlib.sha256(b"".join(before)).hexdigest()


def test_a_partner_over_its_limit_waits_as_it_is_told_and_goes_on(open_shop, time_passes, problem_in):
    shop = open_shop(limit_per_minute=2)
    path = "/v1/axles?limit=1"
    kept = shop.ask(path)
    shop.ask(path)
    over = shop.client.get(path)
    problem_in(over, 429, "quota-exceeded")
    wait = int(over.headers["retry-after"])
    assert 1 <= wait <= 60
    # draft-ietf-httpapi-ratelimit-headers: nothing is left, for as long as Retry-After says.
    assert re.fullmatch(rf'"address";r=0;t={wait}', over.headers["ratelimit"])
    # What has not changed is free, and so is what a monitor asks.
    assert shop.ask(path, status=304, headers={"If-None-Match": kept.headers["etag"]})
    assert shop.ask("/health/live")

    time_passes(wait // 2)
    problem_in(shop.client.get(path), 429, "quota-exceeded")
    time_passes(wait - wait // 2)
    assert shop.ask(path).headers["ratelimit"].startswith('"address";r=1;')


def test_a_cursor_ends_when_the_catalogue_moves_and_the_partner_begins_again(shop, measured, problem_in):
    first = shop.get("/v1/fits", **measured, limit=5)
    following = first["links"]["next"]
    ranks = [fit["rank"] for fit in shop.get(following)["fits"]]
    assert ranks == [6, 7, 8, 9, 10]

    gone = first["fits"][0]["axle"]["sku"]
    headers = {"Authorization": f"Bearer {shop.key}", "If-Match": "*"}
    assert shop.client.delete(f"/v1/axles/{gone}", headers=headers).status_code == 204
    # Page two of the new catalogue would leave out the axle that has moved up to page one.
    stale = shop.client.get(following)
    (fault,) = problem_in(stale, 400, "cursor")["errors"]
    assert fault["parameter"] == "cursor"

    anew = shop.get(first["links"]["first"])
    assert anew["catalogue_revision"] == first["catalogue_revision"] + 1
    assert anew["fits"][0]["axle"]["sku"] == first["fits"][1]["axle"]["sku"]
    assert [fit["rank"] for fit in shop.get(anew["links"]["next"])["fits"]] == ranks


@pytest.mark.parametrize(
    ("accepted", "spoken"),
    [
        ("fr;q=0.8, nl;q=0.9, *;q=0.1", "nl"),  # RFC 9110, 12.5.4: the highest weight
        ("sv, it;q=0.3", "it"),  # a language that there is not goes by
        ("de;q=0, es;q=0.2", "es"),  # 12.4.2: a weight of 0 is "not acceptable"
        ("sv", "en"),
    ],
)
def test_a_shop_in_another_language_asks_with_weights(shop, measured, accepted, spoken):
    answer = shop.ask("/v1/fits", **measured, limit=1, headers={"Accept-Language": accepted})
    assert answer.headers["content-language"] == spoken
    alone = shop.ask("/v1/fits", **measured, limit=1, headers={"Accept-Language": spoken})
    assert answer.content == alone.content


def test_a_misspelt_parameter_is_not_passed_over_and_the_right_name_is_told(shop, measured, problem_in):
    misspelt = {name: value for name, value in measured.items() if name not in {"far_wall_mm", "thread"}}
    refused = shop.client.get("/v1/fits", params=misspelt | {"far_wal_mm": 6, "thred": "M8x1.25"})
    faults = problem_in(refused, 422, "invalid-request")["errors"]
    told = {fault["parameter"]: fault["allowed"] for fault in faults}
    assert set(told) == {"far_wal_mm", "thred"}  # both at once
    meant = {name: re.search(r"did you mean (\w+)\?", allowed)[1] for name, allowed in told.items()}
    assert meant == {"far_wal_mm": "far_wall_mm", "thred": "thread"}
    mended = misspelt | {meant["far_wal_mm"]: 6, meant["thred"]: "M8x1.25"}
    assert shop.get("/v1/fits", **mended) == shop.get("/v1/fits", **measured)


def test_a_partner_finds_its_own_request_again_by_its_identifiers(shop):
    # The example of W3C Trace Context, 3.2.
    trace = "4bf92f3577b34da6a3ce929d0e0e4736"
    sent = {"traceparent": f"00-{trace}-00f067aa0ba902b7-01", "X-Request-Id": "order-4711"}
    for path, status in (("/v1/axles/TW8-36-M8-HX6", 200), ("/v1/axles/NOTHING", 404), ("/v1/fits", 422)):
        answer = shop.ask(path, status=status, headers=sent)
        assert answer.headers["x-request-id"] == "order-4711"
        assert answer.headers["traceparent"].split("-")[1] == trace
