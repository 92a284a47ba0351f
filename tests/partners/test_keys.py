"""API keys: recognisable, with a checksum, stored as a keyed hash alone, with scopes, revocable."""

import hashlib
import hmac
import re
import time
import zlib

import pytest
from sqlmodel import text

from service.errors import ForbiddenError, NotInCatalogueError, UnauthenticatedError
from service.partners.keys import Scope, caller_of, issue_key, list_keys, revoke_key
from service.store.database import Database

PEPPER = "a pepper of the tests"
FORM = re.compile(r"axf_([A-Za-z0-9]{8})_([A-Za-z0-9]{32})([0-9a-f]{8})")


@pytest.fixture(scope="module")
def database(engine):
    """A database that these tests share; each issues keys of its own."""
    opened = Database(engine.empty())
    yield opened
    opened.close()


@pytest.fixture
def issue(database):
    """Issues a key."""

    def make(*scopes, name="Till"):
        return issue_key(database, name=name, scopes=frozenset(scopes), pepper=PEPPER)

    return make


@pytest.fixture
def caller(database):
    """The caller who holds a key."""
    return lambda key, pepper=PEPPER: caller_of(database, key, pepper=pepper)


@pytest.fixture
def row_of(database):
    """A key's row, as the database has it."""

    def read(key):
        with database.engine.connect() as connection:
            query = text("SELECT * FROM api_key WHERE id = :id")
            return dict(connection.execute(query, {"id": identifier_of(key)}).mappings().one())

    return read


def identifier_of(key):
    return FORM.fullmatch(key)[1]


def secret_of(key):
    return FORM.fullmatch(key)[2]


def rechecked(body):
    """A key with the checksum that its text should have: CRC-32 in eight hexadecimal digits."""
    return f"{body}{zlib.crc32(body.encode()):08x}"


def test_a_key_begins_with_a_prefix_that_a_scanner_can_look_for(issue):
    assert FORM.fullmatch(issue(Scope.CATALOGUE))


def test_the_end_of_a_key_is_the_checksum_of_what_is_before(issue):
    key = issue(Scope.CATALOGUE)
    assert key == rechecked(key[:-8])


def test_the_secret_of_a_key_is_random(issue):
    secrets = {secret_of(issue(Scope.CATALOGUE)) for _ in range(20)}
    assert len(secrets) == 20
    assert len({character for secret in secrets for character in secret}) > 50  # of 62, in 640 characters


def test_a_key_says_who_holds_it_and_what_it_allows(issue, caller):
    key = issue(Scope.CATALOGUE, name="Till in Quillhaven")
    found = caller(key)
    assert found.actor == f"Till in Quillhaven ({identifier_of(key)})"
    assert found.scopes == {"catalogue"}


def test_no_column_of_the_row_has_anything_of_the_secret(issue, row_of):
    key = issue(Scope.CATALOGUE, Scope.ADMIN)
    secret = secret_of(key)
    stored = " ".join(str(value) for value in row_of(key).values())
    assert [part for part in (secret[place : place + 6] for place in range(27)) if part in stored] == []


def test_what_is_stored_is_the_keyed_hash_of_the_key(issue, row_of):
    # HMAC (RFC 2104) with SHA-256: who has stolen the table cannot test a guess without the pepper.
    key = issue(Scope.CATALOGUE)
    assert row_of(key)["digest"] == hmac.new(PEPPER.encode(), key.encode(), hashlib.sha256).hexdigest()


def test_with_another_pepper_a_key_is_refused(issue, caller):
    with pytest.raises(UnauthenticatedError):
        caller(issue(Scope.CATALOGUE), pepper="another pepper")


def other_letter(letter):
    return "b" if letter == "a" else "a"


