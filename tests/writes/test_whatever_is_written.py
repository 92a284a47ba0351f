"""Whatever a caller with a key sends, it is written or refused with a problem, and never breaks anything."""

import json

from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.parts import AxleRecord

NUMBERS = st.integers() | st.floats() | st.sampled_from([2**63, -(2**63) - 1, 10**400, 1e308, 1e-300])
VALUES = st.recursive(
    st.none() | st.booleans() | NUMBERS | st.text() | st.sampled_from(["12,5", "\ud800", "\0", "M8x1.25"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=5,
)
NAMES = st.sampled_from(sorted(AxleRecord.model_fields)) | st.text(max_size=8)
# What h11 lets through in a value: visible ASCII, spaces, and any byte above (RFC 9110, 5.5).
HEADER_VALUES = st.text(
    st.characters(min_codepoint=0x20, max_codepoint=0xFF, exclude_characters="\x7f"), max_size=30
)


def assert_written_or_refused(answer):
    assert answer.status_code < 500, answer.text
    if answer.status_code >= 400:
        assert answer.headers["content-type"] == "application/problem+json"
        assert answer.json()["type"].startswith("/problems/")


@settings(max_examples=60)
@given(
    st.sampled_from(["PUT", "PATCH"]),
    st.lists(st.tuples(NAMES, VALUES), max_size=5),  # names may stand twice
    st.sampled_from(["", "?weather=fine", "?%ff=%00&%zz"]),
)
def test_any_members_are_written_or_refused(shop, method, members, query):
    written = [f"{json.dumps(name)}:{json.dumps(value)}" for name, value in members]
    body = ("{" + ",".join(['"name":"One"', '"fastening":"two_piece"', *written]) + "}").encode()
    assert_written_or_refused(shop.send(method, f"/v1/axles/ANY-1{query}", body, if_match="*"))


@settings(max_examples=60)
@given(
    st.sampled_from(
        ["if-match", "if-none-match", "content-type", "content-encoding", "idempotency-key", "authorization"]
    ),
    HEADER_VALUES.map(lambda text: text.strip().encode("latin-1")),
    st.sampled_from(["PUT", "DELETE", "POST"]),
)
def test_any_value_of_a_header_is_understood_or_refused(shop, name, value, method):
    path = "/v1/imports?table=axles&dry_run=true" if method == "POST" else "/v1/axles/ANY-2"
    body = None if method == "DELETE" else b'{"name": "One", "fastening": "two_piece"}'
    assert_written_or_refused(shop.send(method, path, body, **{name.replace("-", "_"): value}))


@settings(max_examples=30)
@given(st.text(min_size=1, max_size=20) | st.binary(min_size=1, max_size=8))
def test_any_key_is_written_or_refused(shop, key):
    octets = key if isinstance(key, bytes) else key.encode()
    path = "/v1/sleeves/" + "".join(f"%{octet:02x}" for octet in octets)
    for method in ("PUT", "PATCH", "DELETE"):
        body = None if method == "DELETE" else b"{}"
        assert_written_or_refused(shop.send(method, path, body, if_match="*"))
