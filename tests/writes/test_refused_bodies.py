"""A body that cannot be a record is refused whole, with every fault by its JSON Pointer (RFC 6901)."""

import json
import math

import pytest

AXLE = {"name": "One", "fastening": "two_piece"}
MOST_BYTES = 256 * 1024


@pytest.fixture
def pointers_of(shop):
    """Where the faults of a refused record stand; that it has changed nothing is made sure."""

    def find(kind, body):
        path, before = shop.new_path(kind), shop.revision
        answer = shop.send("PUT", path, body, if_none_match="*")
        assert answer.status_code == 422, answer.text
        assert answer.headers["content-type"] == "application/problem+json"
        assert all(fault["allowed"] for fault in answer.json()["errors"])
        assert shop.revision == before
        assert shop.client.get(path).status_code == 404
        return [fault["pointer"] for fault in answer.json()["errors"]]

    return find


@pytest.mark.parametrize(
    ("kind", "changes", "pointers"),
    [
        ("axles", {"stock": -1}, ["#/stock"]),
        ("axles", {"stock": 1.5}, ["#/stock"]),
        ("axles", {"stock": 2**63}, ["#/stock"]),
        ("axles", {"stock": [3]}, ["#/stock"]),
        ("axles", {"length_mm": 0}, ["#/length_mm"]),
        ("axles", {"length_mm": 36.1234}, ["#/length_mm"]),
        ("axles", {"length_mm": 200.001}, ["#/length_mm"]),
        ("axles", {"length_mm": "36,4"}, ["#/length_mm"]),
        ("axles", {"length_mm": math.nan}, ["#/length_mm"]),  # RFC 8259 has no such number
        ("axles", {"length_mm": math.inf}, ["#/length_mm"]),
        ("axles", {"length_mm": 1e-9}, ["#/length_mm"]),  # nothing, in whole micrometres
        ("axles", {"name": ""}, ["#/name"]),
        ("axles", {"name": "a\x00b"}, ["#/name"]),
        ("axles", {"name": "\ud800"}, ["#/name"]),
        ("axles", {"name": 7}, ["#/name"]),
        ("axles", {"gtin": "1234567"}, ["#/gtin"]),
        ("axles", {"fastening": "glued"}, ["#/fastening"]),
        ("axles", {"colour": "Black"}, ["#/colour"]),
        ("axles", {"price": "4.90"}, ["#/currency"]),
        ("axles", {"grip_min_mm": 38, "grip_max_mm": 37.999}, ["#/grip_max_mm"]),
        ("axles", {"brake_thread": "M6x1"}, ["#/brake_thread"]),
        ("axles", {"weight_g": 12}, ["#/weight_g"]),
        ("axles", {"a/b~c": 1}, ["#/a~1b~0c"]),
        ("axles", {"stock": -1, "length_mm": 0, "drive": "hammer"}, ["#/length_mm", "#/drive", "#/stock"]),
        ("frames", {"wheels": 0}, ["#/wheels"]),
        ("frames", {"outside_widths_mm": [36.4, 0]}, ["#/outside_widths_mm/1"]),
        ("frames", {"outside_widths_mm": [1e-9]}, ["#/outside_widths_mm/0"]),
        ("frames", {"outside_widths_mm": [36.4, "wide"]}, ["#/outside_widths_mm/1"]),
        ("frames", {"axle_positions_mm": [90, 0]}, ["#/axle_positions_mm"]),
        ("frames", {"brake_position": 5}, ["#/brake_position"]),
        ("sleeves", {"inner_mm": 8}, ["#/inner_mm"]),
    ],
    ids=lambda value: ascii(value)[:50],
)
def test_a_fault_is_told_by_its_pointer(pointers_of, good, kind, changes, pointers):
    assert pointers_of(kind, good[kind] | changes) == pointers


@pytest.mark.parametrize(
    ("kind", "missing"),
    [
        ("axles", ["name", "fastening"]),
        ("frames", ["name", "wheels"]),
        ("sleeves", ["name", "inner_mm", "outer_mm", "length_mm"]),
    ],
)
def test_every_field_that_is_required_is_told(pointers_of, kind, missing):
    assert pointers_of(kind, {}) == [f"#/{name}" for name in missing]


