"""A plain lookup that is answered before all layers has the answer of the ordinary way, to the byte."""

import json
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from schemas.codes import Language
from tests.web.test_plain_queries import ASKED, PAIRS

FRAME = "fastening=threaded_wall&outside_width_mm=36.4&bore_mm=8&thread=M8x1.25"
CONDITION = {"If-None-Match": '"of-another-answer"'}
"""A condition that does not hold changes no answer (RFC 9110, 13.1.2), and goes the ordinary way."""
OF_EACH_REQUEST = {"traceparent", "x-request-id"}
LANGUAGES = st.sampled_from(["", "de", "fr;q=0.5, nl", "xx", "*", "é", "en" * 600])


def told(answer):
    """All of an answer but the headers that each request has of its own, which have to be there too."""
    headers = answer.headers.multi_items()
    assert {name for name, _ in headers}.issuperset(OF_EACH_REQUEST)
    return answer.status_code, [pair for pair in headers if pair[0] not in OF_EACH_REQUEST], answer.content


def both(client, query, headers=()):
    """What comes of a query twice: as it is, and with a condition that does not hold."""
    address = f"/v1/fits?{query}"
    return client.get(address, headers=dict(headers)), client.get(
        address, headers={**dict(headers), **CONDITION}
    )


@pytest.fixture
def outside(client):
    """Counts what passes the hot route, on the first layer behind it."""
    client.get("/health/live")  # the layers are put together
    hot = client.app.middleware_stack
    inner, seen = hot.app, []

    async def counted(scope, receive, send):
        seen.append(scope["path"])
        await inner(scope, receive, send)

    hot.app = counted
    yield seen
    hot.app = inner


@settings(max_examples=250, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(ASKED | st.lists(PAIRS, max_size=4), LANGUAGES)
def test_a_query_has_the_same_answer_either_way_good_or_bad(client, pairs, language):
    query = "&".join(map("=".join, pairs))
    hot, ordinary = both(client, query, {"Accept-Language": language.encode()} if language else {})
    assert told(hot) == told(ordinary)


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(width=st.integers(2800, 4400), mass=st.integers(10, 250), language=st.sampled_from(list(Language)))
def test_a_plain_lookup_is_answered_before_all_layers(client, outside, width, mass, language):
    query = f"outside_width_mm={width / 100:.2f}&far_wall_mm=6&rider_mass_kg={mass}&limit=3"
    outside.clear()
    headers = {"Accept-Language": language}
    hot = [client.get(f"/v1/fits?{query}", headers=headers) for _ in range(2)]  # made, and kept
    assert not outside
    ordinary = client.get(f"/v1/fits?{query}", headers=headers | CONDITION)
    assert outside
    assert told(hot[0]) == told(hot[1]) == told(ordinary)
    assert hot[0].status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        CONDITION,
        {"If-None-Match": "*"},
        {"Content-Length": "0"},
        {"X": "a" * 16_384},
        {f"X-{number}": "a" for number in range(100)},
        {"Expect": "100-continue"},
    ],
    ids=lambda headers: next(iter(headers)),
)
def test_a_request_with_more_to_it_goes_the_ordinary_way(client, outside, headers):
    client.get(f"/v1/fits?{FRAME}", headers=headers)
    assert outside == ["/v1/fits"]


@pytest.mark.parametrize("method", ["HEAD", "OPTIONS", "DELETE"])
def test_another_method_goes_the_ordinary_way(client, outside, method):
    client.request(method, f"/v1/fits?{FRAME}")
    assert outside == ["/v1/fits"]


def test_a_cursor_is_followed_and_a_wrong_one_refused_either_way(client):
    following = client.get(f"/v1/fits?{FRAME}&limit=2").json()["next_cursor"]
    for cursor, status in ((following, 200), (following[:-1], 400), ("nonsense", 400)):
        hot, ordinary = both(client, f"{FRAME}&limit=2&cursor={cursor}")
        assert told(hot) == told(ordinary)
        assert hot.status_code == status


def test_an_answer_is_not_older_than_the_catalogue(
    start_client, demonstration_copy, demonstration, import_csv
):
    client = start_client(demonstration_copy)
    query = f"/v1/fits?{FRAME}&limit=1"
    before = client.get(query)
    axle = before.json()["fits"][0]["axle"]
    import_csv(demonstration, "axles", _row(axle | {"stock": 12_345}))
    client.app.state.snapshots.refresh()
    after = client.get(query)
    assert after.json()["catalogue_revision"] == before.json()["catalogue_revision"] + 1
    assert after.json()["fits"][0]["axle"]["stock"] == 12_345
    assert after.headers["etag"] != before.headers["etag"]


def _row(axle):
    columns = [name for name, value in axle.items() if value is not None]
    return ",".join(columns) + "\n" + ",".join(json.dumps(str(axle[name])) for name in columns) + "\n"


def test_while_the_catalogue_may_be_behind_each_answer_says_so(start_client, demonstration_copy, monkeypatch):
    client = start_client(demonstration_copy)
    query = f"/v1/fits?{FRAME}"
    assert "catalogue-age" not in client.get(query).headers
    monkeypatch.setattr(client.app.state.snapshots, "_away", True)
    assert re.fullmatch(r"\d+", client.get(query).headers["catalogue-age"])


def test_where_requests_are_counted_a_lookup_is_counted(start_client, demonstration_copy):
    client = start_client(demonstration_copy, limit_per_minute=2)
    assert [client.get(f"/v1/fits?{FRAME}").status_code for _ in range(3)] == [200, 200, 429]


def test_a_lookup_is_counted_in_the_metrics_and_has_its_line(start_client, demonstration_copy, caplog):
    client = start_client(demonstration_copy)
    with caplog.at_level("INFO", logger="axlefit.access"):
        answer = client.get(f"/v1/fits?{FRAME}", headers={"X-Request-Id": "order-7"})
    (line,) = [record for record in caplog.records if record.name == "axlefit.access"]
    assert (line.method, line.route, line.status, line.bytes) == ("GET", "/v1/fits", 200, len(answer.content))
    assert answer.headers["x-request-id"] == "order-7"
    counted = 'axlefit_request_duration_seconds_count{method="GET",process="'
    series = [line for line in client.get("/metrics").text.splitlines() if line.startswith(counted)]
    assert [line.rpartition(" ")[2] for line in series if 'route="/v1/fits",status="200"' in line] == ["1.0"]


def test_without_a_cache_the_answers_are_the_same(client, start_client, demonstration_file):
    without = start_client(demonstration_file, answer_cache_bytes=0)
    for width in range(300, 420, 7):
        query = f"/v1/fits?outside_width_mm={width / 10}"
        assert told(without.get(query)) == told(client.get(query)) == told(client.get(query))
