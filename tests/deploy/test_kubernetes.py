"""The Kubernetes manifests: by Kubernetes' own schemas, and what they promise."""

import re
import subprocess
from functools import cache

import kubernetes_validate
import pytest
import yaml

from tests.deploy.tools import ROOT, SECRETS, SETTINGS, STOP_SECONDS, kept_seconds, tool

VERSION = "1.37"
FOLDERS = ("deploy/kubernetes/database", "deploy/kubernetes/upgrade", "deploy")
# Of operators: no package has the schemas of these, so that only their shape is looked at below.
OF_OPERATORS = {"postgresql.cnpg.io/v1", "barmancloud.cnpg.io/v1"}


def manifests():
    """Every object of the files, before kustomize has changed anything."""
    files = sorted((ROOT / "deploy/kubernetes").rglob("*.yaml"))
    return [
        one
        for file in files
        if file.name != "kustomization.yaml"
        for one in yaml.safe_load_all(file.read_text(encoding="utf-8"))
    ]


OBJECTS = manifests()
KUBERNETES = [one for one in OBJECTS if one["apiVersion"] not in OF_OPERATORS]


def called(one):
    return f"{one['kind']}-{one['metadata']['name']}"


def named(kind, name):
    (found,) = [one for one in OBJECTS if (one["kind"], one["metadata"]["name"]) == (kind, name)]
    return found


def pods():
    """The specification of each kind of pod."""
    for one in KUBERNETES:
        if one["kind"] == "CronJob":
            yield called(one), one["spec"]["jobTemplate"]["spec"]["template"]
        elif "template" in one.get("spec", {}):
            yield called(one), one["spec"]["template"]


PODS = dict(pods())


