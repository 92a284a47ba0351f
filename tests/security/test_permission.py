"""API1, API5 (OWASP API Security, 2023): every operation × every kind of caller, none but by its scope."""

import pytest

from service.partners.keys import Scope
from tests.security.conftest import by_name, operations

READING_POSTS = {
    "/v1/fits",
    "/v1/fits/batch",
    "/v1/axles/identify",
    "/v1/kits",
    "/v1/rockers",
}
"""Questions with a body. Whatever else is not GET writes, and needs a key: a new one is taken to write."""
ALL = operations()
WRITES = [o for o in ALL if o.method != "GET" and o.path not in READING_POSTS]
READS = [o for o in ALL if o not in WRITES]
STRANGERS = ("nobody", "wrong", "unknown", "revoked")
WRITERS = tuple(scope.value for scope in Scope)


def send(client, operation, authorization):
    headers = {"Authorization": authorization} if authorization else {}
    return client.request(operation.method, operation.filled, headers=headers)


@pytest.mark.parametrize("operation", WRITES, ids=by_name)
def test_an_operation_that_writes_lets_nobody_in_but_by_a_key_with_its_scope(guarded, issued, operation):
    statuses = {name: send(guarded, operation, key).status_code for name, key in issued.items()}
    assert {name: statuses[name] for name in STRANGERS} == dict.fromkeys(STRANGERS, 401)
    assert statuses["without a scope"] == 403
    # Let in, they are told what is wrong with an empty request: its precondition or its media type.
    assert {statuses[name] for name in WRITERS} <= {400, 415, 422, 428}


@pytest.mark.parametrize("operation", READS, ids=by_name)
def test_a_key_makes_no_difference_to_a_read(guarded, issued, operation):
    answers = {name: send(guarded, operation, key) for name, key in issued.items()}
    nobody = answers["nobody"]
    assert nobody.status_code < 500
    for answer in answers.values():
        assert answer.status_code == nobody.status_code
        if operation.path != "/metrics":  # it counts these requests
            assert answer.content == nobody.content


@pytest.mark.parametrize("operation", WRITES, ids=by_name)
def test_what_is_refused_has_changed_nothing(guarded, issued, operation):
    before = guarded.get("/v1/snapshot").content
    for name in (*STRANGERS, "without a scope"):
        send(guarded, operation, issued[name])
    assert guarded.get("/v1/snapshot").content == before


def test_the_document_says_of_every_operation_whether_it_needs_a_key(guarded):
    paths = guarded.get("/openapi.json").json()["paths"]
    said = {
        (method.upper(), path)
        for path, methods in paths.items()
        for method, operation in methods.items()
        if operation.get("security")
    }
    assert said == {(o.method, o.path) for o in WRITES}


def test_the_idempotency_key_of_another_caller_gives_nobody_his_answer(guarded, issued):
    # The one identifier of the service that is somebody's own: the same word from another key is another.
    file = b"sku,name,fastening\nOWN-1,One,two_piece\n"

    def load(name, content):
        headers = {"Authorization": issued[name], "Idempotency-Key": "mine", "Content-Type": "text/csv"}
        return guarded.post("/v1/imports?table=axles", content=content, headers=headers)

    first = load("catalogue", file)
    assert first.status_code == 200
    other = load("admin", file.replace(b"One", b"Other"))
    assert other.status_code == 200  # neither the first answer nor 422 for a key that was used
    assert other.json()["catalogue_revision"] == first.json()["catalogue_revision"] + 1


def test_who_wrote_is_told_by_the_key_and_by_nothing_that_was_sent(guarded, issued):
    headers = {
        "Authorization": issued["catalogue"], "If-None-Match": "*", "Content-Type": "application/json",
        "X-User": "boss", "X-Actor": "boss",
    }  # fmt: skip
    body = {"name": "One", "fastening": "two_piece"}
    assert guarded.put("/v1/axles/WHO-1", json=body, headers=headers).status_code == 201
    since = guarded.get("/health/ready").json()["catalogue_revision"] - 1
    (change,) = guarded.get(f"/v1/changes?since={since}").json()["items"]
    assert change["actor"] == f"Somebody ({issued['catalogue'].split('_')[1]})"
