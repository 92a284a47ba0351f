"""What follows from an old axle alone: its classes and its length, and the part that it would be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from service.engine.codes import Fastening
from service.engine.constants import CAUTION_BELOW
from service.engine.identify_agreement import SEEN, OldAxle, head_height
from service.engine.parts import Axle
from service.engine.threads import Thread

_COLUMNS = (
    "thread_length_mm",
    "barrel_mm",
    "barrel_mouth_mm",
    "barrel_thread_mm",
    "screw_mm",
    "nut_height_mm",
)


def probable_thread(probabilities: Mapping[Thread, float] | None) -> Thread | None:
    """The size of thread that is as good as certain.

    Valid for probabilities that sum to 1.

    Parameters
    ----------
    probabilities : mapping of Thread to float, or None
        How probable each size is [1].

    Returns
    -------
    Thread or None
        The size of at least 95 % [1]; None where there is none.

    Examples
    --------
    >>> probable_thread({Thread(8.0, 1.25): 0.96, Thread(8.0, 1.0): 0.04}).designation
    'M8x1.25'

    References
    ----------
    The limit is that of the verdict *fits*: common practice, no source.
    """
    return next((size for size, p in (probabilities or {}).items() if p >= CAUTION_BELOW), None)


def probable_shaft(old: OldAxle) -> float | None:
    """The class of the shaft that is as good as certain.

    Parameters
    ----------
    old : OldAxle
        The old axle as measured and seen.

    Returns
    -------
    float or None
        The nominal class of at least 95 % [mm]; None where there is none.

    References
    ----------
    The limit is that of the verdict *fits*: common practice, no source.
    """
    nominal = old.shaft.nominal_mm if old.shaft is not None else None
    if old.shaft is None or nominal is None:
        return None
    return nominal if old.shaft.probability_of(nominal) >= CAUTION_BELOW else None


def length_as_counted(old: OldAxle) -> float | None:
    """The length of the old axle as its fastening counts it.

    The whole length for a threaded wall; for a bolt the length under its head, or else the whole length
    less a standard head of its thread. A two-piece axle has no such length.

    Parameters
    ----------
    old : OldAxle
        The old axle as measured and seen.

    Returns
    -------
    float or None
        The length [mm]; None where it does not follow from what was measured.

    References
    ----------
    ISO 4014:2011 (height of a hexagon head); how lengths count: common practice, no source.
    """
    lengths = old.lengths
    if old.fastening is Fastening.THREADED_WALL and "overall_length_mm" in lengths:
        return lengths["overall_length_mm"].value_mm
    if old.fastening is not Fastening.BOLT_AND_NUT:
        return None
    if "under_head_mm" in lengths:
        return lengths["under_head_mm"].value_mm
    head = head_height(probable_thread(old.threads))
    if head is None or "overall_length_mm" not in lengths:
        return None
    return lengths["overall_length_mm"].value_mm - head[0]


def as_part(old: OldAxle) -> Axle | None:
    """The old axle as if it were a part of the catalogue; None where its fastening is not known.

    Where nobody looked at its seat, it counts as straight.
    """
    if old.fastening is None:
        return None
    offset = old.lengths.get("offset_mm")
    columns: dict[str, Any] = dict(_measured_columns(old))
    return Axle(
        sku="",
        fastening=old.fastening,
        shaft_mm=probable_shaft(old),
        length_mm=length_as_counted(old),
        thread=probable_thread(old.threads),
        offset_mm=0.0 if offset is None else offset.value_mm,
        **columns,
    )


def _measured_columns(old: OldAxle) -> Iterator[tuple[str, object]]:
    """What was measured or seen under the name of a column."""
    for name in _COLUMNS:
        if name in old.lengths:
            yield name, old.lengths[name].value_mm
    for name in SEEN:
        if name in old.seen:
            yield name, old.seen[name]
