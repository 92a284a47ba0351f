"""Every write moves the revision by one and is in the feed: who, when, what before and what after."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlmodel import text

from service.partners.keys import Scope

THREE = "sku,name,fastening,stock\nH-1,One,two_piece,1\nH-2,Two,two_piece,2\nH-3,Three,two_piece,3\n"


def without_nulls(record):
    return {name: value for name, value in record.items() if value is not None}


def with_four_writes(shop):
    """Import three axles, patch one, remove one, and put a sleeve: six changes."""
    shop.load("axles", THREE)
    shop.send("PATCH", "/v1/axles/H-2", {"stock": 9}, if_match="*")
    shop.send("DELETE", "/v1/axles/H-1", if_match="*")
    shop.put_new("sleeves")
    return shop


@pytest.fixture(scope="module")
def history(engine, opened_shop):
    """A shop with a history of four writes, which tests only read."""
    with opened_shop(engine.empty()) as shop:
        yield with_four_writes(shop)


@pytest.fixture
def growing_history(own_shop):
    """The same in a shop of the test's own."""
    return with_four_writes(own_shop)


def test_a_put_is_recorded_with_nothing_before_and_the_record_after(shop, table):
    before = shop.revision
    path, put = shop.put_new(table)
    (change,) = shop.changes(before)
    assert (change["table"], change["key"]) == (table, path.rpartition("/")[2])
    assert (change["before"], change["after"]) == (None, without_nulls(put.json()))


def test_a_patch_is_recorded_with_the_record_before_and_after(shop, table):
    path, put = shop.put_new(table)
    before = shop.revision
    patched = shop.send("PATCH", path, {"name": "Two"}, if_match="*")
    (change,) = shop.changes(before)
    assert change["before"] == without_nulls(put.json())
    assert change["after"] == without_nulls(patched.json()) == change["before"] | {"name": "Two"}


def test_a_removal_is_recorded_with_the_record_before_and_nothing_after(shop, table):
    path, put = shop.put_new(table)
    before = shop.revision
    shop.send("DELETE", path, if_match="*")
    (change,) = shop.changes(before)
    assert (change["before"], change["after"]) == (without_nulls(put.json()), None)


@pytest.mark.parametrize(
    ("method", "body", "action"),
    [
        ("PUT", {"name": "Two", "fastening": "two_piece"}, "put"),
        ("PATCH", {}, "patch"),
        ("DELETE", None, "delete"),
    ],
)
def test_a_write_moves_the_revision_by_one(shop, method, body, action):
    path, _ = shop.put_new("axles")
    before = shop.revision
    assert shop.send(method, path, body, if_match="*").is_success
    assert shop.revision == before + 1
    assert {change["action"] for change in shop.changes(before)} <= {action}


def test_an_import_of_many_rows_moves_the_revision_by_one(history):
    assert [change["revision"] for change in history.changes(0)] == [1, 1, 1, 2, 3, 4]
    assert history.changes(0)[0]["action"] == "import axles"


def test_the_record_says_who_wrote(shop):
    key, before = shop.issue(Scope.ADMIN, name="Stocktaking"), shop.revision
    path, _ = shop.put_new("axles")
    shop.send("DELETE", path, if_match="*", authorization=f"Bearer {key}")
    assert [change["actor"] for change in shop.changes(before)] == [
        f"Till ({shop.key.split('_')[1]})",
        f"Stocktaking ({key.split('_')[1]})",
    ]


def test_the_record_says_when(shop):
    before, begin = shop.revision, datetime.now(UTC)
    shop.put_new("axles")
    (change,) = shop.changes(before)
    millisecond = timedelta(milliseconds=1)  # to which a moment is told
    assert begin - millisecond <= datetime.fromisoformat(change["at"]) <= datetime.now(UTC)


@pytest.mark.parametrize(
    ("method", "body", "headers"),
    [
        ("PUT", {"name": ""}, {"if_match": "*"}),
        ("PATCH", {"stock": 4}, {}),
        ("PATCH", {"stock": 4}, {"if_none_match": "*"}),
        ("DELETE", None, {"if_match": '"another"'}),
        ("DELETE", None, {"if_match": "*", "authorization": None}),
    ],
    ids=str,
)
def test_a_refused_write_moves_nothing_and_is_not_recorded(shop, method, body, headers):
    path, _ = shop.put_new("axles")
    before = shop.revision
    assert shop.send(method, path, body, **headers).is_client_error
    assert shop.revision == before
    assert shop.changes(before) == []


