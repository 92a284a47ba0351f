"""API2 (OWASP API Security, 2023): keys tried in bulk are told apart by nothing, and limited."""

import hmac

import pytest

PATH = "/v1/axles/TW8-36-M8-HX6"
QUOTA = 5


def answer_to(client, authorization):
    return client.delete(PATH, headers={"Authorization": authorization, "If-Match": '"of no state"'})


@pytest.mark.parametrize("other", ["unknown", "revoked"])
def test_a_wrong_key_is_refused_in_the_same_words_whatever_is_wrong_with_it(guarded, issued, other):
    first, second = answer_to(guarded, issued["wrong"]), answer_to(guarded, issued[other])
    varying = {"x-request-id", "traceparent"}
    assert (first.status_code, second.status_code, first.content) == (401, 401, second.content)
    assert {n: v for n, v in first.headers.items() if n not in varying} == {
        n: v for n, v in second.headers.items() if n not in varying
    }


@pytest.mark.parametrize("kind", ["wrong", "unknown", "revoked", "catalogue"])
def test_each_key_is_hashed_and_compared_whether_it_exists_or_not(guarded, issued, monkeypatch, kind):
    # The time that a comparison takes says nothing then; the comparison itself is the library's.
    compared = []
    compare = hmac.compare_digest
    monkeypatch.setattr(hmac, "compare_digest", lambda a, b: compared.append((a, b)) or compare(a, b))
    answer_to(guarded, issued[kind])
    assert [len(presented) for _, presented in compared] == [64]


def test_many_wrong_keys_from_one_address_are_stopped(open_with, issued):
    kinds = [issued["wrong"], issued["unknown"], issued["revoked"], "Bearer nonsense", "Bearer axf_1"]
    with open_with(wrong_keys_per_minute=QUOTA) as client:
        assert [answer_to(client, key).status_code for key in kinds] == [401] * QUOTA
        for key in (issued["wrong"], issued["catalogue"]):  # a right one among them would not show
            stopped = answer_to(client, key)
            assert stopped.status_code == 429
            # RFC 6585, 4 and RFC 9110, 10.2.3: how long to wait, in whole seconds.
            assert 1 <= int(stopped.headers["Retry-After"]) <= 60
        assert client.get(PATH).status_code == 200  # reads go on, and the axle is still there


def test_without_a_key_nothing_is_counted(open_with, issued):
    # From an address of its own: those of the tests before may have to wait.
    with open_with(wrong_keys_per_minute=1, trusted_proxies="127.0.0.1") as client:
        client._transport.client = ("192.0.2.77", 1)  # noqa: SLF001 (RFC 5737; the test client has no option)
        for _ in range(5):
            assert client.delete(PATH).status_code == 401
        assert client.delete(PATH, headers={"Authorization": issued["catalogue"]}).status_code == 428
