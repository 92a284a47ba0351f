"""A write says which state of the record it means, and overwrites nothing that it has not seen."""

import pytest

# Conditions are those of RFC 9110, section 13; 428 is of RFC 6585, section 3.
STALE = '"0123456789abcdef0123456789abcdef"'
METHODS = ["PUT", "PATCH", "DELETE"]


class Record:
    """A record that there is: its path, its entity tag, and writes of it."""

    def __init__(self, shop, table, good):
        self._shop = shop
        self._new_state = good[table] | {"name": "Two"}
        self.path, answer = shop.put_new(table)
        self.tag = answer.headers["ETag"]

    def write(self, method, **headers):
        body = None if method == "DELETE" else self._new_state
        return self._shop.send(method, self.path, body, **headers)

    @property
    def name(self):
        found = self._shop.client.get(self.path)
        return found.json()["name"] if found.is_success else None


@pytest.fixture
def record(shop, good):
    """An axle that there is."""
    return Record(shop, "axles", good)


@pytest.fixture
def each(shop, table, good):
    """A record that there is, of each table."""
    return Record(shop, table, good)


@pytest.mark.parametrize("method", METHODS)
def test_without_a_condition_a_write_is_refused(each, method):
    answer = each.write(method)
    assert (answer.status_code, answer.json()["type"]) == (428, "/problems/precondition-required")
    assert each.name == "One"


@pytest.mark.parametrize("method", METHODS)
def test_with_the_tag_of_the_record_a_write_is_carried_out(each, method):
    assert each.write(method, if_match=each.tag).status_code == (204 if method == "DELETE" else 200)
    assert each.name == (None if method == "DELETE" else "Two")


@pytest.mark.parametrize("method", METHODS)
def test_with_the_tag_of_an_earlier_state_a_write_is_refused(each, method, shop):
    assert shop.send("PATCH", each.path, {"name": "Moved"}, if_match=each.tag).status_code == 200
    answer = each.write(method, if_match=each.tag)
    assert (answer.status_code, answer.json()["type"]) == (412, "/problems/precondition-failed")
    assert each.name == "Moved"


@pytest.mark.parametrize("method", METHODS)
def test_a_list_with_the_tag_of_the_record_in_it_is_met(record, method):
    assert record.write(method, if_match=f"{STALE} , {record.tag}").status_code < 300


@pytest.mark.parametrize("method", METHODS)
def test_a_star_is_met_by_any_state(record, method):
    assert record.write(method, if_match="*").status_code < 300


@pytest.mark.parametrize("method", METHODS)
def test_if_none_match_is_not_met_by_a_record_that_there_is(record, method):
    answer = record.write(method, if_none_match="*")
    assert (answer.status_code, answer.json()["type"]) == (412, "/problems/precondition-failed")
    assert record.name == "One"


@pytest.mark.parametrize("condition", ["*", STALE])
def test_a_put_that_means_a_record_makes_none(shop, good, condition):
    path = shop.new_path("axles")
    assert shop.send("PUT", path, good["axles"], if_match=condition).status_code == 412
    assert shop.client.get(path).status_code == 404


@pytest.mark.parametrize("method", ["PATCH", "DELETE"])
@pytest.mark.parametrize("headers", [{"if_match": "*"}, {"if_match": STALE}, {"if_none_match": "*"}], ids=str)
def test_a_record_that_there_is_not_is_neither_patched_nor_deleted(shop, method, headers):
    body = {"name": "Two"} if method == "PATCH" else None
    answer = shop.send(method, shop.new_path("axles"), body, **headers)
    assert (answer.status_code, answer.json()["type"]) == (404, "/problems/not-in-catalogue")


@pytest.mark.parametrize("method", METHODS)
def test_a_record_that_was_deleted_meets_its_tag_no_more(record, method, shop):
    shop.send("DELETE", record.path, if_match=record.tag)
    assert record.write(method, if_match=record.tag).status_code == (412 if method == "PUT" else 404)
    assert record.name is None


@pytest.mark.parametrize(
    "headers",
    [
        {"if_match": "0123456789abcdef"},
        {"if_match": ""},
        {"if_match": '"open'},
        {"if_match": f"*, {STALE}"},
        {"if_match": f"W/{STALE}"},  # a weak tag never matches strongly (RFC 9110, 8.8.3.2)
        {"if_none_match": STALE},
    ],
    ids=str,
)
def test_a_condition_that_cannot_be_met_is_refused_and_changes_nothing(record, headers):
    assert record.write("PUT", **headers).status_code in {412, 422}
    assert record.name == "One"


def test_reading_a_record_gives_the_tag_that_writing_it_gave(each, shop):
    assert shop.client.get(each.path).headers["ETag"] == each.tag
    patched = each.write("PATCH", if_match=each.tag)
    assert shop.client.get(each.path).headers["ETag"] == patched.headers["ETag"]
    assert shop.client.get(each.path).content == patched.content


@pytest.mark.parametrize(
    ("kind", "changes"),
    [
        ("axles", {"offset_mm": -0.0}),
        ("axles", {"length_mm": 36, "price": "4.9", "currency": "EUR", "thread": "M8"}),
        ("axles", {"price": "-0", "currency": "EUR"}),
        ("frames", {"axle_positions_mm": [-0.0, 80, 160, 240]}),
        ("frames", {"outside_widths_mm": ["36.4"]}),
    ],
    ids=str,
)
def test_a_record_in_another_spelling_has_the_tag_that_reading_it_gives(shop, kind, changes):
    path, put = shop.put_new(kind, **changes)
    assert shop.client.get(path).headers["ETag"] == put.headers["ETag"]


def test_the_tag_changes_with_every_change_and_comes_back_with_the_state(record, shop):
    tags = [record.tag]
    for name in ("Two", "Three", "One"):
        answer = shop.send("PATCH", record.path, {"name": name}, if_match=tags[-1])
        tags.append(answer.headers["ETag"])
    assert len(set(tags)) == 3
    assert tags[0] == tags[3]


def test_a_tag_is_a_strong_one_in_quotes(record):
    assert record.tag.startswith('"')
    assert record.tag.endswith('"')


def test_records_that_differ_in_one_field_have_different_tags(shop):
    _, first = shop.put_new("axles", stock=3)
    _, second = shop.put_new("axles", stock=4)
    assert first.headers["ETag"] != second.headers["ETag"]