def test_a_row_of_an_import_that_stays_the_same_is_no_change(growing_history):
    before = growing_history.revision
    growing_history.load("axles", "sku,name,fastening,stock\nH-2,Two,two_piece,9\nH-3,Three,two_piece,4\n")
    assert [(change["key"], change["after"]["stock"]) for change in growing_history.changes(before)] == [
        ("H-3", 4)
    ]


@pytest.mark.parametrize("limit", [1, 2, 4, 5, 6])
def test_pages_of_any_size_are_the_whole_feed(history, limit):
    whole, paged, cursor = history.changes(0), [], ""
    while True:
        page = history.get(f"/v1/changes?since=0&limit={limit}{cursor}")
        assert len(page["items"]) <= limit
        paged += page["items"]
        if page["next_cursor"] is None:
            break
        assert len(page["items"]) == limit
        cursor = f"&cursor={page['next_cursor']}"
    assert paged == whole
    assert len(whole) == 6


def test_a_write_between_two_pages_is_on_a_later_page_and_none_is_lost(growing_history):
    first = growing_history.get("/v1/changes?since=0&limit=2")
    path, _ = growing_history.put_new("frames")
    rest = growing_history.get(f"/v1/changes?since=0&cursor={first['next_cursor']}")
    assert first["items"] + rest["items"] == growing_history.changes(0)
    assert rest["items"][-1]["key"] == path.rpartition("/")[2]
    assert rest["catalogue_revision"] == first["catalogue_revision"] + 1


@pytest.mark.parametrize(("since", "revisions"), [(0, [1, 1, 1, 2, 3, 4]), (1, [2, 3, 4]), (3, [4]), (4, [])])
def test_the_changes_since_a_revision_are_those_of_the_revisions_after_it(history, since, revisions):
    assert [change["revision"] for change in history.changes(since)] == revisions
    assert history.get(f"/v1/changes?since={since}")["catalogue_revision"] == 4


@pytest.mark.parametrize("ahead", [1, 1000])
def test_a_revision_that_is_still_to_come_is_refused(history, ahead):
    problem = history.get(f"/v1/changes?since={4 + ahead}", 422)
    assert [fault["parameter"] for fault in problem["errors"]] == ["since"]


@pytest.mark.parametrize(
    "query", ["", "since=-1", "since=x", "since=0&since=1", "since=0&limit=0", f"since={2**63}"]
)
def test_a_question_that_is_not_understood_is_refused(shop, query):
    assert shop.get(f"/v1/changes?{query}", 422)["errors"]


@pytest.mark.parametrize("cursor", ["x", "1", "1-", "-1", "1-2-3", "9999999999-0"])
def test_a_cursor_that_the_feed_did_not_give_is_refused(shop, cursor):
    assert shop.get(f"/v1/changes?since=0&cursor={cursor}", 400)["type"] == "/problems/cursor"


@pytest.fixture
def with_a_past(engine, open_shop, open_database):
    """A shop at revision 5, of which nothing is recorded: the previous release wrote it."""
    url = engine.empty()
    with open_database(url).writing() as session:
        session.connection().execute(text("UPDATE catalogue SET revision = 5"))
    return open_shop(url)


def test_changes_before_the_recorded_history_are_gone(with_a_past):
    for since in (0, 4):
        assert with_a_past.get(f"/v1/changes?since={since}", 410)["type"] == "/problems/history-begins-later"
    assert with_a_past.changes(5) == []


def test_changes_from_where_the_recorded_history_begins_are_there(with_a_past):
    with_a_past.put_new("axles")
    assert [change["revision"] for change in with_a_past.changes(5)] == [6]
    assert with_a_past.get("/v1/changes?since=4", 410)


def test_a_write_of_the_previous_release_in_between_is_a_gap_that_is_told(own_shop):
    # While both releases run: revision 1 is recorded, revision 2 is not, revision 3 is.
    own_shop.put_new("axles")
    with own_shop.database.writing() as session:
        session.connection().execute(text("UPDATE catalogue SET revision = revision + 1"))
    own_shop.put_new("axles")
    for since in (0, 1):
        assert own_shop.get(f"/v1/changes?since={since}", 410)["type"] == "/problems/history-begins-later"
    assert [change["revision"] for change in own_shop.changes(2)] == [3]
