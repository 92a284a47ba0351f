"""Strands: the kinds that differ in length alone, side by side in the order of their lengths.

What a frame's width decides about an axle depends on how the width compares with the axle's length. So the
kinds of a strand have the same answer, moved along by their lengths: what holds at which width is worked
out once for a strand, and a bisection among its lengths finds the kinds that it holds for. A million axles
are some 400 strands. An axle without any width window is in none, since it is never listed.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple

from service.catalogue.kinds import Kind
from service.engine.codes import Fastening
from service.engine.parts import Axle
from service.engine.threads import Thread
from service.engine.windows import width_window

_NANOMETRES = 6  # decimals of a millimetre; the catalogue's lengths are whole micrometres
_MOVED = ("length_mm", "barrel_mm", "grip_min_mm", "grip_max_mm")
"""The lengths that differ within a strand, all by as much; the first that is known is the anchor."""


class Shape(NamedTuple):
    """All that a width's judgement reads of an axle, its place on the scale of lengths aside.

    The lengths of `_MOVED` are from the anchor on; a shape is also the key of what is worked out for it.
    """

    fastening: Fastening
    thread: Thread | None
    material: str | None
    length_tolerance_mm: float
    thread_length_mm: float | None
    nut_height_mm: float | None
    barrel_mouth_mm: float | None
    barrel_thread_mm: float | None
    screw_mm: float | None
    length_mm: float | None
    barrel_mm: float | None
    grip_min_mm: float | None
    grip_max_mm: float | None

    def axle_at(self, anchor_mm: float) -> Axle:
        """An axle of this shape at a place on the scale of lengths."""
        columns = self._asdict()
        for column in _MOVED:
            if (beyond := columns[column]) is not None:
                columns[column] = anchor_mm + beyond
        return Axle(sku="", **columns)


class Manner(NamedTuple):
    """All that is judged of an axle besides its width."""

    fastening: Fastening
    shaft_mm: float | None
    shaft_tolerance: str | None
    thread: Thread | None
    keyed_profile: str | None
    offset_mm: float
    brake_thread: Thread | None
    material: str | None

    def axle(self) -> Axle:
        """An axle in this manner, of no known length."""
        return Axle(sku="", **self._asdict())


class Strand(NamedTuple):
    """The kinds of one shape and one manner, by their anchors; several may have the same."""

    number: int
    shape: Shape
    manner: int
    anchors_mm: tuple[float, ...]
    kinds: tuple[tuple[Kind, ...], ...]


class Strands(NamedTuple):
    """All kinds that have a width window, and how many axles they are."""

    manners: tuple[Manner, ...]
    strands: tuple[Strand, ...]
    axles: int


def strands_of(kinds: Iterable[Kind]) -> Strands:
    """The kinds, in strands."""
    manners: dict[Manner, int] = {}
    found: dict[tuple[Shape, int], dict[float, list[Kind]]] = {}
    axles = 0
    for kind in kinds:
        if not len(kind) or width_window(kind.axle) is None:
            continue
        axles += len(kind)
        manner = manners.setdefault(_manner_of(kind.axle), len(manners))
        anchor, shape = _shape_of(kind.axle)
        found.setdefault((shape, manner), {}).setdefault(anchor, []).append(kind)
    strands = tuple(
        Strand(number, shape, manner, tuple(sorted(places)), tuple(tuple(places[a]) for a in sorted(places)))
        for number, ((shape, manner), places) in enumerate(found.items())
    )
    return Strands(tuple(manners), strands, axles)


def _manner_of(axle: Axle) -> Manner:
    return Manner(*(getattr(axle, column) for column in Manner._fields))


def _shape_of(axle: Axle) -> tuple[float, Shape]:
    """The anchor of an axle, and its shape."""
    columns: dict[str, Any] = {column: getattr(axle, column) for column in Shape._fields}
    anchor = next(float(columns[column]) for column in _MOVED if columns[column] is not None)
    for column in _MOVED:
        if (length := columns[column]) is not None:
            columns[column] = round(length - anchor, _NANOMETRES)
    return anchor, Shape(**columns)
