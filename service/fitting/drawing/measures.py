"""What a drawing shows: the lengths of a frame and of an axle, each known or taken for granted."""

from __future__ import annotations

from dataclasses import dataclass

from service.engine.codes import Check, Fastening, Outcome
from service.engine.threads import Thread


@dataclass(frozen=True, slots=True)
class Length:
    """A length [mm], and whether it is known; what is not known is drawn dashed."""

    mm: float
    known: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameMeasures:
    """The frame at one axle [mm]; the walls and the room between them come to the outside width.

    ``tapped`` is the thread of the far wall, None where it has none; ``hole_offset_mm`` None for round holes.
    """

    outside: Length
    inside: Length
    head_wall: Length
    far_wall: Length
    recess_mm: float
    bore: Length
    hub_mm: float
    tapped: Thread | None
    hole_offset_mm: float | None

    @property
    def seats_mm(self) -> tuple[float, float]:
        """Where the heads of a two-piece axle sit, from the head wall's outer face."""
        return self.recess_mm / 2, self.outside.mm - self.recess_mm / 2

    @property
    def tapped_from_mm(self) -> float:
        """Where the far wall begins."""
        return self.outside.mm - self.far_wall.mm

    @property
    def hub_from_mm(self) -> float:
        """Where the hub begins, midway between the walls."""
        return self.head_wall.mm + (self.inside.mm - self.hub_mm) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class AxleMeasures:
    """An axle as its fastening counts its lengths [mm]."""

    fastening: Fastening
    shaft: Length
    length: Length
    thread: Thread
    thread_known: bool
    thread_length: Length
    barrel: Length
    mouth: Length
    barrel_thread: Length
    screw: Length
    nut: Length
    head_across_mm: float
    head_height_mm: float
    keyed_profile: str | None
    offset_mm: float
    brake_thread: Thread | None
    socket_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BandMeasures:
    """The width window, and the measured width on it with its standard uncertainty [mm]."""

    lower_mm: float
    upper_mm: float
    ideal_mm: float
    width_mm: float
    uncertainty_mm: float

    @property
    def expanded_mm(self) -> float:
        """Twice the standard uncertainty."""
        return 2 * self.uncertainty_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """One reason that is no pass, with its sentence."""

    check: Check
    outcome: Outcome
    code: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingAnswer:
    """All that the drawing of one axle in one frame shows.

    ``verdict`` is None where no window can be computed; ``engaged`` None where the engagement is not known.
    ``assumed`` names what was taken for granted, with the length that is drawn.
    """

    sku: str
    name: str
    revision: int
    verdict: str | None
    probability: float | None
    frame: FrameMeasures
    axle: AxleMeasures
    band: BandMeasures | None
    engaged: Length | None
    sleeve: Length | None
    remarks: tuple[Remark, ...]
    assumed: tuple[tuple[str, float], ...]
    no_window: str | None = None
