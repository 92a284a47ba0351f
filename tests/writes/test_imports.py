"""POST /v1/imports: a whole file or nothing of it, once for each Idempotency-Key."""

import json
import re
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy.exc import IntegrityError
from sqlmodel import text

from service.partners.keys import Scope

MOST_BYTES = 100_000
HEADER = "sku,name,fastening,stock\n"


class TwoAxles:
    """Two axles that no other test has: files of them, and their stocks."""

    def __init__(self, shop):
        self._shop = shop
        self.skus = [shop.new_path("axles").rpartition("/")[2] for _ in range(2)]

    def file(self, *stocks, fastening="two_piece"):
        return HEADER + "".join(
            f"{sku},One,{fastening},{stock}\n" for sku, stock in zip(self.skus, stocks, strict=True)
        )

    @property
    def stocks(self):
        found = [self._shop.client.get(f"/v1/axles/{sku}") for sku in self.skus]
        return [axle.json()["stock"] if axle.is_success else None for axle in found]


@pytest.fixture
def axles(shop):
    return TwoAxles(shop)


@pytest.fixture
def once(axles):
    """An Idempotency-Key that no other test has."""
    return {"idempotency_key": f"once-{axles.skus[0]}"}


def test_an_import_answers_with_what_it_brought(shop, axles):
    before = shop.revision
    answer = shop.load("axles", axles.file(1, 2))
    told = {"table": "axles", "records": 2, "catalogue_revision": before + 1, "dry_run": False}
    assert (answer.status_code, answer.json()) == (200, told)
    assert axles.stocks == [1, 2]


def test_a_dry_run_answers_what_would_be_and_changes_nothing(shop, axles):
    before = shop.revision
    answer = shop.load("axles", axles.file(1, 2), dry_run=True)
    told = {"table": "axles", "records": 2, "catalogue_revision": before, "dry_run": True}
    assert (answer.status_code, answer.json()) == (200, told)
    assert (shop.revision, axles.stocks) == (before, [None, None])


@pytest.mark.parametrize("dry_run", [False, True])
def test_a_file_with_faults_is_refused_whole_with_each_fault_by_row_and_column(shop, axles, dry_run):
    before = shop.revision
    faulty = axles.file(1, -2).replace("two_piece,-2", "glued,-2")
    answer = shop.load("axles", faulty, dry_run=dry_run)
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/import-faults")
    assert [(fault["pointer"], fault["found"]) for fault in answer.json()["errors"]] == [
        ("#/row 3/fastening", "glued"),
        ("#/row 3/stock", "-2"),
    ]
    assert (shop.revision, axles.stocks) == (before, [None, None])


def test_a_fault_behind_many_good_rows_takes_all_of_them_back(shop, axles):
    before = shop.revision
    rows = "".join(f"MANY-{number},One,two_piece,1\n" for number in range(1200))
    answer = shop.load("axles", axles.file(1, 2) + rows + "MANY-7,Seven again,two_piece,1\n")
    # The header, two axles and 1200 more are before it.
    assert [fault["pointer"] for fault in answer.json()["errors"]] == ["#/row 1204/sku"]
    assert (shop.revision, axles.stocks) == (before, [None, None])


@pytest.mark.parametrize(
    "query",
    ["", "table=wheels", "table=axles&table=frames", "table=axles&dry_run=perhaps", "table=axles&mode=x"],
)
def test_a_question_that_is_not_understood_is_refused(shop, axles, query):
    answer = shop.send("POST", f"/v1/imports?{query}", axles.file(1, 2).encode(), content_type="text/csv")
    assert (answer.status_code, axles.stocks) == (422, [None, None])


@pytest.mark.parametrize("media_type", [None, "application/json", "multipart/form-data; boundary=x"])
def test_another_media_type_than_csv_is_refused(shop, axles, media_type):
    answer = shop.load("axles", axles.file(1, 2), content_type=media_type)
    assert (answer.status_code, axles.stocks) == (415, [None, None])


def test_a_parameter_of_the_media_type_is_no_fault(shop, axles):
    # RFC 4180, section 3: charset and header are the parameters of text/csv.
    answer = shop.load("axles", axles.file(1, 2), content_type="text/csv; charset=utf-8; header=present")
    assert answer.status_code == 200


@pytest.mark.parametrize(("size", "status"), [(MOST_BYTES, 200), (MOST_BYTES + 1, 413)])
def test_a_file_is_as_large_as_allowed_and_not_larger(shop, axles, size, status):
    text = axles.file(1, 2)
    padding = "\n" * (size - len(text))  # empty lines are no rows
    assert shop.load("axles", text + padding).status_code == status


