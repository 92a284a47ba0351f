"""A write that is refused is told every fault of it: query, headers and body together."""

import pytest

from service.web.json_bodies import MOST_BYTES


def places(answer):
    return sorted(
        fault.get("parameter") or fault.get("header") or fault.get("pointer")
        for fault in answer.json()["errors"]
    )


def test_a_record_with_faults_everywhere_is_told_all_of_them(shop):
    path = shop.new_path("axles")
    body = b'{"name": 7, "stock": -1, "weight": 3, "colour": "black", "colour": "white", "sku": "OTHER"}'
    answer = shop.send("PUT", f"{path}?force=true", body, if_match="W/weak")
    assert answer.status_code == 422
    assert places(answer) == [
        "#/colour", "#/fastening", "#/name", "#/sku", "#/stock", "#/weight", "If-Match", "force",
    ]  # fmt: skip


def test_a_patch_is_told_what_is_wrong_beside_it(shop):
    path, _ = shop.put_new("axles")
    answer = shop.send(
        "PATCH", f"{path}?force=true", b'{"stock": 1, "stock": 2, "sku": "OTHER"}', if_match="weak"
    )
    assert (answer.status_code, places(answer)) == (422, ["#/sku", "#/stock", "If-Match", "force"])


def test_a_removal_is_told_of_its_query_and_its_headers(shop):
    path, _ = shop.put_new("axles")
    answer = shop.send("DELETE", f"{path}?force=true", if_none_match='"x"')
    assert (answer.status_code, places(answer)) == (422, ["If-None-Match", "force"])
    assert shop.get(path)["name"] == "One"


def test_an_import_is_told_of_its_query_and_its_headers(shop):
    answer = shop.send(
        "POST",
        "/v1/imports?table=axle&dry_run=maybe&mode=x",
        b"",
        content_type="text/csv",
        idempotency_key="a b",
    )
    assert (answer.status_code, places(answer)) == (422, ["Idempotency-Key", "dry_run", "mode", "table"])
    (table,) = (fault for fault in answer.json()["errors"] if fault.get("parameter") == "table")
    assert table["allowed"].endswith("; did you mean axles?")


def test_an_idempotency_key_is_never_shown(shop):
    for path in ("/v1/imports?table=axles", "/v1/imports?table=x"):
        answer = shop.send("POST", path, b"", content_type="text/csv", idempotency_key="only mine " * 20)
        assert (answer.status_code, "only mine" in answer.text) == (422, False)


@pytest.mark.parametrize(
    ("method", "media_type", "header", "accepted"),
    [
        ("PUT", "text/plain", "accept", "application/json"),
        # RFC 5789, 2.2 has a header of its own for patches.
        ("PATCH", "text/plain", "accept-patch", "application/merge-patch+json, application/json"),
        ("POST", "text/plain", "accept", "text/csv"),
    ],
)
def test_another_media_type_is_told_what_is_taken(shop, method, media_type, header, accepted):
    path = "/v1/imports?table=axles" if method == "POST" else shop.put_new("axles")[0]
    answer = shop.send(method, path, b"{}", if_match="*", content_type=media_type)
    assert (answer.status_code, answer.headers[header]) == (415, accepted)
    assert places(answer) == ["Content-Type"]


def test_a_write_without_a_condition_or_without_a_key_is_told_the_header(shop):
    path, _ = shop.put_new("axles")
    unconditional, keyless = shop.send("DELETE", path), shop.send("DELETE", path, authorization=None)
    assert (unconditional.status_code, places(unconditional)) == (428, ["If-Match"])
    assert (keyless.status_code, places(keyless)) == (401, ["Authorization"])


def test_a_record_that_is_not_there_is_told_by_the_key_in_the_path(shop):
    read, patched = shop.client.get("/v1/frames/NO"), shop.send("PATCH", "/v1/frames/NO", {}, if_match="*")
    for answer in (read, patched):
        assert (answer.status_code, places(answer)) == (404, ["code"])
        assert answer.json()["errors"][0]["found"] == "NO"


def test_a_compressed_file_is_refused(shop):
    answer = shop.load("axles", b"\x1f\x8b", content_encoding="gzip")
    assert (answer.status_code, answer.headers["accept-encoding"]) == (415, "identity")


def test_an_import_may_be_larger_than_other_bodies(open_shop, engine):
    roomy = open_shop(engine.empty(), import_max_bytes=2 * MOST_BYTES)
    file = "sku,name,fastening\nP-1,One,two_piece\n"
    assert roomy.load("axles", file + "\n" * (MOST_BYTES + 1)).status_code == 200
    too_large = roomy.load("axles", file + "\n" * 2 * MOST_BYTES)
    assert (too_large.status_code, too_large.json()["errors"][0]["pointer"]) == (413, "#")


def test_an_import_that_is_announced_as_too_large_is_refused_unread(shop):
    # The file itself is small: who is refused has been refused for the announcement.
    file = "sku,name,fastening\nP-1,One,two_piece\n"
    answer = shop.load("axles", file, dry_run=True, content_length="100001")
    assert (answer.status_code, answer.json()["errors"][0]["found"]) == (413, "100001 bytes")
