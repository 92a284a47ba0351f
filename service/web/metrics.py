"""Metrics for Prometheus: answers by route, the catalogue's state, the process; one registry an application.

Every series carries the label `process`, so that counters of workers behind one address never mix.
"""

from __future__ import annotations

import os
from bisect import bisect_left
from collections.abc import Iterator, Mapping
from http import HTTPMethod
from itertools import accumulate

from fastapi import APIRouter, Request, Response
from prometheus_client import (
    CollectorRegistry,
    GCCollector,
    PlatformCollector,
    ProcessCollector,
    generate_latest,
)
from prometheus_client.core import GaugeMetricFamily, HistogramMetricFamily
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
        self._series: dict[tuple[str, str, str], _Durations] = {}
        self._registry.register(_Answers(self._series))
        self._registry.register(_CatalogueState(snapshots))
        for collector in (ProcessCollector, PlatformCollector, GCCollector):
            collector(registry=self._registry)

    def observe(self, method: str, route: str, status: str, seconds: float) -> None:
        """Count an answer; the route is a template, so that the number of series is bounded."""
        labels = (method, route, status)
        series = self._series.get(labels)
        if series is None:
            series = self._series.setdefault(labels, _Durations())
        series.observe(seconds)

    def exposition(self) -> bytes:
        """All metrics in Prometheus' text format."""
        return generate_latest(_OfThisProcess(self._registry))


def known_method(method: str) -> str:
    """The method, or one word for all that HTTP does not define: a caller may send any."""
    return method if method in _METHODS else "other"


class _Durations:
    """How long the answers of one series took.

    Counted in the event loop alone, so that it needs no lock; the library's own takes one at each count.
    """

    __slots__ = ("_counts", "_sum")

    def __init__(self) -> None:
        self._counts = [0] * (len(_SECONDS) + 1)
        self._sum = 0.0

    def observe(self, seconds: float) -> None:
        self._counts[bisect_left(_SECONDS, seconds)] += 1
        self._sum += seconds

    def told(self) -> tuple[list[tuple[str, float]], float]:
        """The buckets as Prometheus has them, each with all below it, and the sum."""
        bounds = [*(str(bound) for bound in _SECONDS), "+Inf"]
        return list(zip(bounds, map(float, accumulate(self._counts)), strict=True)), self._sum


class _Answers(Collector):
    """The answers, by method, route and status."""

    def __init__(self, series: Mapping[tuple[str, str, str], _Durations]) -> None:
        self._series = series

    def collect(self) -> Iterator[Metric]:
        family = HistogramMetricFamily(
            "axlefit_request_duration_seconds",
            "Answers: their number, and the time to their last byte.",
            labels=("method", "route", "status"),
        )
        for labels, durations in list(self._series.items()):
            buckets, total = durations.told()
            family.add_metric(labels, buckets=buckets, sum_value=total)
        yield family


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
