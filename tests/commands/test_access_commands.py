"""Keys on the command line: shown once when they are issued, and never again."""

import re

import pytest

from service.errors import UnauthenticatedError
from service.partners.keys import caller_of
from service.store.database import Database

KEY = re.compile(r"axf_([A-Za-z0-9]{8})_[A-Za-z0-9]{40}\n")


@pytest.fixture
def issued(run, demonstration_copy):
    status, out, _ = run("keys", "issue", "the till", "--scope", "catalogue", on=demonstration_copy)
    assert status == 0
    return out


def test_a_key_is_shown_when_it_is_issued(issued):
    assert KEY.fullmatch(issued)


def test_the_list_names_a_key_and_does_not_show_it(issued, run, demonstration_copy):
    status, out, _ = run("keys", "list", on=demonstration_copy)
    identifier = KEY.fullmatch(issued)[1]
    assert status == 0
    assert identifier in out
    assert "the till" in out
    assert issued.strip()[-20:] not in out


def test_a_revoked_key_is_listed_with_when_it_was_revoked(issued, run, demonstration_copy):
    identifier = KEY.fullmatch(issued)[1]
    _, before, _ = run("keys", "list", on=demonstration_copy)
    assert run("keys", "revoke", identifier, on=demonstration_copy)[0] == 0
    _, after, _ = run("keys", "list", on=demonstration_copy)
    assert len(re.findall(r"20\d\d-", after)) == len(re.findall(r"20\d\d-", before)) + 1


def test_a_key_that_there_is_not_cannot_be_revoked(run, demonstration_copy):
    status, _, err = run("keys", "revoke", "nobody00", on=demonstration_copy)
    assert status == 1
    assert "no key" in err


def test_a_key_needs_a_scope(run, demonstration_copy, capsys):
    with pytest.raises(SystemExit) as ended:
        run("keys", "issue", "the till", on=demonstration_copy)
    assert ended.value.code == 2
    assert "--scope" in capsys.readouterr().err


def test_the_list_shows_no_piece_of_the_secret(issued, run, demonstration_copy):
    secret = issued.strip().rpartition("_")[2]
    _, out, _ = run("keys", "list", on=demonstration_copy)
    assert [secret[place : place + 6] for place in range(35) if secret[place : place + 6] in out] == []


def test_an_issued_key_may_write_over_http(issued, demonstration_copy, start_client):
    client = start_client(demonstration_copy)
    headers = {"Authorization": f"Bearer {issued.strip()}", "If-Match": "*"}
    assert client.delete("/v1/axles/TW8-36-M8-BK", headers=headers).status_code == 204


def test_a_key_is_hashed_with_the_pepper_of_the_settings(run, demonstration_copy, monkeypatch):
    monkeypatch.setenv("AXLEFIT_KEY_PEPPER", "the shop's own")
    key = run("keys", "issue", "the till", "--scope", "admin", on=demonstration_copy)[1].strip()
    database = Database(f"sqlite:///{demonstration_copy}")
    assert caller_of(database, key, pepper="the shop's own").name == "the till"
    with pytest.raises(UnauthenticatedError):
        caller_of(database, key, pepper="demonstration")
    database.close()


def test_a_scope_that_there_is_not_is_refused(run, demonstration_copy, capsys):
    with pytest.raises(SystemExit) as ended:
        run("keys", "issue", "the till", "--scope", "everything", on=demonstration_copy)
    assert ended.value.code == 2
    assert "catalogue" in capsys.readouterr().err
