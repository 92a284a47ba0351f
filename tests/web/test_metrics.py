"""What Prometheus reads: answers by route, the catalogue's state, the process; in bounded number."""

import os

import pytest
from prometheus_client.parser import text_string_to_metric_families

COUNT = "axlefit_request_duration_seconds_count"
LOOK = 0.01


@pytest.fixture
def own(start_client, demonstration_copy):
    """A client of an application whose metrics are the test's own."""
    return start_client(demonstration_copy)


def samples_of(client):
    """Every sample: its name and its labels, the process aside, and its value."""
    answer = client.get("/metrics")
    assert answer.status_code == 200
    # The media type of the text format, as Prometheus' documentation of exposition formats has it.
    assert answer.headers["content-type"].startswith("text/plain; version=0.0.4")
    read = {}
    for family in text_string_to_metric_families(answer.text):
        for sample in family.samples:
            labels = dict(sample.labels)
            assert labels.pop("process") == str(os.getpid())
            read[sample.name, *sorted(labels.items())] = sample.value
    return read


def count(samples, method, route, status):
    return samples.get((COUNT, ("method", method), ("route", route), ("status", status)), 0)


def test_answers_are_counted_by_method_route_and_status(own):
    for _ in range(3):
        own.get("/v1/axles/TW8-36-M8-BK")
    own.get("/v1/axles/NOT-THERE")
    own.put("/v1/axles/NOT-THERE")
    own.get("/v1/fits?unknown=1")
    found = samples_of(own)
    assert count(found, "GET", "/v1/axles/{sku}", "200") == 3
    assert count(found, "GET", "/v1/axles/{sku}", "404") == 1
    assert count(found, "PUT", "/v1/axles/{sku}", "401") == 1
    assert count(found, "GET", "/v1/fits", "422") == 1


def test_the_duration_of_an_answer_is_in_seconds(own):
    own.get("/v1/fits?outside_width_mm=36.4&bore_mm=8")
    found = samples_of(own)
    labels = (("method", "GET"), ("route", "/v1/fits"), ("status", "200"))
    assert 0 < found["axlefit_request_duration_seconds_sum", *labels] < 10
    buckets = [
        value
        for (name, *pairs), value in found.items()
        if name == "axlefit_request_duration_seconds_bucket" and set(labels) <= set(pairs)
    ]
    assert max(buckets) == 1


def test_unknown_paths_and_methods_make_one_series_however_many_there_are(own):
    for number in range(40):
        own.get(f"/nowhere/{number}")
        own.request(f"METHOD{number}", f"/v1/elsewhere/{number}?key=axf_{number}")
        own.get(f"/v1/frames/NO-{number}")
    found = samples_of(own)
    assert count(found, "GET", "none", "404") == 40
    assert count(found, "other", "none", "404") == 40
    assert count(found, "GET", "/v1/frames/{code}", "404") == 40
    assert len([name for name, *_ in found if name == COUNT]) == 3


def test_the_catalogues_revision_and_size_are_those_of_the_snapshot(own, snapshot):
    found = samples_of(own)
    assert found[("axlefit_catalogue_revision",)] == snapshot.revision
    for table in ("axles", "frames", "sleeves"):
        assert found["axlefit_catalogue_parts", ("table", table)] == len(getattr(snapshot, table)) > 0


def test_the_catalogues_age_is_0_and_grows_while_the_database_is_away(start_client, demonstration_copy):
    client = start_client(demonstration_copy, refresh_seconds=LOOK)
    assert samples_of(client)[("axlefit_catalogue_age_seconds",)] == 0
    demonstration_copy.unlink()
    ages = []
    while len(ages) < 500 and not (ages and ages[-1] > 0.1):
        ages.append(samples_of(client)[("axlefit_catalogue_age_seconds",)])
    assert ages[-1] > 0.1


def test_the_process_tells_its_memory_and_its_processor_time(own):
    found = samples_of(own)
    assert found[("process_resident_memory_bytes",)] > 1e6
    assert found[("process_cpu_seconds_total",)] > 0


def test_two_applications_in_one_process_count_for_themselves(own, start_client, demonstration_copy):
    other = start_client(demonstration_copy)
    own.get("/health/live")
    assert count(samples_of(own), "GET", "/health/live", "200") == 1
    assert count(samples_of(other), "GET", "/health/live", "200") == 0


def test_the_metrics_take_no_parameter(own):
    assert own.get("/metrics?process=1").status_code == 422
