"""compose.yaml: by the Compose specification, and what it promises."""

import json
import re
from pathlib import Path

import pytest
import yaml
from compose_spec import PyCompose

from tests.deploy.tools import KNOWN, ROOT, SECRETS, STOP_SECONDS, kept_seconds

FILE = ROOT / "deploy/compose/compose.yaml"
READ = yaml.safe_load(FILE.read_text(encoding="utf-8"))  # with what `<<` merges
# As from the environment: the specification is about what has its values.
FILLED = re.sub(r"\$\{\w+:(?:-([^}]*)|\?[^}]*)\}", lambda found: found[1] or "/srv/value", json.dumps(READ))
SERVICES = READ["services"]
OURS = sorted(name for name, service in SERVICES.items() if service["image"].startswith("axle-fit:"))


def test_the_file_is_as_the_compose_specification_has_it():
    assert "${" not in FILLED
    assert sorted(PyCompose.from_json(FILLED).service_names()) == sorted(SERVICES)


def test_the_checker_finds_a_field_that_is_no_field():
    with pytest.raises(ValueError, match="imagee"):
        PyCompose.from_json(json.dumps({"services": {"one": {"imagee": "axle-fit"}}}))


@pytest.mark.parametrize("name", sorted(SERVICES))
def test_a_container_can_do_no_more_than_it_has_to(name):
    service = SERVICES[name]
    assert service["read_only"]
    assert service["cap_drop"] == ["ALL"]
    assert service["security_opt"] == ["no-new-privileges:true"]
    assert ":" in service["image"]
    assert not service["image"].endswith(":latest")


def test_only_the_proxy_can_be_reached_from_outside():
    assert [name for name, service in SERVICES.items() if "ports" in service] == ["proxy"]
    assert [name for name, service in SERVICES.items() if "outside" in service["networks"]] == ["proxy"]
    assert READ["networks"]["inside"]["internal"]


def test_the_proxy_knows_the_workers_and_the_workers_know_the_proxy():
    upstream = (FILE.parent / "upstream.conf").read_text(encoding="utf-8")
    workers = [name for name in OURS if name.startswith("service-")]
    addresses = [SERVICES[name]["networks"]["inside"]["ipv4_address"] for name in workers]
    assert re.findall(r"server ([\d.]+):8000 ", upstream) == addresses
    proxy = SERVICES["proxy"]["networks"]["inside"]["ipv4_address"]
    assert {SERVICES[name]["environment"]["AXLEFIT_TRUSTED_PROXIES"] for name in workers} == {proxy}


def test_every_file_that_the_proxy_reads_is_there_and_where_it_looks():
    given = [volume.split(":") for volume in SERVICES["proxy"]["volumes"] if volume.startswith(".")]
    assert all((FILE.parent / source).is_file() for source, _, _ in given)
    targets = {Path(target).name for _, target, _ in given}
    files = [FILE.parent / source for source, _, _ in given]
    included = {name for file in files for name in re.findall(r"include (\S+);", file.read_text())}
    assert targets == included | {"nginx.conf"}


@pytest.mark.parametrize("name", OURS)
def test_a_setting_has_the_name_of_one_and_a_secret_comes_in_a_file(name):
    given = SERVICES[name]["environment"]
    assert set(given) <= KNOWN
    assert given["AXLEFIT_ENVIRONMENT"] == "production"
    assert not SECRETS & set(given)
    files = {f"/run/secrets/{secret}" for secret in SERVICES[name]["secrets"]}
    assert {given[f"{secret}_FILE"] for secret in SECRETS} == files


def test_a_secret_is_a_file_from_outside():
    assert READ["secrets"].keys() == {
        one for service in SERVICES.values() for one in service.get("secrets", ())
    }
    for name, secret in READ["secrets"].items():
        assert re.fullmatch(
            rf"\$\{{AXLEFIT_SECRETS:\?[^}}]+\}}/{name}", secret["file"]
        )  # else nothing starts


@pytest.mark.parametrize("name", [name for name in OURS if name.startswith("service-")])
def test_a_worker_outlasts_the_connections_that_the_proxy_keeps_and_is_given_time_to_end(name):
    pause = float(SERVICES[name]["environment"]["AXLEFIT_STOP_PAUSE_SECONDS"])
    assert kept_seconds(FILE.parent / "upstream.conf") < pause < STOP_SECONDS
    assert int(SERVICES[name]["stop_grace_period"].removesuffix("s")) > STOP_SECONDS


def test_the_schema_is_brought_up_before_any_worker_starts():
    for name in OURS:
        if name != "upgrade":
            assert SERVICES[name]["depends_on"] == {
                "upgrade": {"condition": "service_completed_successfully"}
            }
    assert SERVICES["upgrade"]["command"] == ["upgrade"]
