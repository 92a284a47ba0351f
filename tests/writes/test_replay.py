"""A terminal carries on offline and catches up: the feed from zero makes the table, on both engines."""

import json
import random

TABLES = ("axles", "frames", "sleeves")
KEYS = {"axles": "sku", "frames": "code", "sleeves": "sku"}
WRITES = 50


def replayed(shop):
    """The records after all changes from revision 0 on; each change must begin where the one before ended."""
    records, revisions = {}, []
    cursor = ""
    while cursor is not None:
        page = shop.get(f"/v1/changes?since=0&limit=25{cursor}")
        for change in page["items"]:
            place = change["table"], change["key"]
            assert records.get(place) == change["before"]
            records[place] = change["after"]
            revisions.append(change["revision"])
        cursor = page["next_cursor"] and f"&cursor={page['next_cursor']}"
    assert revisions == sorted(revisions)
    return {place: record for place, record in records.items() if record is not None}


def snapshot_of(shop):
    """The records of the snapshot."""
    sent, _ = shop.snapshot_bytes(**{"accept-encoding": "identity"})
    lines = [json.loads(line) for line in sent.splitlines()]
    return {(line["table"], line["record"][KEYS[line["table"]]]): line["record"] for line in lines[1:-1]}


def random_changes(choice, table):
    """Some fields of a record, at random, of which some are not known."""
    changes = {
        "name": f"Nummer {choice.randrange(100)} „é“ ×",
        "stock": choice.choice([None, 0, choice.randrange(10**9)]),
        "pack_quantity": choice.randrange(1, 9),
    }
    if table == "frames":
        return {
            "name": changes["name"],
            "outside_widths_mm": [choice.randrange(30_000, 40_000) / 1000 for _ in range(4)],
            "recess_mm": choice.choice([None, choice.randrange(2000) / 1000]),
        }
    if table == "axles":
        changes["length_mm"] = choice.choice([None, choice.randrange(1, 200_000) / 1000])
        changes["thread"] = choice.choice([None, "M8", "M8x1.25", "M6 x 1"])
    price, currency = choice.choice([(None, None), ("4.9", "EUR"), ("490", "JPY"), ("1E+3", "EUR")])
    return changes | {"price": price, "currency": currency}


def write_at_random(shop, good, choice):
    """One write of any kind, of one of a few records."""
    table = choice.choice(TABLES)
    path = f"/v1/{table}/R-{choice.randrange(5)}"
    changes = random_changes(choice, table)
    kind = choice.choice(["put", "put", "patch", "delete", "import"])
    if kind == "put":
        record = {name: value for name, value in (good[table] | changes).items() if value is not None}
        there = shop.client.get(path).status_code == 200
        assert shop.send("PUT", path, record, **{"if_match" if there else "if_none_match": "*"}).is_success
    elif kind == "patch":
        shop.send("PATCH", path, changes, if_match="*")
    elif kind == "delete":
        shop.send("DELETE", path, if_match="*")
    else:
        stock = choice.randrange(10)
        rows = "".join(f"R-{number},One,6,8,24,{stock}\n" for number in choice.sample(range(9), 4))
        assert shop.load("sleeves", "sku,name,inner_mm,outer_mm,length_mm,stock\n" + rows).is_success


def test_the_feed_from_zero_makes_the_records_of_the_snapshot(own_shop, good):
    choice = random.Random(1)  # noqa: S311 (the same writes on every machine)
    for _ in range(WRITES):
        write_at_random(own_shop, good, choice)
    assert replayed(own_shop) == snapshot_of(own_shop)
    assert len(snapshot_of(own_shop)) > 5


def test_the_feed_of_the_demonstration_from_zero_makes_the_records_of_its_snapshot(engine, open_shop):
    shop = open_shop(engine.demonstration())
    assert replayed(shop) == snapshot_of(shop)


def test_a_copy_that_knows_an_earlier_revision_catches_up(own_shop, good):
    choice = random.Random(3)  # noqa: S311 (the same writes on every machine)
    for _ in range(20):
        write_at_random(own_shop, good, choice)
    copy, since = snapshot_of(own_shop), own_shop.revision
    for _ in range(20):
        write_at_random(own_shop, good, choice)
    for change in own_shop.changes(since):
        copy[change["table"], change["key"]] = change["after"]
    assert {place: record for place, record in copy.items() if record} == snapshot_of(own_shop)


def test_what_is_exported_and_imported_over_http_is_exported_as_the_same_bytes(
    any_demonstration, own_shop, export_csv
):
    for table in TABLES:
        first = export_csv(any_demonstration, table)
        assert own_shop.load(table, first).is_success
        assert export_csv(own_shop.database, table) == first


def test_both_engines_export_the_same_bytes(sqlite, postgresql, open_database, export_csv):
    on_sqlite, on_postgresql = (
        open_database(sqlite.demonstration()),
        open_database(postgresql.demonstration()),
    )
    for table in TABLES:
        assert export_csv(on_postgresql, table) == export_csv(on_sqlite, table)


def test_a_snapshot_that_has_followed_each_write_is_that_which_is_read_anew(engine, open_shop, good):
    url = engine.empty()
    followed, choice = open_shop(url), random.Random(5)  # noqa: S311 (the same writes on every machine)
    for _ in range(30):
        write_at_random(followed, good, choice)
    plain = {"accept-encoding": "identity"}
    assert followed.snapshot_bytes(**plain)[0] == open_shop(url).snapshot_bytes(**plain)[0]
