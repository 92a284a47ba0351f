"""GET /v1/snapshot: the whole catalogue at its revision as lines of JSON, with their count and digest."""

import gzip
import hashlib
import json

import pytest


@pytest.fixture(scope="module")
def shop(engine, opened_shop):
    """A shop with the demonstration catalogue, which tests only read."""
    with opened_shop(engine.demonstration()) as opened:
        yield opened


@pytest.fixture
def lines(shop):
    """The lines of the snapshot, as they are sent."""
    sent, _ = shop.snapshot_bytes(**{"accept-encoding": "identity"})
    assert sent.endswith(b"\n")
    return sent.splitlines(keepends=True)


def test_the_first_line_tells_the_revision(shop, lines):
    assert json.loads(lines[0]) == {"catalogue_revision": shop.revision}


def test_the_last_line_tells_how_many_records_there_are_and_their_digest(lines):
    # FIPS 180-4: SHA-256 of the bytes of all lines before the last, with their ends.
    digest = hashlib.sha256(b"".join(lines[:-1])).hexdigest()
    assert json.loads(lines[-1]) == {"records": len(lines) - 2, "sha256": digest}


def test_every_record_of_the_seed_files_is_a_line(lines, seed_data):
    expected = sorted(
        (table, row.split(",")[0])
        for table in ("axles", "frames", "sleeves")
        for row in (seed_data / f"{table}.csv").read_text(encoding="utf-8").splitlines()[1:]
    )
    records = [json.loads(line) for line in lines[1:-1]]
    assert sorted((r["table"], r["record"].get("sku") or r["record"]["code"]) for r in records) == expected


@pytest.mark.parametrize("table", ["axles", "frames", "sleeves"])
def test_a_line_has_the_record_that_reading_it_gives(shop, lines, table):
    records = [json.loads(line) for line in lines[1:-1]]
    for record in [found["record"] for found in records if found["table"] == table][::20]:
        read = shop.get(f"/v1/{table}/{record.get('sku') or record['code']}")
        assert record == {name: value for name, value in read.items() if value is not None}


def test_the_lines_are_told_to_be_lines_of_json(shop):
    assert shop.snapshot_bytes()[1]["content-type"].partition(";")[0] == "application/x-ndjson"


# RFC 9110, 12.5.3: a coding is acceptable where it is named with a weight that is not 0.
@pytest.mark.parametrize("accepted", ["gzip", "br, gzip", "gzip;q=0.5", "GZIP", "deflate,gzip ; q=1"])
def test_whoever_takes_gzip_gets_the_same_lines_compressed(shop, lines, accepted):
    sent, headers = shop.snapshot_bytes(**{"accept-encoding": accepted})
    assert headers["content-encoding"] == "gzip"
    assert gzip.decompress(sent).splitlines(keepends=True) == lines
    assert len(sent) < len(b"".join(lines)) / 3


@pytest.mark.parametrize(
    "accepted", ["identity", "", "br", "gzip;q=0", "gzip; q=0.000", "xgzip", "deflate, br;q=1"]
)
def test_whoever_does_not_take_gzip_gets_the_lines_as_they_are(shop, lines, accepted):
    sent, headers = shop.snapshot_bytes(**{"accept-encoding": accepted})
    assert "content-encoding" not in headers
    assert sent == b"".join(lines)


@pytest.mark.parametrize("accepted", ["gzip", "identity"])
def test_a_cache_is_told_that_the_answer_depends_on_what_is_taken(shop, accepted):
    assert shop.snapshot_bytes(**{"accept-encoding": accepted})[1]["vary"] == "Accept-Encoding"


def test_an_empty_catalogue_is_two_lines(own_shop):
    sent, _ = own_shop.snapshot_bytes(**{"accept-encoding": "identity"})
    first = b'{"catalogue_revision": 0}\n'
    last = {"records": 0, "sha256": hashlib.sha256(first).hexdigest()}
    assert [json.loads(line) for line in sent.splitlines()] == [{"catalogue_revision": 0}, last]
