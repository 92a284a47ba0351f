"""Metrics for Prometheus: answers by route, the catalogue's state, the process; one registry an application.

Every series carries the label `process`, so that counters of workers behind one address never mix.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from http import HTTPMethod

from fastapi import APIRouter, Request, Response
from prometheus_client import (
    CollectorRegistry,
    GCCollector,
    Histogram,
    PlatformCollector,
    ProcessCollector,
    generate_latest,
)
from prometheus_client.core import GaugeMetricFamily
from prometheus_client.exposition import CONTENT_TYPE_PLAIN_0_0_4
from prometheus_client.metrics_core import Metric
from prometheus_client.registry import Collector

from service.catalogue.snapshot import SnapshotKeeper
from service.errors import CatalogueUnavailableError
from service.web.answers import answers
from service.web.decoding import NO_QUERY

_SECONDS = (0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 10.0)
_METHODS = frozenset(HTTPMethod)
router = APIRouter()


class Metrics:
    """The metrics of one application."""

    def __init__(self, snapshots: SnapshotKeeper) -> None:
        self._registry = CollectorRegistry()
        self._durations = Histogram(
            "axlefit_request_duration_seconds",
            "Answers: their number, and the time to their last byte.",
            ("method", "route", "status"),
            buckets=_SECONDS,
            registry=self._registry,
        )
        self._registry.register(_CatalogueState(snapshots))
        for collector in (ProcessCollector, PlatformCollector, GCCollector):
            collector(registry=self._registry)
        # The library looks a series up under a lock and by text; ours are few.
        self._series: dict[tuple[str, str, str], Histogram] = {}

    def observe(self, method: str, route: str, status: str, seconds: float) -> None:
        """Count an answer; the route is a template, so that the number of series is bounded."""
        labels = (method, route, status)
        series = self._series.get(labels)
        if series is None:
            series = self._series[labels] = self._durations.labels(*labels)
        series.observe(seconds)

    def exposition(self) -> bytes:
        """All metrics in Prometheus' text format."""
        return generate_latest(_OfThisProcess(self._registry))


def known_method(method: str) -> str:
    """The method, or one word for all that HTTP does not define: a caller may send any."""
    return method if method in _METHODS else "other"


class _CatalogueState(Collector):
    """The state of the catalogue, read when it is asked for."""

    def __init__(self, snapshots: SnapshotKeeper) -> None:
        self._snapshots = snapshots

    def collect(self) -> Iterator[Metric]:
        try:
            snapshot = self._snapshots.current
        except CatalogueUnavailableError:
            return
        yield GaugeMetricFamily(
            "axlefit_catalogue_revision", "The catalogue's revision that answers run on.", snapshot.revision
        )
        yield GaugeMetricFamily(
            "axlefit_catalogue_age_seconds",
            "Since when the database could not be looked at; 0 while it can.",
            self._snapshots.age_seconds or 0.0,
        )
        parts = GaugeMetricFamily(
            "axlefit_catalogue_parts", "Records in the snapshot, by table.", labels=["table"]
        )
        for table in ("axles", "frames", "sleeves"):
            parts.add_metric([table], len(getattr(snapshot, table)))
        yield parts


class _OfThisProcess(Collector):
    """A registry whose samples all say which process they are of."""

    def __init__(self, registry: CollectorRegistry) -> None:
        self._registry = registry
        self._process = {"process": str(os.getpid())}

    def collect(self) -> Iterator[Metric]:
        for metric in self._registry.collect():
            metric.samples = [
                sample._replace(labels=self._process | sample.labels) for sample in metric.samples
            ]
            yield metric


@router.get(
    "/metrics",
    responses=answers(None, 422)
    | {
        200: {
            "content": {"text/plain": {"schema": {"type": "string"}}},
            "description": "Prometheus' text format.",
        }
    },
    response_class=Response,
    dependencies=[NO_QUERY],
    tags=["operation"],
)
async def get_metrics(request: Request) -> Response:
    """The service's metrics, in Prometheus' text format."""
    metrics: Metrics = request.app.state.metrics
    return Response(metrics.exposition(), media_type=CONTENT_TYPE_PLAIN_0_0_4)
