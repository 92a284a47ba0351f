"""Facets: how many of the axles that a lookup lists have which drive, colour and so on."""

from __future__ import annotations

from typing import Annotated, Any, Literal, TypeVar

from pydantic import AfterValidator, BeforeValidator, Field

from .base import WireModel
from .codes import MaterialCode
from .fields import Drive, Whole, Word
from .lookup import MeasuredFrame

T = TypeVar("T")
_MOST_VALUES = 50
_SAME_QUERY = "Taken so that the lookup's own query can be sent; changes no count."


def _several(value: Any) -> Any:
    """One value or several."""
    return list(value) if isinstance(value, list | tuple) else [value]


def _in_order(values: tuple[Any, ...]) -> tuple[Any, ...]:
    """Each value once, in order: a filter is the same however it is written."""
    return tuple(sorted(set(values)))


AnyOf = Annotated[
    tuple[T, ...],
    BeforeValidator(_several),
    Field(min_length=1, max_length=_MOST_VALUES),
    AfterValidator(_in_order),
]
"""A filter: what has any of these values passes."""


class FacetsRequest(MeasuredFrame):
    """A frame as measured, and filters on the axles that fit it; a repeated filter takes any of its values.

    A filter leaves out axles that lack the column; the lookup's preferences only order what it lists.
    """

    drive: AnyOf[Drive] | None = Field(default=None, description="Axles with any of these drives.")
    colour: AnyOf[Word] | None = Field(default=None, description="Axles in any of these colours.")
    driven_heads: AnyOf[Annotated[Whole, Field(ge=1, le=2)]] | None = Field(
        default=None, description="Axles with so many heads that take a key."
    )
    material: AnyOf[MaterialCode] | None = Field(default=None, description="Axles of any of these materials.")
    pack_quantity: AnyOf[Annotated[Whole, Field(ge=1, le=1000)]] | None = Field(
        default=None, description="Axles in packs of so many."
    )
    in_stock: AnyOf[bool] | None = Field(
        default=None,
        description="Axles in stock, or out of stock; a filter here, a preference in the lookup.",
    )
    prefer_drive: Drive | None = Field(default=None, description=_SAME_QUERY)
    prefer_colour: Word | None = Field(default=None, description=_SAME_QUERY)
    limit: Whole = Field(default=10, ge=1, le=100, description=_SAME_QUERY)
    near_misses: Whole = Field(default=3, ge=0, le=20, description=_SAME_QUERY)


class ListedCountsAnswer(WireModel):
    """How many axles are listed, by verdict."""

    fits: int
    fits_with_caution: int
    check_first: int


class WordCountAnswer(WireModel):
    """A value, null for axles of which it is not known, and how many axles have it."""

    value: str | None
    count: int


class NumberCountAnswer(WireModel):
    """A number, null for axles of which it is not known, and how many axles have it."""

    value: int | None
    count: int


class StockCountAnswer(WireModel):
    """Whether axles are in stock, null where the stock is not known, and of how many that is true."""

    value: bool | None
    count: int


class FacetCountsAnswer(WireModel):
    """For each facet its values, most frequent first, counted under all filters but the facet's own.

    Every value is there that an axle has which fits the frame, and every value that was filtered by.
    """

    drive: list[WordCountAnswer]
    colour: list[WordCountAnswer]
    driven_heads: list[NumberCountAnswer]
    material: list[WordCountAnswer]
    pack_quantity: list[NumberCountAnswer]
    in_stock: list[StockCountAnswer]


class RelaxationAnswer(WireModel):
    """One condition that, changed alone, would give a result: dropped, or moved to the nearest such value."""

    condition: str = Field(description="The parameter's name; what only has meaning with it goes with it.")
    change: Literal["dropped", "moved"]
    to: int | float | str | None = Field(
        default=None, description="The value to move it to, in place of all that were given."
    )
    count: int = Field(description="How many axles would be listed.")
    counts: ListedCountsAnswer


class FacetsResponse(WireModel):
    """How many axles a lookup lists under the filters, by facet; and, for none, what would give some.

    Counted is what the lookup lists as `fits`: verdicts `fits`, `fits_with_caution` and `check_first`.
    """

    catalogue_revision: int
    count: int = Field(description="How many axles are listed under all filters.")
    counts: ListedCountsAnswer
    facets: FacetCountsAnswer
    relax: list[RelaxationAnswer] = Field(description="Empty unless `count` is 0.")
