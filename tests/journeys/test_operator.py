"""Stories of who keeps the catalogue: files with faults, files tried first, keys that are lost."""

import re

from service.partners.keys import revoke_key

FAULTY = """\
sku,name,fastening,length_mm,thread,stock
AUTUMN-1,Autumn axle 36 mm,threaded_wall,36,M8x1.25,40
AUTUMN-2,Autumn axle 38 mm,glued,38,M8x1.25,24
AUTUMN-3,Autumn axle 40 mm,threaded_wall,"40,5",M8x1.25,-3
"""
MENDED = FAULTY.replace("glued", "threaded_wall").replace('"40,5"', "40.5").replace(",-3", ",3")


def test_a_file_with_three_faults_is_mended_and_sent_twice_and_brought_in_once(shop, problem_in):
    before = shop.get("/health/ready")["catalogue_revision"]
    told = problem_in(shop.load(FAULTY), 422, "import-faults")["errors"]
    # All at once, by the row as a spreadsheet counts it (the header is row 1) and by the column.
    assert [(fault["pointer"], fault["found"]) for fault in told] == [
        ("#/row 3/fastening", "glued"),
        ("#/row 4/length_mm", "40,5"),
        ("#/row 4/stock", "-3"),
    ]
    shop.ask("/v1/axles/AUTUMN-1", status=404)  # the good row is not there without the others

    once = "autumn-delivery-1"
    first = shop.load(MENDED, idempotency_key=once)
    expected = {"table": "axles", "records": 3, "catalogue_revision": before + 1, "dry_run": False}
    assert (first.status_code, first.json()) == (200, expected)
    # The line broke before the answer came, so it is sent again; meanwhile one was sold.
    assert shop.patch("/v1/axles/AUTUMN-1", {"stock": 39}, if_match="*").status_code == 200
    again = shop.load(MENDED, idempotency_key=once)
    assert (again.status_code, again.content) == (200, first.content)
    assert shop.get("/v1/axles/AUTUMN-1")["stock"] == 39
    assert shop.get("/v1/axles/AUTUMN-3")["length_mm"] == 40.5
    changes = shop.get("/v1/changes", since=before)["items"]
    assert [(change["key"], change["revision"]) for change in changes] == [
        ("AUTUMN-1", before + 1),
        ("AUTUMN-2", before + 1),
        ("AUTUMN-3", before + 1),
        ("AUTUMN-1", before + 2),
    ]
    # Another file under the same key is a mistake, and is not brought in.
    problem_in(
        shop.load(MENDED.replace(",40\n", ",50\n"), idempotency_key=once), 422, "idempotency-key-reused"
    )


def test_a_file_is_tried_first_and_then_brought_in(shop, problem_in):
    before = shop.get("/health/ready")["catalogue_revision"]
    trial = "table=axles&dry_run=true"
    faults = problem_in(shop.load(FAULTY, query=trial), 422, "import-faults")["errors"]
    assert len(faults) == 3

    tried = shop.load(MENDED, query=trial).json()
    assert (tried["records"], tried["dry_run"], tried["catalogue_revision"]) == (3, True, before)
    assert shop.get("/health/ready")["catalogue_revision"] == before
    assert shop.get("/v1/changes", since=before)["items"] == []
    shop.ask("/v1/axles/AUTUMN-2", status=404)

    done = shop.load(MENDED).json()
    assert (done["records"], done["dry_run"], done["catalogue_revision"]) == (3, False, before + 1)
    assert shop.get("/v1/axles/AUTUMN-2")["stock"] == 24
    # It is in the lookups at once.
    found = shop.get("/v1/fits", outside_width_mm=38, fastening="threaded_wall", thread="M8x1.25", limit=100)
    assert "AUTUMN-2" in {fit["axle"]["sku"] for fit in found["fits"]}


def test_a_lost_key_is_revoked_and_the_others_go_on(shop, problem_in):
    path = "/v1/axles/TW8-36-M8-HX6"
    lost, other = shop.issue("Lost till"), shop.issue("Other till")
    assert shop.patch(path, {"stock": 5}, key=lost, if_match="*").status_code == 200
    identifier = re.match(r"axf_([^_]+)_", lost)[1]
    revoke_key(shop.database, identifier)

    refused = shop.patch(path, {"stock": 0}, key=lost, if_match="*")
    problem_in(refused, 401, "unauthenticated")
    assert refused.headers["www-authenticate"] == "Bearer"  # RFC 9110, 15.5.2
    assert lost not in refused.text
    assert lost not in str(refused.headers)
    assert shop.get(path)["stock"] == 5
    assert shop.patch(path, {"stock": 4}, key=other, if_match="*").status_code == 200
    # The history still tells whose the last write of the lost key was.
    actors = [change["actor"] for change in shop.get("/v1/changes", since=1)["items"]]
    assert identifier in actors[0]
    assert identifier not in actors[1]
