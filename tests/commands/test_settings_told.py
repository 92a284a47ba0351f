"""Wrong settings are told all at once, without a secret, and in production the demonstration's are wrong."""

import pytest

from service.__main__ import main
from service.environment import read_settings
from service.errors import SettingsError
from service.production import production_warnings
from service.settings import Settings

SECRET = "kB7vQ2xW9mZr4TnY8cHd3LpF6sJg1AaE"  # noqa: S105 (of the tests alone; 32 characters, the fewest that production takes)
OTHER = SECRET[::-1]
PRODUCTION = {"ENVIRONMENT": "production", "KEY_PEPPER": SECRET, "CURSOR_SECRET": OTHER}


@pytest.fixture
def environment(monkeypatch):
    """Sets variables, named without what they all begin with."""

    def set_all(**variables):
        for name, value in variables.items():
            monkeypatch.setenv(f"AXLEFIT_{name}", str(value))

    return set_all


def faults():
    """What is found wrong, by variable."""
    with pytest.raises(SettingsError) as caught:
        read_settings()
    return {fault.path[0].removeprefix("AXLEFIT_"): fault for fault in caught.value.faults}


def test_every_wrong_setting_is_told_at_once(environment):
    environment(
        ENVIRONMENT="production",
        PORT="65536",
        LOG_LEVEL="loud",
        CORS_ORIGINS="http://till.example",
        TRUSTED_PROXIES="*",
        DATABASE_URL="mysql://db/shop",
        BATCH_MAX_LINES="0",
        STOP_SECONDS="5",
        STOP_PAUSE_SECONDS="5",
        LIMIT_PER_MINUT="100",
    )
    found = faults()
    assert set(found) == {
        "PORT", "LOG_LEVEL", "CORS_ORIGINS", "TRUSTED_PROXIES", "DATABASE_URL", "BATCH_MAX_LINES",
        "STOP_PAUSE_SECONDS", "LIMIT_PER_MINUT", "KEY_PEPPER", "CURSOR_SECRET",
    }  # fmt: skip
    assert (found["PORT"].found, found["PORT"].allowed) == ("65536", "at most 65535")
    assert all(fault.allowed for fault in found.values())


def test_a_variable_of_no_setting_is_named_with_the_nearest_right_one(environment):
    environment(PROT="80")
    (fault,) = faults().values()
    assert (fault.found, fault.allowed) == ("AXLEFIT_PROT", "a known name; did you mean AXLEFIT_PORT?")


def test_the_command_ends_with_2_and_tells_a_line_for_each_without_a_traceback(environment, capsys):
    environment(PORT="abc", LOG_FORMAT="xml")
    assert main(["serve"]) == 2
    err = capsys.readouterr().err.splitlines()
    assert err[0] == "The settings are wrong."
    assert sorted(line.split(":")[0].strip() for line in err[1:]) == ["AXLEFIT_LOG_FORMAT", "AXLEFIT_PORT"]


@pytest.mark.parametrize(
    "url", ["sqlite://", "sqlite:///:memory:", "sqlite+pysqlite://", "sqlite:///file:x?mode=memory&uri=true"]
)
def test_a_database_in_memory_is_refused_since_every_transaction_would_find_it_empty(environment, url):
    environment(DATABASE_URL=url)
    assert set(faults()) == {"DATABASE_URL"}


@pytest.mark.parametrize(
    "url", ["sqlite:///shop.sqlite3", "sqlite:////var/shop.sqlite3", "postgresql://shop@db/shop"]
)
def test_a_database_in_a_file_or_on_a_server_is_taken(environment, url):
    environment(DATABASE_URL=url)
    assert read_settings().database_url == url


@pytest.mark.parametrize("name", ["KEY_PEPPER", "CURSOR_SECRET"])
@pytest.mark.parametrize(
    ("value", "found"),
    [
        (None, "the demonstration's, which everybody knows"),
        ("demonstration", "the demonstration's, which everybody knows"),
        ("", "one of 0 characters"),
        (SECRET[:31], "one of 31 characters"),
        ("abcabcabc" * 9, "one that repeats a few characters"),
    ],
)
def test_production_wants_a_secret_of_its_own(environment, monkeypatch, name, value, found):
    environment(**PRODUCTION)
    if value is None:
        monkeypatch.delenv(f"AXLEFIT_{name}")
    else:
        environment(**{name: value})
    (fault,) = faults().values()
    assert (fault.path, fault.found) == ((f"AXLEFIT_{name}",), found)
    environment(ENVIRONMENT="development")
    assert read_settings()