@cache
def built(folder):
    """What kustomize makes of a folder; a laptop may have no kubectl."""
    done = subprocess.run(
        [tool("kubectl"), "kustomize", ROOT / folder], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
    return list(yaml.safe_load_all(done.stdout))


@pytest.mark.parametrize("one", KUBERNETES, ids=called)
def test_an_object_is_as_kubernetes_has_it(one):
    kubernetes_validate.validate(one, VERSION, strict=True)


def test_the_checker_finds_a_field_that_is_no_field():
    poorer = named("Deployment", "axlefit") | {
        "spec": {**named("Deployment", "axlefit")["spec"], "replica": 3}
    }
    with pytest.raises(kubernetes_validate.ValidationError, match="replica"):
        kubernetes_validate.validate(poorer, VERSION, strict=True)


@pytest.mark.parametrize("folder", FOLDERS)
def test_kustomize_makes_objects_of_one_namespace_as_kubernetes_has_them(folder):
    for one in built(folder):
        if one["kind"] != "Namespace":
            assert one["metadata"]["namespace"] == "axlefit"
        if one["apiVersion"] not in OF_OPERATORS:
            kubernetes_validate.validate(one, VERSION, strict=True)


def test_kustomize_leaves_no_manifest_out():
    made = sorted(called(one) for folder in FOLDERS for one in built(folder))
    proxy = next(name for name in made if name.startswith("ConfigMap-axlefit-proxy-"))
    assert made == sorted([*map(called, OBJECTS), proxy])


def test_the_proxy_reads_the_files_that_are_tested_and_every_one_of_them():
    files = next(one for one in built("deploy") if one["metadata"]["name"].startswith("axlefit-proxy-"))[
        "data"
    ]
    included = {name for text in files.values() for name in re.findall(r"include (\S+);", text)}
    assert set(files) == included | {"nginx.conf"}
    assert files["nginx.conf"] == (ROOT / "deploy/proxy/nginx.conf").read_text(encoding="utf-8")


def test_the_objects_of_operators_have_the_shape_of_objects():
    theirs = [one for one in OBJECTS if one not in KUBERNETES]
    assert sorted(one["kind"] for one in theirs) == ["Cluster", "ObjectStore", "ScheduledBackup"]
    cluster, store, backup = (
        named("Cluster", "axlefit-database"),
        named("ObjectStore", "axlefit-backups"),
        named("ScheduledBackup", "axlefit-nightly"),
    )
    assert cluster["spec"]["instances"] >= 3  # one to write to, and replicas
    (plugin,) = cluster["spec"]["plugins"]
    assert plugin["parameters"]["barmanObjectName"] == store["metadata"]["name"]
    assert backup["spec"]["cluster"]["name"] == cluster["metadata"]["name"]
    assert backup["spec"]["pluginConfiguration"]["name"] == plugin["name"]


@pytest.mark.parametrize("name", PODS)
def test_a_pod_can_do_no_more_than_it_has_to(name):
    # The restricted profile of Kubernetes' Pod Security Standards, and a file system that is read only.
    pod = PODS[name]["spec"]
    assert pod["securityContext"]["runAsNonRoot"]
    assert pod["securityContext"]["runAsUser"] > 0
    assert pod["securityContext"]["seccompProfile"] == {"type": "RuntimeDefault"}
    assert pod["automountServiceAccountToken"] is False
    for container in pod["containers"]:
        assert container["securityContext"] == {
            "allowPrivilegeEscalation": False,
            "readOnlyRootFilesystem": True,
            "capabilities": {"drop": ["ALL"]},
        }
        assert set(container["resources"]["requests"]) == {"cpu", "memory"}
        assert "memory" in container["resources"]["limits"]
        assert not container["image"].endswith(":latest")


@pytest.mark.parametrize("name", [name for name, pod in PODS.items() if "axle-fit" in str(pod)])
def test_secrets_come_by_reference(name):
    (container,) = PODS[name]["spec"]["containers"]
    (url,) = container["env"]
    assert url["name"] == "AXLEFIT_DATABASE_URL"
    cluster = named("Cluster", "axlefit-database")["metadata"]["name"]
    assert url["valueFrom"]["secretKeyRef"] == {"name": f"{cluster}-app", "key": "uri"}
    assert {"secretRef": {"name": "axlefit-secrets"}} in container["envFrom"]
    assert [one for one in OBJECTS if one["kind"] == "Secret"] == []


def test_a_setting_has_the_name_of_one_and_none_is_a_secret():
    assert set(named("ConfigMap", "axlefit-settings")["data"]) <= SETTINGS.keys() - SECRETS


def test_the_service_is_watched_and_given_time_to_end():
    pod = PODS["Deployment-axlefit"]["spec"]
    (container,) = pod["containers"]
    assert container["livenessProbe"]["httpGet"]["path"] == "/health/live"
    assert {container[probe]["httpGet"]["path"] for probe in ("readinessProbe", "startupProbe")} == {
        "/health/ready"
    }
    assert "lifecycle" not in container  # a pause before the signal would be one more
    pause = float(named("ConfigMap", "axlefit-settings")["data"]["AXLEFIT_STOP_PAUSE_SECONDS"])
    assert kept_seconds(ROOT / "deploy/kubernetes/service/upstream.conf") < pause < STOP_SECONDS
    assert pod["terminationGracePeriodSeconds"] > STOP_SECONDS
    assert named("Deployment", "axlefit")["spec"]["strategy"]["rollingUpdate"]["maxUnavailable"] == 0


def test_several_replicas_stay_whatever_is_drained_or_scaled():
    least = named("HorizontalPodAutoscaler", "axlefit")["spec"]["minReplicas"]
    kept = named("PodDisruptionBudget", "axlefit")["spec"]["minAvailable"]
    assert least > kept >= 2
    assert named("Deployment", "axlefit")["spec"]["replicas"] == least


@pytest.mark.parametrize("kind", ["Service", "PodDisruptionBudget", "NetworkPolicy"])
def test_whatever_selects_pods_selects_some(kind):
    labels = [pod["metadata"]["labels"] for pod in PODS.values()]
    for one in (one for one in KUBERNETES if one["kind"] == kind):
        selector = one["spec"].get("podSelector") or one["spec"]["selector"]
        wanted = selector if kind == "Service" else selector.get("matchLabels", {})
        assert any(wanted.items() <= found.items() for found in labels), called(one)


def test_no_manifest_names_the_host_of_an_image():
    # A name without a host is looked up where the cluster is set up to.
    images = [container["image"] for pod in PODS.values() for container in pod["spec"]["containers"]]
    assert {image.partition(":")[0] for image in images} == {"axle-fit", "nginx"}