def test_a_repeated_key_gives_the_same_answer_and_the_work_is_done_once(shop, axles, once):
    first = shop.load("axles", axles.file(1, 2), **once)
    shop.send("PATCH", f"/v1/axles/{axles.skus[0]}", {"stock": 9}, if_match="*")
    before = shop.revision
    again = shop.load("axles", axles.file(1, 2), **once)
    assert (again.status_code, again.content) == (first.status_code, first.content)
    assert (shop.revision, axles.stocks) == (before, [9, 2])


@pytest.mark.parametrize("keys", [(None, None), ("a", "b")], ids=["without keys", "with other keys"])
def test_without_the_same_key_a_repeated_import_is_a_second_one(shop, axles, once, keys):
    before = shop.revision
    given = [key and f"{once['idempotency_key']}-{key}" for key in keys]
    answers = [shop.load("axles", axles.file(1, 2), idempotency_key=key).json() for key in given]
    assert [answer["catalogue_revision"] for answer in answers] == [before + 1, before + 2]


@pytest.mark.parametrize(
    ("table", "change"),
    [
        ("axles", lambda text: text.replace(",1\n", ",7\n")),
        ("axles", lambda text: text + "\n"),
        ("sleeves", lambda text: text),
    ],
    ids=["another file", "one byte more", "another table"],
)
def test_a_key_with_another_request_is_refused_and_changes_nothing(shop, axles, once, table, change):
    shop.load("axles", axles.file(1, 2), **once)
    before = shop.revision
    answer = shop.load(table, change(axles.file(1, 2)), **once)
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/idempotency-key-reused")
    assert (shop.revision, axles.stocks) == (before, [1, 2])


def test_the_same_key_from_another_caller_is_another_request(shop, axles, once):
    shop.load("axles", axles.file(1, 2), **once)
    bearer = f"Bearer {shop.issue(Scope.CATALOGUE)}"
    assert shop.load("axles", axles.file(7, 2), authorization=bearer, **once).status_code == 200
    assert axles.stocks == [7, 2]


def test_a_key_of_a_refused_file_is_free_for_the_mended_one(shop, axles, once):
    assert shop.load("axles", axles.file(1, 2, fastening="glued"), **once).status_code == 422
    assert shop.load("axles", axles.file(1, 2), **once).status_code == 200
    assert axles.stocks == [1, 2]


def test_a_dry_run_leaves_its_key_to_the_import(shop, axles, once):
    shop.load("axles", axles.file(1, 2), dry_run=True, **once)
    assert shop.load("axles", axles.file(1, 2), **once).json()["dry_run"] is False
    assert axles.stocks == [1, 2]


def test_the_answer_outlives_the_process_that_gave_it(engine, open_shop):
    url = engine.empty()
    before, after = open_shop(url), open_shop(url)
    file = HEADER + "I-1,One,two_piece,1\n"
    first = before.load("axles", file, idempotency_key="once")
    again = after.load("axles", file, idempotency_key="once", authorization=f"Bearer {before.key}")
    assert (again.content, after.revision) == (first.content, 1)


def test_several_at_once_with_one_key_do_the_work_once(shop, axles, once):
    before = shop.revision
    with ThreadPoolExecutor(4) as threads:
        answers = list(threads.map(lambda _: shop.load("axles", axles.file(1, 2), **once), range(4)))
    assert {answer.content for answer in answers} == {answers[0].content}
    assert (shop.revision, len(shop.changes(before))) == (before + 1, 2)


REFUSE_ANSWERS = {
    "sqlite": "CREATE TRIGGER no_answers BEFORE INSERT ON idempotent_answer "
    "BEGIN SELECT RAISE(ABORT, 'no answers'); END",
    "postgresql": "ALTER TABLE idempotent_answer ADD CONSTRAINT no_answers CHECK (at = '')",
}


def test_an_answer_that_cannot_be_kept_takes_the_import_back(own_shop, engine, caplog):
    with own_shop.database.writing() as session:
        session.connection().execute(text(REFUSE_ANSWERS[engine.name]))
    answer = own_shop.load("axles", HEADER + "I-1,One,two_piece,1\n", idempotency_key="once")
    assert answer.status_code == 500
    (logged,) = [record for record in caplog.records if record.exc_info]
    assert isinstance(logged.exc_info[1], IntegrityError)
    assert re.search(r"no.answers", str(logged.exc_info[1]))
    assert (own_shop.revision, own_shop.changes(0)) == (0, [])
    assert own_shop.client.get("/v1/axles/I-1").status_code == 404


@pytest.mark.parametrize("key", ["", " ", "two words", "é".encode("latin-1"), "a" * 129])
def test_a_key_of_another_form_is_refused(shop, axles, key):
    assert shop.load("axles", axles.file(1, 2), idempotency_key=key).status_code == 422
    assert axles.stocks == [None, None]


@pytest.mark.parametrize("key", ["!", "a" * 128, json.dumps("of-a-client")])
def test_a_key_is_any_visible_ascii_text_of_some_length(shop, axles, key):
    assert shop.load("axles", axles.file(1, 2), idempotency_key=key).status_code == 200