def test_production_wants_two_secrets_and_not_one_twice(environment):
    environment(**PRODUCTION | {"CURSOR_SECRET": SECRET})
    assert set(faults()) == {"CURSOR_SECRET"}


def test_production_starts_with_secrets_of_its_own(environment):
    environment(**PRODUCTION, CORS_ORIGINS="https://till.example")
    assert read_settings().key_pepper.get_secret_value() == SECRET


def test_production_lets_no_page_write_that_came_in_the_clear(environment):
    environment(**PRODUCTION, CORS_ORIGINS="https://till.example,http://till.example")
    assert faults()["CORS_ORIGINS"].found == "http://till.example"


def test_production_does_not_run_the_demonstration(environment, capsys, tmp_path):
    path = tmp_path / "shop.sqlite3"
    environment(**PRODUCTION, DATABASE_URL=f"sqlite:///{path}")
    assert main(["demo"]) == 2
    assert "demonstration" in capsys.readouterr().err
    assert not path.exists()


def test_an_operator_in_production_is_warned_of_limits_that_are_off():
    limited = {"limit_per_minute": 600}
    assert production_warnings(Settings(**limited)) == []
    assert len(production_warnings(Settings())) == 1
    assert len(production_warnings(Settings(**limited, wrong_keys_per_minute=0))) == 1


@pytest.fixture
def secret_file(tmp_path):
    """A file with a secret, as a container's orchestrator mounts it."""
    path = tmp_path / "secret"
    path.write_text(f"{SECRET}\n", encoding="utf-8")
    return path


def test_a_secret_may_stand_in_a_file(environment, secret_file, monkeypatch):
    environment(**PRODUCTION, KEY_PEPPER_FILE=secret_file)
    monkeypatch.delenv("AXLEFIT_KEY_PEPPER")
    assert read_settings().key_pepper.get_secret_value() == SECRET


def test_the_databases_address_with_its_password_may_stand_in_a_file(environment, tmp_path):
    path = tmp_path / "url"
    path.write_text("postgresql://shop:word@db/shop\n", encoding="utf-8")
    environment(DATABASE_URL_FILE=path)
    assert read_settings().database_url == "postgresql://shop:word@db/shop"


def test_a_secret_in_a_file_and_in_a_variable_is_one_too_many(environment, secret_file):
    environment(KEY_PEPPER=OTHER, KEY_PEPPER_FILE=secret_file)
    assert set(faults()) == {"KEY_PEPPER_FILE"}


@pytest.mark.parametrize("content", [None, b"\xff\xfe"])
def test_a_file_that_cannot_be_read_is_told_by_its_path(environment, tmp_path, content):
    path = tmp_path / "secret"
    if content:
        path.write_bytes(content)
    environment(CURSOR_SECRET_FILE=path)
    assert faults()["CURSOR_SECRET_FILE"].found == str(path)


@pytest.mark.parametrize("name", ["DATABASE_URL", "KEY_PEPPER", "CURSOR_SECRET"])
def test_no_secret_is_ever_printed(environment, capsys, monkeypatch, tmp_path, name):
    # Too short, in the wrong place, or no URL at all: what was meant to be a secret stays one.
    environment(**PRODUCTION, PORT="x")
    meant_to_be_one = "hunter2:swordfish"
    for variable in (name, f"{name}_FIL"):
        environment(**{variable: meant_to_be_one})
    assert main(["check"]) == 2
    printed = capsys.readouterr()
    assert "swordfish" not in printed.out + printed.err
    (tmp_path / "secret").write_text(meant_to_be_one, encoding="utf-8")
    monkeypatch.delenv(f"AXLEFIT_{name}")
    environment(**{f"{name}_FILE": tmp_path / "secret"})
    assert main(["check"]) == 2
    printed = capsys.readouterr()
    assert f"AXLEFIT_{name}" in printed.err
    assert "swordfish" not in printed.out + printed.err
