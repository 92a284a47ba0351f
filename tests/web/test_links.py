"""Pages linked to each other: in the header Link (RFC 8288), and the same in the body."""

import json
import re
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

FRAME = "fastening=threaded_wall&outside_width_mm=36.4&far_wall_mm=6"
LISTS = {
    f"/v1/fits?{FRAME}": lambda item: item["rank"],
    "/v1/fits?outside_width_mm=36.3&outside_width_mm=36.5&in_stock=true&thread=M8": lambda item: item["rank"],
    "/v1/frames/QH-COLTSFOOT/fits?axle_position=2": lambda item: item["rank"],
    "/v1/axles?fastening=two_piece": lambda item: item["sku"],
    "/v1/axles": lambda item: item["sku"],
    "/v1/frames": lambda item: item["code"],
    "/v1/sleeves": lambda item: item["sku"],
    "/v1/axles/TW8-36-M8-HX/equivalents": lambda item: item["rank"],
    "/v1/axles/TW8-36-M8-HX/frames": lambda item: item["rank"],
}


def links_in(answer):
    """The targets by relation; each link as RFC 8288, 3 writes it, with a reference of RFC 3986."""
    header = answer.headers.get("link", "")
    written = re.findall(r'<([^<>]*)>; rel="([a-z]+)"', header)
    assert ", ".join(f'<{target}>; rel="{relation}"' for target, relation in written) == header
    assert all(re.fullmatch(r"/(?!/)[A-Za-z0-9._~!$&'()*+,;=:@/?%-]*", target) for target, _ in written)
    return {relation: target for target, relation in written}


def items_of(page):
    return page["fits"] if "fits" in page else page["items"]


def walk(client, path):
    """All pages from this one on, by their links alone."""
    while path is not None:
        answer = client.get(path)
        assert answer.status_code == 200, answer.text
        yield answer
        path = links_in(answer).get("next")


@pytest.mark.parametrize("limit", [1, 7, 100])
@pytest.mark.parametrize(("path", "place"), LISTS.items(), ids=LISTS)
def test_following_the_links_gives_each_item_once_and_in_order(client, path, place, limit):
    mark = "&" if "?" in path else "?"
    pages = [items_of(answer.json()) for answer in walk(client, f"{path}{mark}limit={limit}")]
    at_most = [items_of(answer.json()) for answer in walk(client, f"{path}{mark}limit=100")]
    whole = [place(item) for page in at_most for item in page]
    walked = [place(item) for page in pages for item in page]
    assert len(whole) > 1 or path == "/v1/sleeves"
    assert walked == whole == sorted(set(whole))
    assert all(len(page) == limit for page in pages[:-1])


@pytest.mark.parametrize("path", LISTS)
def test_the_links_of_the_body_are_those_of_the_header(client, path):
    mark = "&" if "?" in path else "?"
    for answer in walk(client, f"{path}{mark}limit=10"):
        page = answer.json()
        assert {name: target for name, target in page["links"].items() if target} == links_in(answer)
        assert ("next" in links_in(answer)) is (page["next_cursor"] is not None)


@pytest.mark.parametrize("path", LISTS)
def test_the_first_link_of_every_page_leads_to_the_first_page(client, path):
    mark = "&" if "?" in path else "?"
    answers = list(walk(client, f"{path}{mark}limit=2"))
    firsts = {links_in(answer)["first"] for answer in answers}
    assert len(firsts) == 1
    first = client.get(firsts.pop())
    assert first.content == answers[0].content
    assert first.headers["etag"] == answers[0].headers["etag"]


def test_no_header_of_the_caller_gets_into_a_link(client):
    headers = {"Host": "evil.example", "X-Forwarded-Host": "evil.example", "X-Forwarded-Prefix": "/evil"}
    answer = client.get(f"/v1/fits?{FRAME}&limit=2", headers=headers)
    assert set(links_in(answer)) == {"first", "next"}
    assert "evil" not in answer.headers["link"] + answer.text


def test_a_lookup_by_post_goes_on_by_the_equal_get(client, post_fits):
    fields = {"outside_width_mm": [36.4, 36.35], "child": True, "thread": "M8", "limit": 3, "bore_mm": 8}
    answer = post_fits(fields)
    ranks = [fit["rank"] for page in walk(client, links_in(answer)["next"]) for fit in page.json()["fits"]]
    assert ranks
    assert ranks == list(range(4, 4 + len(ranks)))
    assert client.get(links_in(answer)["first"]).content == answer.content


LENGTHS = st.floats(min_value=1e-3, max_value=200) | st.integers(1, 200_000).map(lambda um: um / 1000)
RECESSES = st.floats(0, 200) | st.sampled_from([1e-7, -0.0])


@settings(max_examples=80)
@given(readings=st.lists(LENGTHS, min_size=1, max_size=4), recess=RECESSES)
def test_a_link_asks_for_what_was_asked_or_is_not_given(client, readings, recess):
    answer = client.post(
        "/v1/fits",
        content=json.dumps({"outside_width_mm": readings, "recess_mm": recess, "limit": 1}),
        headers={"Content-Type": "application/json"},
    )
    assert answer.status_code == 200
    if answer.json()["links"] is None:  # a query takes 15 digits after the point
        assert "link" not in answer.headers
        assert min(Decimal(repr(number)).as_tuple().exponent for number in (*readings, recess)) < -15
    else:
        assert client.get(links_in(answer)["first"]).content == answer.content


def test_a_link_is_written_as_people_would_write_it(post_fits):
    answer = post_fits({"in_stock": True, "recess_mm": 0.00001, "outside_width_mm": [36.0, 35], "limit": 100})
    query = "in_stock=true&limit=100&outside_width_mm=35&outside_width_mm=36&recess_mm=0.00001"
    assert answer.json()["links"]["first"] == f"/v1/fits?{query}"


@pytest.mark.parametrize("readings", [[36.4], [0.5, 36.333333333333336]])
def test_numbers_as_people_have_them_have_links(post_fits, readings):
    assert "first" in links_in(post_fits({"outside_width_mm": readings, "limit": 1}))
