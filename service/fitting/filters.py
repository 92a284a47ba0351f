"""The filters of a shop: what an axle has in each facet, and which filters it does not pass."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from schemas.facets import FacetCountsAnswer, FacetsRequest, ListedCountsAnswer
from schemas.parts import AxleRecord
from service.catalogue.snapshot import Snapshot
from service.engine.codes import Verdict
from service.engine.judgement import Judgement

FACETS = tuple(FacetCountsAnswer.model_fields)
Value = str | int | None
"""What an axle has in a facet; None where it is not known."""
Filters = Mapping[str, tuple[Value, ...]]
"""For each facet that is filtered by, the values that pass."""


class Sifted(NamedTuple):
    """An axle as judged, and the filters that it does not pass."""

    judgement: Judgement
    record: AxleRecord
    fails: frozenset[str]

    @property
    def is_listed(self) -> bool:
        """Whether the lookup lists the axle, filters aside."""
        return self.judgement.verdict is not Verdict.NO_FIT


def filters_of(request: FacetsRequest) -> Filters:
    """The filters that the request names."""
    return {facet: values for facet in FACETS if (values := getattr(request, facet)) is not None}


def value_in(facet: str, record: AxleRecord) -> Value:
    """What an axle has in a facet: the column, or whether there is any stock."""
    if facet == "in_stock":
        return None if record.stock is None else record.stock > 0
    value: Value = getattr(record, facet)
    return value


def sift(judgements: Iterable[Judgement], filters: Filters, snapshot: Snapshot) -> list[Sifted]:
    """The judgements, each with the filters that its axle does not pass."""
    sifted = []
    for judgement in judgements:
        record = snapshot.axles[judgement.axle.sku]
        fails = frozenset(facet for facet in filters if value_in(facet, record) not in filters[facet])
        sifted.append(Sifted(judgement, record, fails))
    return sifted


def counts_of(listed: Iterable[Judgement]) -> ListedCountsAnswer:
    """How many axles are listed, by verdict."""
    counts = Counter(judgement.verdict for judgement in listed)
    return ListedCountsAnswer(
        fits=counts[Verdict.FITS],
        fits_with_caution=counts[Verdict.FITS_WITH_CAUTION],
        check_first=counts[Verdict.CHECK_FIRST],
    )
