"""If-None-Match, 304 and what a cache may keep (RFC 9110, 13.1.2 and 15.4.5; RFC 9111; RFC 5861)."""

import re

import pytest
from starlette.requests import Request

from schemas.answers import SleeveListResponse
from schemas.browse import PageRequest
from service.web.caching import ConditionalRead

LOOKUP = "/v1/fits?outside_width_mm=36.4"
KEPT = [
    LOOKUP, "/v1/frames/QH-HEATHER/fits", "/v1/axles", "/v1/frames", "/v1/sleeves", "/v1/snapshot",
    "/v1/guides/measuring", "/v1/guides/tools", "/v1/axles/TW8-36-M8-BK",
    "/v1/frames/QH-COLTSFOOT", "/v1/sleeves/SL-8",
]  # fmt: skip


@pytest.fixture
def kept_path(client, request):
    """A path that caches may keep; the last stands for the first sleeve that there is."""
    if request.param.startswith("/v1/sleeves/"):
        return f"/v1/sleeves/{client.get('/v1/sleeves').json()['items'][0]['sku']}"
    return request.param


every_kept_path = pytest.mark.parametrize("kept_path", KEPT, indirect=True)


@every_kept_path
@pytest.mark.parametrize(
    "named",
    [
        "{tag}",
        "W/{tag}",  # 13.1.2: the weak comparison
        '"other", {tag}',
        '{tag}, "other"',
        '"a,b",W/"c" ,\t{tag}',  # a comma may stand in a tag
        ", , {tag},",  # 5.6.1.2: empty elements of a list
        "*",
        " * ",
    ],
)
def test_a_caller_who_names_the_current_entity_tag_gets_304_without_content(client, kept_path, named):
    full = client.get(kept_path)
    tag = full.headers["etag"].removeprefix("W/")
    answer = client.get(kept_path, headers={"If-None-Match": named.format(tag=tag)})
    assert (answer.status_code, answer.content) == (304, b"")
    for name in ("etag", "cache-control", "vary"):  # 15.4.5: what 200 would have had
        assert answer.headers.get(name) == full.headers.get(name)
    assert "content-type" not in answer.headers


@every_kept_path
@pytest.mark.parametrize(
    "named", ['"other"', 'W/"other"', "", "{bare}", '"{bare}', '"x{bare}"', '"*"', "**", '*, "other"']
)
def test_a_caller_who_names_other_tags_gets_the_answer(client, kept_path, named):
    tag = client.get(kept_path).headers["etag"].removeprefix("W/")
    answer = client.get(kept_path, headers={"If-None-Match": named.format(bare=tag.strip('"'))})
    assert answer.status_code == 200
    assert answer.content


def test_entity_tags_in_several_headers_are_one_list(client):
    # RFC 9110, 5.3: the values of repeated headers belong together.
    tag = client.get(LOOKUP).headers["etag"]
    headers = [("If-None-Match", '"other"'), ("If-None-Match", tag)]
    assert client.get(LOOKUP, headers=headers).status_code == 304


def test_an_answer_that_the_caller_has_is_not_made(snapshot):
    made = []

    def read(named):
        def make():
            made.append(named)
            return SleeveListResponse(catalogue_revision=snapshot.revision, items=[])

        headers = [(b"if-none-match", named.encode())]
        http = Request({"type": "http", "path": "/v1/sleeves", "headers": headers})
        return ConditionalRead(http, snapshot).page(PageRequest(), make)

    tag = read('"other"').headers["etag"]
    assert read(tag).status_code == read("*").status_code == 304
    assert made == ['"other"', "*"]  # whether there is an answer at all shows when it is made


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/v1/fits", 422),
        (f"{LOOKUP}&cursor=junk", 400),
        ("/v1/axles?cursor=junk", 400),
        ("/v1/axles/NOTHING", 404),
        ("/v1/frames/NOTHING/fits", 404),
        ("/v1/axles?colour=Black", 422),
        ("/nothing", 404),
    ],
)
@pytest.mark.parametrize("method", ["GET", "HEAD"])
def test_a_refusal_comes_before_the_precondition_and_is_not_kept(client, method, path, status):
    # RFC 9110, 13.2.1: a precondition counts only where the answer would be 2xx without it.
    answer = client.request(method, path, headers={"If-None-Match": "*"})
    assert answer.status_code == status
    assert answer.headers["cache-control"] == "no-store"
    assert "etag" not in answer.headers


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("GET", "/health/live"),
        ("GET", "/health/ready"),
        ("GET", "/v1/changes?since=0"),
        ("PUT", "/v1/axles/NEW-1"),  # 401
        ("DELETE", "/v1/fits"),  # 405
        ("OPTIONS", "/v1/fits"),
    ],
)
def test_health_writes_and_the_feed_are_not_kept(client, method, path):
    assert client.request(method, path).headers["cache-control"] == "no-store"


def test_a_lookup_by_post_is_not_kept(post_fits):
    answer = post_fits({"outside_width_mm": 36.4})
    assert (answer.status_code, answer.headers["cache-control"]) == (200, "no-store")
    assert "etag" not in answer.headers


@every_kept_path
def test_what_may_be_kept_is_public_soon_stale_and_usable_while_the_service_is_away(client, kept_path):
    directives = dict(
        re.fullmatch(r"([a-z-]+)(?:=(\d+))?", part).groups()
        for part in client.get(kept_path).headers["cache-control"].split(", ")
    )
    assert "public" in directives
    assert int(directives["max-age"]) <= 10
    assert int(directives["stale-if-error"]) >= 3600  # RFC 5861, 4
    # RFC 9111, 4.2.4: with any of these a cache could not answer while the service is away.
    assert not {"no-cache", "must-revalidate", "proxy-revalidate", "s-maxage", "no-store"} & set(directives)


def test_a_record_is_asked_for_again_each_time(client):
    # Its entity tag is what If-Match has to name: an old one would be refused again and again.
    assert "max-age=0" in client.get("/v1/axles/TW8-36-M8-BK").headers["cache-control"]


def vary_of(answer):
    return {name.strip().lower() for name in answer.headers.get("vary", "").split(",")} - {""}


def test_an_answer_varies_with_the_headers_that_it_depends_on(client):
    # RFC 9110, 12.5.5
    assert "accept-language" in vary_of(client.get(LOOKUP))
    assert "accept-language" in vary_of(client.get("/v1/frames/QH-HEATHER/fits"))
    assert "accept-encoding" in vary_of(client.get("/v1/snapshot"))
    assert vary_of(client.get("/v1/axles/TW8-36-M8-BK")) == set()


def test_a_cached_answer_is_the_answer_of_another_worker(start_client, demonstration_copy):
    one, other = start_client(demonstration_copy), start_client(demonstration_copy)
    tag = one.get(LOOKUP).headers["etag"]
    assert other.get(LOOKUP, headers={"If-None-Match": tag}).status_code == 304
