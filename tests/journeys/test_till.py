"""Stories of a till: the barcode, the stock, the line that is down."""

import hashlib
import json

from tests.journeys.conftest import LOOK


class Till:
    """A till that keeps a copy of the catalogue: the records by table and key, at a revision."""

    def __init__(self):
        self.records, self.revision = {}, None

    def begin(self, lines):
        """Take a snapshot; it is whole if the last line counts what came before it (FIPS 180-4)."""
        *before, last = lines.splitlines(keepends=True)
        end = json.loads(last)
        assert end["records"] == len(before) - 1
        assert end["sha256"] == hashlib.sha256(b"".join(before)).hexdigest()
        self.revision = json.loads(before[0])["catalogue_revision"]
        for line in map(json.loads, before[1:]):
            key = line["record"].get("sku") or line["record"]["code"]
            self.records[line["table"], key] = line["record"]

    def catch_up(self, get, page_size):
        """Take the changes since the copy's revision, page by page."""
        since, cursor = self.revision, None
        while True:
            following = {} if cursor is None else {"cursor": cursor}
            page = get("/v1/changes", since=since, limit=page_size, **following)
            for change in page["items"]:
                place = change["table"], change["key"]
                assert self.records.get(place) == change["before"]
                self.records[place] = change["after"]
            if (cursor := page["next_cursor"]) is None:
                break
        self.revision = page["catalogue_revision"]
        self.records = {place: record for place, record in self.records.items() if record is not None}


def snapshot_of(shop):
    return shop.ask("/v1/snapshot", headers={"accept-encoding": "identity"}).content


def test_a_till_that_was_offline_catches_up_and_ends_with_the_same_catalogue(shop):
    till = Till()
    till.begin(snapshot_of(shop))
    began = till.revision

    # Meanwhile the shop sells, brings in new axles, and takes one out.
    assert shop.patch("/v1/axles/TW8-36-M8-HX6", {"stock": 5}, if_match="*").status_code == 200
    assert shop.patch("/v1/axles/TW8-36-M8-HX6", {"stock": 4}, if_match="*").status_code == 200
    brought = shop.load("sku,name,fastening\nNEW-1,New,two_piece\nNEW-2,Newer,two_piece\n")
    assert brought.json()["records"] == 2
    headers = {"Authorization": f"Bearer {shop.key}", "If-Match": "*"}
    assert shop.client.delete("/v1/axles/NEW-1", headers=headers).status_code == 204

    till.catch_up(shop.get, page_size=2)
    assert till.revision == began + 4  # two sales, one import, one deletion
    fresh = Till()
    fresh.begin(snapshot_of(shop))
    assert (till.records, till.revision) == (fresh.records, fresh.revision)
    assert till.records["axles", "TW8-36-M8-HX6"]["stock"] == 4
    assert ("axles", "NEW-1") not in till.records


def test_a_barcode_leads_to_its_axle_and_an_unknown_one_to_none(shop):
    # GS1 General Specifications: a GTIN-13 is the GTIN-14 with a zero before it, and scanners send either.
    for scanned in ("2000000000794", "02000000000794"):
        (found,) = shop.get("/v1/axles", gtin=scanned)["items"]
        assert (found["sku"], found["gtin"]) == ("TW8-36-M8-HX6", "2000000000794")
    read = shop.ask(f"/v1/axles/{found['sku']}")
    assert read.json() == found
    # The record's tag is what the sale after the scan names (RFC 9110, 13.1.1).
    sold = shop.patch(f"/v1/axles/{found['sku']}", {"stock": 5}, if_match=read.headers["etag"])
    assert sold.json() == found | {"stock": 5}
    unknown = shop.get("/v1/axles", gtin="2000000009995")
    assert (unknown["items"], unknown["next_cursor"]) == ([], None)


def test_two_clerks_sell_the_same_axle_and_no_sale_is_lost(shop, problem_in):
    path = "/v1/axles/TW8-36-M8-HX6"
    first, second = shop.ask(path), shop.ask(path)
    assert first.json()["stock"] == 6
    sold = shop.patch(path, {"stock": 5}, if_match=first.headers["etag"])
    assert sold.status_code == 200

    # RFC 9110, 13.1.1: the second clerk's state is no longer the record's.
    late = shop.patch(path, {"stock": 5}, if_match=second.headers["etag"])
    problem_in(late, 412, "precondition-failed")
    assert shop.get(path)["stock"] == 5

    again = shop.ask(path)
    assert again.headers["etag"] == sold.headers["etag"]
    left = again.json()["stock"] - 1
    assert shop.patch(path, {"stock": left}, if_match=again.headers["etag"]).json()["stock"] == 4
    # Without saying which state it means, a till changes nothing (RFC 6585, 3).
    problem_in(shop.patch(path, {"stock": 0}), 428, "precondition-required")
    assert shop.get(path)["stock"] == 4


def test_the_database_is_away_and_lookups_go_on_with_their_age(
    open_shop, demonstration_copy, measured, wait_until, problem_in
):
    shop = open_shop(refresh_seconds=LOOK)
    before = shop.ask("/v1/fits", **measured)
    assert "catalogue-age" not in before.headers
    away = demonstration_copy.with_name("away.sqlite3")
    demonstration_copy.rename(away)
    wait_until(lambda: "catalogue-age" in shop.ask("/v1/fits", **measured).headers)

    during = shop.ask("/v1/fits", **measured)
    assert during.content == before.content
    assert int(during.headers["catalogue-age"]) >= 0
    refused = shop.patch("/v1/axles/TW8-36-M8-HX6", {"stock": 5}, if_match="*")
    problem_in(refused, 503, "database-unavailable")
    assert int(refused.headers["retry-after"]) > 0  # RFC 9110, 10.2.3: seconds

    away.rename(demonstration_copy)
    wait_until(lambda: "catalogue-age" not in shop.ask("/v1/fits", **measured).headers)
    assert shop.patch("/v1/axles/TW8-36-M8-HX6", {"stock": 5}, if_match="*").status_code == 200
