"""Facets: the axles that a lookup lists, counted by what a shop's filter offers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from schemas.facets import FacetCountsAnswer, FacetsRequest, FacetsResponse
from service.catalogue.snapshot import Snapshot
from service.fitting.filters import FACETS, Filters, Sifted, Value, counts_of, filters_of, sift, value_in
from service.fitting.lookup import judge_all
from service.fitting.relaxations import relaxed_conditions, relaxed_filters
from service.fitting.translate import frame_of


def count_facets(request: FacetsRequest, snapshot: Snapshot) -> FacetsResponse:
    """How many of the axles that the lookup lists pass the filters, by facet; for none, what would give some.

    Raises
    ------
    InvalidRequestError
        If the request describes no frame that can be.
    """
    filters = filters_of(request)
    sifted = sift(judge_all(snapshot.engine_axles, frame_of(request), snapshot), filters, snapshot)
    listed = [axle for axle in sifted if axle.is_listed]
    passing = [axle.judgement for axle in listed if not axle.fails]
    relax = []
    if not passing:
        failed = [axle.judgement for axle in sifted if not axle.fails]
        relax = [*relaxed_filters(filters, listed), *relaxed_conditions(request, failed, snapshot)]
    return FacetsResponse(
        catalogue_revision=snapshot.revision,
        count=len(passing),
        counts=counts_of(passing),
        facets=_facets(listed, filters),
        relax=relax,
    )


def _facets(listed: Sequence[Sifted], filters: Filters) -> FacetCountsAnswer:
    return FacetCountsAnswer.model_validate(
        {facet: _counted(facet, listed, filters.get(facet, ())) for facet in FACETS}
    )


def _counted(facet: str, listed: Sequence[Sifted], chosen: Sequence[Value]) -> list[dict[str, Any]]:
    """The values of one facet, most frequent first, each with how many axles have it and pass the others."""
    counts = Counter(dict.fromkeys(chosen, 0))
    for axle in listed:
        counts[value_in(facet, axle.record)] += axle.fails <= {facet}
    order = sorted(counts, key=lambda value: (value is None, -counts[value], _sortable(value)))
    return [{"value": value, "count": counts[value]} for value in order]


def _sortable(value: Value) -> tuple[int, str]:
    """Numbers by size, words by letter; one facet has only the one or the other."""
    return (0, value) if isinstance(value, str) else (value or 0, "")
