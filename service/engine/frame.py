"""The frame as measured, and who rides on it."""

from __future__ import annotations

from dataclasses import dataclass

from service.engine.codes import ROUND_HEADED, Fastening, Holes, Position
from service.engine.constants import ADULT_MASS_KG, HUB_WIDTH_MM
from service.engine.measurement import FrameWidths
from service.engine.probability import Bore
from service.engine.threads import Thread


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """One axle position of a frame; None where it was not given.

    ``keyed_profile`` is the profile of the frame's recess, or ``none`` for round holes;
    ``keys_needed`` how many keys the old axle took.
    """

    widths: FrameWidths
    fastening: Fastening | None = None
    bore: Bore | None = None
    wall_material: str = "aluminium_6061_t6"
    thread: Thread | None = None
    recess_mm: float = 0.0
    holes: Holes | None = None
    hole_offset_mm: float | None = None
    keyed_profile: str | None = None
    keys_needed: int | None = None
    position: Position = Position.ANY
    brake_thread: Thread | None = None
    rider_mass_kg: float | None = None
    child: bool = False
    hub_width_mm: float = HUB_WIDTH_MM

    @property
    def may_carry_an_adult(self) -> bool:
        """Whether the rider is as heavy as an adult, or may be: no mass given and no child's skate."""
        if self.rider_mass_kg is None:
            return not self.child
        return self.rider_mass_kg >= ADULT_MASS_KG

    @property
    def has_round_recesses(self) -> bool:
        """Whether the heads sit in round holes: so stated, or the old axle took a key on each side."""
        return self.keyed_profile == ROUND_HEADED or (self.keyed_profile is None and self.keys_needed == 2)
