"""One entity tag for all spellings of a request, another for each other request and state."""

import dataclasses
import gzip
import json
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.requests import Request

import service
from schemas.answers import AxleListResponse
from schemas.browse import AxleListRequest
from service.fitting import normal_form
from service.web.caching import ConditionalRead

WIDTH = "/v1/fits?outside_width_mm=36"
LISTS = ["/v1/axles", "/v1/frames", "/v1/sleeves"]


def spellings_of_tenths(tenths):
    """How people write a number of tenths."""
    whole, rest = divmod(tenths, 10)
    plain = [
        f"{whole}.{rest}",
        f"{whole}.{rest}0",
        f"0{whole}.{rest}",
        f" {whole}.{rest}",
        f"+{whole}.{rest}",
    ]
    return plain + ([str(whole), f"{whole}.00"] if rest == 0 else [])


THREADS = {
    "M8x1.25": ["M8x1.25", "M8", "M8X1.25", "M8×1.25", "M8 x 1.25"],  # ISO 261: 1.25 is the coarse pitch
    "M8x1": ["M8x1", "M8 x1", "M8x1.0"],
}
FLAGS = {"true": ["true", "True", "1", "on", "yes"], "false": ["false", "0", "off", None]}
"""None: the parameter is left out, and means its default."""
MEASURES = st.lists(st.integers(300, 420), min_size=1, max_size=3).map(sorted).map(tuple)
MEANT = st.fixed_dictionaries(
    {
        "outside_width_mm": MEASURES,
        "in_stock": st.sampled_from(["true", "false"]),
        "limit": st.sampled_from([3, 10]),
    },
    optional={
        "thread": st.sampled_from(sorted(THREADS)),
        "far_wall_mm": st.tuples(st.integers(30, 90)),
        "bore_mm": st.just((80,)),
        "instrument": st.sampled_from(["ruler", "tape"]),
        "prefer_colour": st.sampled_from(["black", "silver"]),
    },
)
"""What is meant by a lookup, lengths in tenths of a millimetre."""


def spelled(meant, draw):
    """One way to write what is meant, as pairs of a query in any order."""
    pairs = []
    for name, value in meant.items():
        if isinstance(value, tuple):
            pairs += [(name, draw(st.sampled_from(spellings_of_tenths(reading)))) for reading in value]
        else:
            choices = {"thread": THREADS, "in_stock": FLAGS}.get(name, {}).get(value, [str(value)])
            if (name, value) == ("limit", 10):
                choices = ["10", "010", None]
            pairs.append((name, draw(st.sampled_from(choices))))
    return draw(st.permutations([(name, text) for name, text in pairs if text is not None]))


@settings(max_examples=60)
@given(meant=MEANT, data=st.data())
def test_every_spelling_and_order_of_a_lookup_is_one_entry_of_a_cache(client, meant, data):
    # RFC 9110, 8.8.3: a strong tag stands for the same bytes.
    one, other = (client.get("/v1/fits", params=spelled(meant, data.draw)) for _ in range(2))
    assert one.status_code == other.status_code == 200
    assert one.headers["etag"] == other.headers["etag"]
    assert not one.headers["etag"].startswith("W/")
    assert one.content == other.content


@settings(max_examples=60)
@given(first=MEANT, second=MEANT, data=st.data())
def test_lookups_that_mean_something_else_have_other_entity_tags(client, first, second, data):
    one, other = (client.get("/v1/fits", params=spelled(meant, data.draw)) for meant in (first, second))
    assert (one.headers["etag"] == other.headers["etag"]) is (first == second)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("/v1/fits?outside_width_mm=36", "/v1/fits?outside_width_mm=36.0"),
        ("/v1/fits?outside_width_mm=36&recess_mm=-0", "/v1/fits?recess_mm=0.0&outside_width_mm=36"),
        ("/v1/frames/QH-HEATHER/fits?limit=10", "/v1/frames/QH%2DHEATHER/fits"),
        ("/v1/axles?gtin=00012345678905", "/v1/axles?gtin=012345678905"),  # GS1: filled with zeros to 14
        ("/v1/axles?shaft_mm=8&thread=M8", "/v1/axles?thread=M8x1.25&shaft_mm=8.00"),
        ("/v1/sleeves?limit=50", "/v1/sleeves"),
    ],
)
def test_the_same_request_has_the_same_entity_tag(client, one, other):
    tags = {client.get(path).headers["etag"] for path in (one, other)}
    assert len(tags) == 1


def test_answers_of_different_paths_and_pages_have_different_entity_tags(client):
    cursor = client.get("/v1/axles?limit=9").json()["next_cursor"]
    paths = [
        *LISTS, WIDTH, f"{WIDTH}&limit=3", f"{WIDTH}&near_misses=0", "/v1/frames/QH-HEATHER/fits",
        "/v1/frames/QH-COLTSFOOT/fits?axle_position=1", "/v1/frames/QH-COLTSFOOT/fits?axle_position=2",
        "/v1/axles?limit=9", f"/v1/axles?limit=9&cursor={cursor}", "/v1/snapshot", "/v1/axles/TW8-36-M8-BK",
        "/v1/axles?fastening=two_piece", "/v1/frames?fastening=two_piece",
        "/v1/guides/measuring", "/v1/guides/tools",
    ]  # fmt: skip
    tags = {client.get(path).headers["etag"] for path in paths}
    assert len(tags) == len(paths)


