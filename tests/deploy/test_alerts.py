"""The alerts: by promtool's word, tried on series of their own, and on metrics that there are."""

import re
import subprocess

import pytest
import yaml

from tests.deploy.tools import ROOT, tool

FILES = ROOT / "deploy/prometheus"
OF_PROMETHEUS = {"up"}


def promtool(*words, folder=FILES):
    command = [tool("promtool"), *words]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)


@pytest.mark.parametrize(
    "words",
    [
        ("check", "rules", "alerts.yaml"),
        ("check", "config", "prometheus.yaml"),
        ("test", "rules", "alerts_test.yaml"),
    ],
    ids=" ".join,
)
def test_promtool_finds_nothing_to_say(words):
    done = promtool(*words)
    assert (done.returncode, done.stderr) == (0, "")
    assert "SUCCESS" in done.stdout


@pytest.mark.parametrize(
    ("alert", "right", "wrong"),
    [
        ("AxleFitLookupsSlow", "p99_5m > 0.25", "p99_5m > 2.5"),
        ("AxleFitErrors", 'status!="503"', 'status!="500"'),
        ("AxleFitDatabaseAway", "> 30\n", "> 30000\n"),
    ],
)
def test_another_threshold_is_noticed(tmp_path, alert, right, wrong):
    rules = (FILES / "alerts.yaml").read_text(encoding="utf-8")
    tests = yaml.safe_load((FILES / "alerts_test.yaml").read_text(encoding="utf-8"))
    tests["tests"] = [one for one in tests["tests"] if one["alert_rule_test"][0]["alertname"] == alert]
    (tmp_path / "tests.yaml").write_text(yaml.safe_dump(tests), encoding="utf-8")
    for text, status in ((rules, 0), (rules.replace(right, wrong), 1)):
        (tmp_path / "alerts.yaml").write_text(text, encoding="utf-8")
        assert promtool("test", "rules", "tests.yaml", folder=tmp_path).returncode == status


def test_every_alert_is_tried_firing_and_quiet():
    rules = yaml.safe_load((FILES / "alerts.yaml").read_text(encoding="utf-8"))["groups"][0]["rules"]
    tests = yaml.safe_load((FILES / "alerts_test.yaml").read_text(encoding="utf-8"))["tests"]
    tried = [(one["alertname"], bool(one["exp_alerts"])) for test in tests for one in test["alert_rule_test"]]
    alerts = [rule["alert"] for rule in rules if "alert" in rule]
    assert tried == [(name, fires) for name in alerts for fires in (True, False)]


def test_every_metric_and_label_of_the_alerts_is_one_of_the_service(client):
    path = "/v1/fits?fastening=threaded_wall&outside_width_mm=36.4&bore_mm=8&thread=M8x1.25"
    assert client.get(path).status_code == 200
    exposed = client.get("/metrics").text
    rules = (FILES / "alerts.yaml").read_text(encoding="utf-8")
    named = set(re.findall(r"\b((?:axlefit|process)_[a-z_]+)\b", rules)) | OF_PROMETHEUS
    assert len(named) > 6
    assert [
        name for name in named - OF_PROMETHEUS if not re.search(rf"^{name}[{{ ]", exposed, re.MULTILINE)
    ] == []
    assert re.search(
        r'^axlefit_request_duration_seconds_bucket\{.*route="/v1/fits".*\}', exposed, re.MULTILINE
    )
    assert 'le="0.25"' in exposed  # so that the threshold of slow lookups is not guessed at
    assert 'axlefit_catalogue_parts{process="' in exposed
    assert 'table="axles"' in exposed
