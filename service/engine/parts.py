"""What the catalogue holds, as the engine sees it: axles and sleeves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from service.engine.codes import Fastening
from service.engine.constants import DEFAULT_LENGTH_TOLERANCE_MM
from service.engine.threads import Thread


@dataclass(frozen=True, slots=True, kw_only=True)
class Axle:
    """An axle of the catalogue; None where the catalogue does not know.

    ``length_mm`` counts as the fastening counts it: the whole length of a threaded-wall axle, the
    length under the head of a bolt. ``price_per_axle`` is in the catalogue's currency.
    """

    sku: str
    fastening: Fastening
    shaft_mm: float | None = None
    shaft_tolerance: str | None = None
    length_mm: float | None = None
    length_tolerance_mm: float = DEFAULT_LENGTH_TOLERANCE_MM
    grip_min_mm: float | None = None
    grip_max_mm: float | None = None
    barrel_mm: float | None = None
    barrel_mouth_mm: float | None = None
    barrel_thread_mm: float | None = None
    screw_mm: float | None = None
    thread: Thread | None = None
    thread_length_mm: float | None = None
    nut_height_mm: float | None = None
    drive: str | None = None
    driven_heads: int | None = None
    keyed_profile: str | None = None
    offset_mm: float = 0.0
    brake_thread: Thread | None = None
    material: str | None = None
    colour: str | None = None
    price_per_axle: float | None = None
    stock: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sleeve:
    """The spacer through a whole wheel that a thin axle needs [mm]."""

    sku: str
    name: str
    inner_mm: float
    outer_mm: float
    length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CatalogueFacts:
    """What a judgement needs to know of the catalogue besides the axle in hand.

    ``usual_threads`` gives for each shaft class [mm] the thread that most threaded-wall axles have.
    """

    usual_threads: Mapping[float, Thread]
    sleeves: tuple[Sleeve, ...] = ()