def test_a_write_gives_every_list_and_lookup_another_entity_tag(
    start_client, demonstration_copy, demonstration, import_csv
):
    client = start_client(demonstration_copy)
    paths = [*LISTS, WIDTH, "/v1/frames/QH-HEATHER/fits", "/v1/snapshot"]
    before = [client.get(path).headers["etag"] for path in paths]
    import_csv(demonstration, "axles", "sku,name,fastening\nNEW-1,New,two_piece\n")
    client.app.state.snapshots.refresh()
    after = [client.get(path).headers["etag"] for path in paths]
    assert not set(before) & set(after)


@pytest.fixture
def tag_on():
    """The entity tag of an empty list on a snapshot."""

    def tag(snapshot, language=None):
        page = AxleListResponse(catalogue_revision=snapshot.revision, items=[])
        read = ConditionalRead(Request({"type": "http", "path": "/v1/axles", "headers": []}), snapshot)
        return read.page(AxleListRequest(), lambda: page, language=language).headers["etag"]

    return tag


def test_a_database_put_back_has_other_entity_tags_at_the_same_revision(snapshot, tag_on):
    put_back = dataclasses.replace(snapshot, written_at="2000-01-01T00:00:00.000+00:00")
    assert put_back.revision == snapshot.revision
    assert tag_on(put_back) != tag_on(snapshot)
    assert tag_on(dataclasses.replace(snapshot)) == tag_on(snapshot)


@pytest.mark.parametrize("name", ["__version__", "API_VERSION"])
def test_another_release_has_other_entity_tags(snapshot, tag_on, monkeypatch, name):
    before = tag_on(snapshot)
    monkeypatch.setattr(normal_form, name, "next")
    assert tag_on(snapshot) != before


def test_the_release_in_the_entity_tags_is_that_of_the_package():
    package = tomllib.loads((Path(__file__).resolve().parents[2] / "pyproject.toml").read_text("utf-8"))
    assert service.__version__ == package["project"]["version"]


def test_each_language_has_an_entity_tag_of_its_own(snapshot, tag_on):
    assert len({tag_on(snapshot, language) for language in (None, "en", "de", "fr")}) == 4


def test_the_snapshot_in_gzip_shares_no_entity_tag_with_the_plain_one(client):
    # RFC 9110, 8.8.3.3: each content coding is a representation of its own.
    plain = client.get("/v1/snapshot", headers={"Accept-Encoding": "identity"})
    packed = client.get("/v1/snapshot", headers={"Accept-Encoding": "gzip"})
    assert "content-encoding" not in plain.headers
    assert packed.headers["content-encoding"] == "gzip"
    assert packed.content == plain.content  # the client has unpacked it
    assert plain.headers["etag"].removeprefix("W/") != packed.headers["etag"].removeprefix("W/")
    assert not plain.headers["etag"].startswith("W/")
    for coding, other, kept in (("gzip", "identity", packed), ("identity", "gzip", plain)):
        named = {"If-None-Match": kept.headers["etag"]}
        assert client.get("/v1/snapshot", headers=named | {"Accept-Encoding": coding}).status_code == 304
        assert client.get("/v1/snapshot", headers=named | {"Accept-Encoding": other}).status_code == 200


def test_a_records_entity_tag_is_that_of_its_content_and_stays_when_another_record_is_written(
    start_client, demonstration_copy, demonstration, import_csv
):
    client = start_client(demonstration_copy)
    before = client.get("/v1/axles/TW8-36-M8-BK").headers["etag"]
    import_csv(demonstration, "axles", "sku,name,fastening\nNEW-1,New,two_piece\n")
    client.app.state.snapshots.refresh()
    assert client.get("/v1/axles/NEW-1").status_code == 200
    assert client.get("/v1/axles/TW8-36-M8-BK").headers["etag"] == before


def test_the_bytes_of_an_entity_tag_are_those_that_a_tag_may_have(client):
    # RFC 9110, 8.8.3: etagc = %x21 / %x23-7E, in quotes.
    tag = json.loads(client.get(WIDTH).headers["etag"])
    assert tag
    assert all(0x21 <= ord(character) <= 0x7E and character != '"' for character in tag)


def test_gzip_is_unpacked_to_the_lines(client):
    with client.stream("GET", "/v1/snapshot", headers={"Accept-Encoding": "gzip"}) as answer:
        raw = b"".join(answer.iter_raw())
    assert gzip.decompress(raw).startswith(b'{"catalogue_revision"')