@pytest.mark.parametrize("place", [0, 2, 4, 11, 13, 30, 44, 45, 52], ids=lambda place: f"letter {place}")
def test_a_key_with_one_wrong_letter_is_refused_before_the_database_is_asked(issue, place, tmp_path):
    key = issue(Scope.CATALOGUE)
    mistyped = key[:place] + other_letter(key[place]) + key[place + 1 :]
    nowhere = Database(f"sqlite:///{tmp_path / 'there is no database.sqlite3'}")
    with pytest.raises(UnauthenticatedError):  # a question to the database would tell that it is away
        caller_of(nowhere, mistyped, pepper=PEPPER)
    nowhere.close()


@pytest.mark.parametrize(
    "key",
    ["", "axf", "axf__", "axf_a_b_c", "Bearer", "axf_12345678_ä" + "0" * 8, "\ud800" * 53, "x" * 10_000],
    ids=ascii,
)
def test_what_is_not_a_key_is_refused(caller, key):
    with pytest.raises(UnauthenticatedError):
        caller(key)


def test_a_well_formed_key_that_was_never_issued_is_refused(issue, caller):
    issue(Scope.CATALOGUE)
    with pytest.raises(UnauthenticatedError):
        caller(rechecked(f"axf_{'A' * 8}_{'B' * 32}"))


def test_a_guessed_secret_for_an_identifier_that_exists_is_refused(issue, caller):
    identifier = identifier_of(issue(Scope.CATALOGUE))
    with pytest.raises(UnauthenticatedError):
        caller(rechecked(f"axf_{identifier}_{'B' * 32}"))


def test_a_revoked_key_is_refused_and_others_stay_valid(issue, caller, database):
    revoked, kept = issue(Scope.CATALOGUE), issue(Scope.CATALOGUE)
    revoke_key(database, identifier_of(revoked))
    assert caller(kept)
    with pytest.raises(UnauthenticatedError):
        caller(revoked)


def test_why_a_key_is_refused_is_not_told(issue, caller, database):
    revoked = issue(Scope.CATALOGUE)
    revoke_key(database, identifier_of(revoked))
    told = set()
    for key in (revoked, "nonsense", rechecked(f"axf_{'A' * 8}_{'B' * 32}")):
        with pytest.raises(UnauthenticatedError) as caught:
            caller(key)
        told.add(caught.value.detail)
    assert len(told) == 1


def test_a_key_that_is_revoked_again_stays_revoked_since_the_first_time(issue, database):
    key = identifier_of(issue(Scope.CATALOGUE))

    def revoked_at():
        return next(row.revoked_at for row in list_keys(database) if row.id == key)

    revoke_key(database, key)
    first = revoked_at()
    revoke_key(database, key)
    assert first is not None
    assert revoked_at() == first


def test_a_key_that_there_is_not_cannot_be_revoked(database):
    with pytest.raises(NotInCatalogueError):
        revoke_key(database, "AAAAAAAA")


@pytest.mark.parametrize(
    ("scopes", "wanted"),
    [
        ([Scope.CATALOGUE], Scope.CATALOGUE),
        ([Scope.ADMIN], Scope.CATALOGUE),
        ([Scope.ADMIN], Scope.ADMIN),
        ([Scope.CATALOGUE, Scope.ADMIN], Scope.ADMIN),
    ],
    ids=str,
)
def test_a_key_allows(issue, caller, scopes, wanted):
    caller(issue(*scopes)).require(wanted)


@pytest.mark.parametrize(
    ("scopes", "wanted"),
    [([], Scope.CATALOGUE), ([], Scope.ADMIN), ([Scope.CATALOGUE], Scope.ADMIN)],
    ids=str,
)
def test_a_key_does_not_allow(issue, caller, scopes, wanted):
    with pytest.raises(ForbiddenError, match=wanted):
        caller(issue(*scopes)).require(wanted)


def test_the_list_has_the_keys_that_were_issued_oldest_first(issue, database):
    names = ["Cellar", "Attic", "Bench"]
    for name in names:
        issue(Scope.CATALOGUE, name=name)
        time.sleep(0.002)  # a moment of issue is told in milliseconds
    assert [row.name for row in list_keys(database)][-3:] == names
