"""Keys on the command line: shown once when they are issued, and never again."""

import re

import pytest

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
