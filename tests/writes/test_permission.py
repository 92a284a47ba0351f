"""Who may write: nobody without a valid key, and only with the scope for it; reading needs none."""

import base64

import pytest

from service.partners.keys import Scope, revoke_key

FILE = "sku,name,fastening\nP-1,One,two_piece\n"


@pytest.fixture(params=["PUT", "PATCH", "DELETE", "POST"])
def write(request, shop, good):
    """A write that would be carried out with a good key, by each method."""

    def send(**headers):
        if request.param == "POST":
            return shop.load("axles", FILE, **headers)
        body = None if request.param == "DELETE" else good["axles"]
        return shop.send(request.param, path, body, if_match="*", **headers)

    path, _ = shop.put_new("axles")
    return send


def problem_of(answer, status, code):
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["type"] == f"/problems/{code}"


@pytest.mark.parametrize(
    "header",
    [
        None,
        "",
        "Bearer",
        "Bearer ",
        "Bearer nonsense",
        "Bearer axf_AAAAAAAA_BBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBB00000000",
        "Basic " + base64.b64encode(b"till:secret").decode(),
    ],
    ids=str,
)
def test_without_a_valid_key_a_write_is_refused_and_changes_nothing(write, shop, header):
    before = shop.revision
    problem_of(write(authorization=header), 401, "unauthenticated")
    assert shop.revision == before


def test_the_key_alone_without_its_scheme_is_refused(write, shop):
    problem_of(write(authorization=shop.key), 401, "unauthenticated")


def test_the_refusal_says_how_to_authenticate(write):
    # RFC 9110, 15.5.2: a 401 must carry WWW-Authenticate.
    assert write(authorization=None).headers["WWW-Authenticate"] == "Bearer"


def test_a_revoked_key_is_refused(write, shop):
    key = shop.issue(Scope.CATALOGUE)
    revoke_key(shop.database, key.split("_")[1])
    problem_of(write(authorization=f"Bearer {key}"), 401, "unauthenticated")


def test_a_key_without_the_scope_is_refused_and_changes_nothing(write, shop):
    key, before = shop.issue(), shop.revision
    problem_of(write(authorization=f"Bearer {key}"), 403, "forbidden")
    assert shop.revision == before


@pytest.mark.parametrize("scope", Scope)
def test_a_key_with_the_scope_or_for_administration_may_write(write, shop, scope):
    key, before = shop.issue(scope), shop.revision
    assert write(authorization=f"Bearer {key}").status_code in {200, 204}
    assert shop.revision == before + 1


def test_the_name_of_the_scheme_is_in_any_case(write, shop):
    # RFC 9110, 11.1: the scheme is a case-insensitive token.
    assert write(authorization=f"bEARER {shop.key}").status_code in {200, 204}


@pytest.mark.parametrize(
    "path", ["/v1/axles", "/v1/fits?outside_width_mm=36.4", "/v1/changes?since=0", "/v1/snapshot"]
)
def test_reading_needs_no_key(shop, path):
    assert shop.client.get(path).status_code == 200


def test_a_refusal_never_shows_the_key(write, shop):
    mistyped = shop.key[:-1] + ("0" if shop.key[-1] != "0" else "1")
    assert shop.key.split("_")[2][:8] not in write(authorization=f"Bearer {mistyped}").text


@pytest.mark.parametrize(
    ("method", "path", "headers"),
    [
        ("PUT", "/v1/axles/P-9", {"content_type": "text/plain"}),
        ("PATCH", "/v1/axles/P-9", {"content_type": "application/json"}),
        ("DELETE", "/v1/axles/%00", {}),
        ("POST", "/v1/imports?table=wheels", {"content_type": "text/csv"}),
    ],
)
def test_whoever_may_not_write_is_told_nothing_else(shop, method, path, headers):
    body = None if method == "DELETE" else b"{" * 300_000
    assert shop.send(method, path, body, authorization=None, **headers).status_code == 401