@pytest.mark.parametrize("field", ["stock", "length_mm", "name", "driven_heads", "price", "pack_quantity"])
@pytest.mark.parametrize("value", [True, False])
def test_true_and_false_are_refused_in_every_field(pointers_of, field, value):
    assert f"#/{field}" in pointers_of("axles", AXLE | {field: value})


def test_true_and_false_are_refused_in_a_patch(shop):
    path, _ = shop.put_new("axles")
    answer = shop.send("PATCH", path, {"stock": True}, if_match="*")
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/stock")
    assert shop.get(path)["stock"] == 3


@pytest.mark.parametrize("method", ["PUT", "PATCH"])
@pytest.mark.parametrize("other", ["OTHER-1", "", None, 7], ids=repr)
def test_a_body_with_another_key_than_the_path_is_refused(shop, table, good, method, other):
    path, _ = shop.put_new(table)
    key = "code" if table == "frames" else "sku"
    answer = shop.send(method, path, good[table] | {"name": "Two", key: other}, if_match="*")
    assert (answer.status_code, [f["pointer"] for f in answer.json()["errors"]]) == (422, [f"#/{key}"])
    assert shop.get(path)["name"] == "One"


@pytest.mark.parametrize("key", ["-begins-with-a-dash", "a" * 41, "with%20space", "%C3%A4"])
def test_a_key_that_a_record_cannot_have_is_refused(shop, key):
    answer = shop.send("PUT", f"/v1/axles/{key}", AXLE, if_none_match="*")
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/sku")


def test_a_patch_that_takes_away_what_is_required_is_refused(shop):
    path, _ = shop.put_new("axles")
    answer = shop.send("PATCH", path, {"name": None}, if_match="*")
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/name")
    assert shop.get(path)["name"] == "One"


def test_a_patch_is_judged_by_the_record_that_it_would_make(shop):
    path, _ = shop.put_new("axles", grip_min_mm=34, grip_max_mm=36)
    answer = shop.send("PATCH", path, {"grip_min_mm": 37}, if_match="*")
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/grip_max_mm")


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b'"text"',
        b"7",
        b'{"name": "\xff"}',
        b"[" * 100_000,
    ],
    ids=lambda body: ascii(body[:20]),
)
@pytest.mark.parametrize("method", ["PUT", "PATCH"])
def test_what_is_not_a_json_object_is_refused(shop, method, body):
    path, _ = shop.put_new("axles")
    answer = shop.send(method, path, body, if_match="*")
    assert (answer.status_code, answer.json()["type"]) == (400, "/problems/malformed-request")


def test_a_name_that_stands_twice_is_refused(shop):
    path, _ = shop.put_new("axles")
    answer = shop.send("PATCH", path, b'{"stock": 1, "stock": 2}', if_match="*")
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/stock")


@pytest.mark.parametrize(
    ("method", "media_type"),
    [
        ("PUT", None),
        ("PUT", "text/plain"),
        ("PUT", "application/merge-patch+json"),
        ("PUT", "application/x-www-form-urlencoded"),
        ("PATCH", None),
        ("PATCH", "application/json-patch+json"),  # RFC 6902 is another kind of patch
        ("PATCH", "text/csv"),
    ],
)
def test_another_media_type_is_refused(shop, method, media_type):
    path, _ = shop.put_new("axles")
    answer = shop.send(method, path, AXLE, if_match="*", content_type=media_type)
    assert (answer.status_code, answer.json()["type"]) == (415, "/problems/unsupported-media-type")


@pytest.mark.parametrize(("size", "status"), [(MOST_BYTES, 200), (MOST_BYTES + 1, 413)])
def test_a_body_is_as_large_as_allowed_and_not_larger(shop, size, status):
    path, _ = shop.put_new("axles")
    body = json.dumps(AXLE).encode()
    assert shop.send("PUT", path, body + b" " * (size - len(body)), if_match="*").status_code == status
