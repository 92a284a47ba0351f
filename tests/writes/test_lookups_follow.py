"""A write is in the answers of the same process at once, and in those of others within a second."""

import time

import pytest

THREADED = {
    "name": "Threaded wall 8 x 36 mm, M8x1.25",
    "fastening": "threaded_wall",
    "shaft_mm": 8,
    "length_mm": 36,
    "thread": "M8x1.25",
    "thread_length_mm": 12,
    "stock": 3,
}
LOOKUP = "/v1/fits?fastening=threaded_wall&outside_width_mm=36.4&bore_mm=8&thread=M8x1.25"
WITHIN_S = 1.0


@pytest.fixture
def looked_up():
    """The stock of each axle that a lookup answers with, and its revision."""

    def read(shop):
        answer = shop.get(LOOKUP)
        return answer["catalogue_revision"], {
            fit["axle"]["sku"]: fit["axle"]["stock"] for fit in answer["fits"]
        }

    return read


def test_each_write_is_in_the_next_lookup(own_shop, looked_up):
    assert looked_up(own_shop) == (0, {})
    own_shop.send("PUT", "/v1/axles/L-1", THREADED, if_none_match="*")
    assert looked_up(own_shop) == (1, {"L-1": 3})
    own_shop.send("PATCH", "/v1/axles/L-1", {"stock": 2}, if_match="*")
    assert looked_up(own_shop) == (2, {"L-1": 2})
    own_shop.load(
        "axles",
        "sku,name,fastening,shaft_mm,length_mm,thread,thread_length_mm,stock\n"
        "L-2,Two,threaded_wall,8,36,M8x1.25,12,7\n",
    )
    assert looked_up(own_shop) == (3, {"L-1": 2, "L-2": 7})
    own_shop.send("DELETE", "/v1/axles/L-1", if_match="*")
    assert looked_up(own_shop) == (4, {"L-2": 7})


def test_a_write_of_another_process_is_in_the_lookups_within_a_second(engine, open_shop, looked_up):
    # Two applications with nothing in common but the database; how often they look is the default.
    url = engine.empty()
    writes, reads = open_shop(url, refresh_seconds=0.5), open_shop(url, refresh_seconds=0.5)
    writes.send("PUT", "/v1/axles/L-1", THREADED, if_none_match="*")
    begin = time.monotonic()
    while looked_up(reads) != (1, {"L-1": 3}):
        assert time.monotonic() - begin < WITHIN_S
        time.sleep(0.02)


def test_a_write_without_a_change_leaves_the_answers_as_they_are(own_shop, looked_up):
    own_shop.send("PUT", "/v1/axles/L-1", THREADED, if_none_match="*")
    own_shop.send("PUT", "/v1/axles/L-1", THREADED, if_match="*")
    assert looked_up(own_shop) == (2, {"L-1": 3})
