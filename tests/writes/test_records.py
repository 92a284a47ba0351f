"""PUT, PATCH and DELETE of one record: what each makes of it, and what it answers."""

import pytest

FULL_AXLE = {
    "gtin": "2000000000008",
    "name": "A full axle, 8 × 36 mm „schwarz“",
    "fastening": "threaded_wall",
    "shaft_mm": 8.0,
    "shaft_tolerance": "f9",
    "length_mm": 36.123,
    "length_tolerance_mm": 0.15,
    "thread": "M8x1.25",
    "thread_length_mm": 12.0,
    "drive": "hexagon_4",
    "driven_heads": 1,
    "keyed_profile": "none",
    "offset_mm": 0.0,
    "brake_thread": "M6x1",
    "material": "steel_8_8",
    "colour": "black",
    "pack_quantity": 8,
    "price": "12.90",
    "currency": "EUR",
    "stock": 1_000_000_000,
}
FULL_FRAME = {
    "name": "A full frame",
    "fastening": "two_piece",
    "bore_mm": 8.0,
    "holes": "oval",
    "hole_offset_mm": 1.5,
    "outside_widths_mm": [36.4, 35.401],
    "inside_width_mm": 24.4,
    "head_wall_mm": 6.0,
    "far_wall_mm": 6.0,
    "recess_mm": 0.0,
    "thread": "M8x1.25",
    "wall_material": "aluminium_7075_t6",
    "keyed_profile": "larch",
    "wheels": 2,
    "axle_positions_mm": [0.0, 90.5],
    "brake_position": 2,
    "brake_thread": "M6x1",
}


def without_nulls(record):
    return {name: value for name, value in record.items() if value is not None}


@pytest.mark.parametrize(
    ("kind", "record", "key"), [("axles", FULL_AXLE, "sku"), ("frames", FULL_FRAME, "code")]
)
def test_every_field_that_is_put_is_read_again(shop, kind, record, key):
    path = shop.new_path(kind)
    shop.send("PUT", path, record, if_none_match="*")
    assert without_nulls(shop.get(path)) == record | {key: path.rpartition("/")[2]}


def test_a_new_record_is_201_and_a_replaced_one_200_and_a_removed_one_204(shop, table, good):
    path = shop.new_path(table)
    statuses = [
        shop.send("PUT", path, good[table], if_none_match="*").status_code,
        shop.send("PUT", path, good[table], if_match="*").status_code,
        shop.send("PATCH", path, {"name": "Two"}, if_match="*").status_code,
        shop.send("DELETE", path, if_match="*").status_code,
    ]
    assert statuses == [201, 200, 200, 204]


def test_a_put_answers_with_the_record_that_reading_gives(shop, table):
    path, answer = shop.put_new(table)
    assert answer.content == shop.client.get(path).content


def test_a_put_takes_away_what_it_does_not_name(shop, good):
    path, _ = shop.put_new("axles", colour="black")
    shop.send("PUT", path, good["axles"], if_match="*")
    assert shop.get(path)["colour"] is None


def test_a_patch_keeps_what_it_does_not_name(shop):
    path, _ = shop.put_new("axles", colour="black", stock=3)
    answer = shop.send("PATCH", path, {"stock": 4}, if_match="*")
    assert (answer.json()["colour"], answer.json()["stock"]) == ("black", 4)


# RFC 7396, section 2: null takes a member away, any other value takes its place, arrays whole.
def test_a_null_in_a_patch_takes_the_field_away(shop):
    path, _ = shop.put_new("axles", colour="black", price="4.90", currency="EUR")
    answer = shop.send("PATCH", path, {"price": None, "currency": None}, if_match="*")
    assert without_nulls(answer.json()).keys() & {"price", "currency", "colour"} == {"colour"}
    assert shop.client.get(path).content == answer.content


def test_a_null_for_a_field_that_there_is_not_changes_nothing(shop):
    path, put = shop.put_new("axles")
    assert shop.send("PATCH", path, {"colour": None}, if_match="*").content == put.content


def test_a_null_for_a_pack_leaves_a_pack_of_one(shop):
    path, _ = shop.put_new("axles", pack_quantity=8)
    assert shop.send("PATCH", path, {"pack_quantity": None}, if_match="*").json()["pack_quantity"] == 1


def test_an_empty_patch_leaves_the_record_as_it_is(shop, table):
    path, put = shop.put_new(table)
    answer = shop.send("PATCH", path, {}, if_match=put.headers["ETag"])
    assert (answer.status_code, answer.content) == (200, put.content)


def test_a_list_in_a_patch_takes_the_place_of_the_list(shop):
    path, _ = shop.put_new("frames", outside_widths_mm=[38.0, 37.0, 36.0, 35.0])
    answer = shop.send("PATCH", path, {"outside_widths_mm": [36.4]}, if_match="*")
    assert answer.json()["outside_widths_mm"] == [36.4]


@pytest.mark.parametrize("media_type", ["application/merge-patch+json", "application/json; charset=utf-8"])
def test_a_patch_comes_as(shop, media_type):
    path, _ = shop.put_new("axles")
    answer = shop.send("PATCH", path, b'{"stock": 9}', if_match="*", content_type=media_type)
    assert answer.json()["stock"] == 9


def test_a_record_in_another_spelling_is_kept_in_its_one_right_spelling(shop):
    path, answer = shop.put_new("axles", thread="M8", price="4.9", currency="EUR")
    assert (answer.json()["thread"], answer.json()["price"]) == ("M8x1.25", "4.90")
    again = shop.send("PUT", path, answer.json() | {"thread": "M8 × 1.25"}, if_match=answer.headers["ETag"])
    assert again.headers["ETag"] == answer.headers["ETag"]


def test_a_record_as_it_was_read_can_be_put_again(shop, table):
    path, put = shop.put_new(table)
    again = shop.send("PUT", path, without_nulls(shop.get(path)), if_match=put.headers["ETag"])
    assert (again.status_code, again.headers["ETag"]) == (200, put.headers["ETag"])


def test_a_body_may_name_the_key_of_the_path(shop):
    path = shop.new_path("sleeves")
    body = {"sku": path.rpartition("/")[2], "name": "One", "inner_mm": 6, "outer_mm": 8, "length_mm": 24}
    assert shop.send("PUT", path, body, if_none_match="*").status_code == 201


def test_a_write_says_the_revision_that_it_made(shop, table):
    before = shop.revision
    path, put = shop.put_new(table)
    patched = shop.send("PATCH", path, {"name": "Two"}, if_match="*")
    removed = shop.send("DELETE", path, if_match="*")
    told = [int(answer.headers["Catalogue-Revision"]) for answer in (put, patched, removed)]
    assert told == [before + 1, before + 2, before + 3]


def test_a_removal_answers_without_a_body(shop, table):
    path, _ = shop.put_new(table)
    assert shop.send("DELETE", path, if_match="*").content == b""


def test_keys_that_differ_in_case_are_different_records(shop, good):
    upper, lower = "/v1/axles/CASE-a", "/v1/axles/case-A"
    shop.send("PUT", upper, good["axles"], if_none_match="*")
    assert shop.client.get(lower).status_code == 404
    assert shop.send("PUT", lower, good["axles"] | {"name": "Two"}, if_none_match="*").status_code == 201
    assert (shop.get(upper)["name"], shop.get(lower)["name"]) == ("One", "Two")
