"""How lists go on: by their link (RFC 8288), else by their cursor, and only on the same server."""

import json

import pytest
from axlefit_client import AxleFit, ProblemError


def page(*skus, cursor=None, link=None):
    items = [{"sku": sku, "name": "One", "fastening": "two_piece"} for sku in skus]
    headers = {"content-type": "application/json"} | ({"link": link} if link else {})
    return 200, headers, json.dumps({"items": items, "next_cursor": cursor}).encode()


@pytest.fixture
def shop(connect, server):
    return connect(server.url, "axf_key", patience=5)


def skus(items):
    return [axle.sku for axle in items]


def test_a_list_goes_on_by_its_link_before_its_cursor(shop, server):
    server.answers += [
        page("A", "B", cursor="c", link='</v1/axles?page=2>; rel="next", </v1/axles>; rel="first"'),
        page("C", link='</v1/axles>; rel="first"'),
    ]
    assert skus(shop.axles(limit=2)) == ["A", "B", "C"]
    assert [request["target"] for request in server.asked] == ["/v1/axles?limit=2", "/v1/axles?page=2"]


def test_without_a_link_it_goes_on_by_its_cursor_with_the_same_conditions(shop, server):
    server.answers += [page("A", cursor="x_1"), page("B", cursor="x_2"), page()]
    assert skus(shop.axles(limit=1, fastening="two_piece")) == ["A", "B"]
    first = "/v1/axles?limit=1&fastening=two_piece"
    assert [request["target"] for request in server.asked] == [
        first, f"{first}&cursor=x_1", f"{first}&cursor=x_2"
    ]  # fmt: skip


def test_a_page_is_asked_for_only_when_it_is_needed(shop, server):
    server.answers += [page("A", "B", cursor="c"), page("C")]
    items = iter(shop.axles())
    assert len(server.asked) == 0
    assert [next(items).sku, next(items).sku] == ["A", "B"]
    assert len(server.asked) == 1
    assert next(items).sku == "C"


def test_a_link_to_another_server_is_not_followed_since_the_key_would_go_with_it(shop, server, other_server):
    link = f'<{other_server.url}/v1/axles?page=2>; rel="next"'
    server.answers += [page("A", cursor="c", link=link), page("B", link=link)]
    assert skus(shop.axles()) == ["A", "B"]
    assert other_server.asked == []


def test_a_page_that_is_refused_once_is_asked_for_again_and_nothing_is_given_twice(shop, server):
    busy = (503, {"retry-after": "0"}, b"")
    server.answers += [page("A", cursor="c"), busy, page("B")]
    assert skus(shop.axles()) == ["A", "B"]


def test_a_cursor_that_has_gone_stale_is_told_and_not_taken_for_the_end(shop, server):
    server.answers += [page("A", cursor="c"), (400, {}, b"")]
    items = iter(shop.axles())
    assert next(items).sku == "A"
    with pytest.raises(ProblemError, match="400"):
        next(items)


def test_the_first_page_of_a_list_that_has_not_changed_is_not_sent_again(server):
    # A 304 needs no link (RFC 9110, 15.4.5): the list goes on by that of the first answer.
    first = page("A", link='</v1/axles?page=2>; rel="next"')
    first[1]["etag"] = '"one"'
    server.answers += [first, page("B"), (304, {"etag": '"one"'}, b""), page("B")]
    with AxleFit(server.url) as shop:
        assert skus(shop.axles()) == skus(shop.axles()) == ["A", "B"]
