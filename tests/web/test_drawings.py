"""Drawings over HTTP: their form, their tags, their refusals."""

import base64
import hashlib
from xml.etree.ElementTree import fromstring

import pytest

SVG = "{http://www.w3.org/2000/svg}"
FIT = "/v1/fits/drawing.svg"
ROCKER = "/v1/rockers/drawing.svg"
AXLE = {"sku": "TW8-36-M8-HX6", "fastening": "threaded_wall", "outside_width_mm": 36.4, "far_wall_mm": 6}
WHEELS = {"axle_positions_mm": [0, 80, 160, 240], "wheel_diameters_mm": [76], "offsets_mm": [1, 0, 0, 1]}
BOTH = pytest.mark.parametrize(("path", "query"), [(FIT, AXLE), (ROCKER, WHEELS)])


@pytest.fixture
def ask(client):
    return lambda path, query, **headers: client.get(path, params=query, headers=headers)


@BOTH
def test_a_drawing_is_an_svg_picture_in_the_language_asked_for(ask, path, query):
    answer = ask(path, query, **{"Accept-Language": "nl"})
    assert answer.status_code == 200
    assert answer.headers["content-type"].partition(";")[0] == "image/svg+xml"
    assert answer.headers["content-language"] == "nl"
    assert "Accept-Language" in answer.headers["vary"]
    root = fromstring(answer.content)  # noqa: S314 (our own answer)
    assert root.tag == f"{SVG}svg"
    assert root.get("lang") == "nl"


@BOTH
def test_who_has_the_drawing_is_told_so(ask, path, query):
    first = ask(path, query)
    assert "max-age" in first.headers["cache-control"]
    again = ask(path, query, **{"If-None-Match": first.headers["etag"]})
    assert again.status_code == 304
    assert again.content == b""
    other = ask(path, query, **{"If-None-Match": first.headers["etag"], "Accept-Language": "it"})
    assert other.status_code == 200


@BOTH
def test_the_head_alone_is_that_of_the_drawing(client, path, query):
    whole, head = client.get(path, params=query), client.head(path, params=query)
    assert head.status_code == 200
    assert head.content == b""
    for name in ("etag", "content-type", "content-language"):
        assert head.headers[name] == whole.headers[name]


@BOTH
def test_a_drawing_opened_by_itself_runs_nothing_and_has_its_own_style_only(ask, path, query):
    answer = ask(path, query)
    (style,) = fromstring(answer.content).iter(f"{SVG}style")  # noqa: S314 (our own answer)
    digest = base64.b64encode(hashlib.sha256(style.text.encode()).digest()).decode()
    policy = answer.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert f"style-src 'sha256-{digest}'" in policy  # CSP Level 3, 6.6.3.3: the digest of the style's text


def test_wheels_in_another_order_are_another_drawing(ask):
    query = {"axle_positions_mm": [0, 90, 180]}
    tags = {
        ask(ROCKER, query | {"wheel_diameters_mm": diameters}).headers["etag"]
        for diameters in ([72, 76, 80], [80, 76, 72], [76, 72, 80])
    }
    assert len(tags) == 3


def test_readings_in_another_order_are_the_same_drawing(ask):
    tags = {
        ask(FIT, AXLE | {"outside_width_mm": readings}).headers["etag"]
        for readings in ([36.4, 36.3], [36.3, 36.4])
    }
    assert len(tags) == 1


@pytest.mark.parametrize(
    ("path", "query", "field"),
    [
        (FIT, {name: AXLE[name] for name in AXLE if name != "sku"}, "sku"),
        (FIT, AXLE | {"sku": "NO-SUCH"}, "sku"),
        (FIT, AXLE | {"thread": "M8x9"}, "thread"),
        (FIT, AXLE | {"colour": "black"}, "colour"),
        (ROCKER, WHEELS | {"wheel_diameters_mm": [76, 80]}, "wheel_diameters_mm"),
        (ROCKER, {"wheel_diameters_mm": 76}, "axle_positions_mm"),
        (ROCKER, {"wheel_diameters_mm": 76, "frame": "NO-SUCH"}, "frame"),
        (ROCKER, WHEELS | {"wanted_offsets_mm": [1, 0, 0, 1]}, "wanted_offsets_mm"),
    ],
)
def test_what_cannot_be_drawn_is_refused_with_its_parameter(ask, fields_of, path, query, field):
    answer = ask(path, query)
    assert answer.status_code == 422
    assert fields_of(answer) == [field]


def test_the_wheels_of_a_known_frame_are_drawn(ask):
    answer = ask(ROCKER, {"frame": "QH-ALDER", "wheel_diameters_mm": 80})
    root = fromstring(answer.content)  # noqa: S314 (our own answer)
    stances = [element for element in root.iter() if element.get("data-name") == "stance"]
    assert stances
    for stance in stances:
        assert sum(element.get("data-name") == "wheel" for element in stance.iter()) == 4
