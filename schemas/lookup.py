"""The lookup: a frame as measured, what is known of it and of its rider, and what is preferred."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from .base import WireModel, fault_of
from .codes import FasteningCode, HolesCode, InstrumentCode, MaterialCode, PositionCode
from .fields import Cursor, Distance, Drive, Length, Measured, Number, ThreadDesignation, Whole, Word


class RiderAndWheel(WireModel):
    """Who rides the skate, and the wheel's hub."""

    rider_mass_kg: Annotated[
        Annotated[Number, Field(ge=10, le=250)] | None, Field(description="The rider's mass [kg].")
    ] = None
    child: bool = Field(default=False, description="Whether it is a child's skate.")
    hub_width_mm: Length = Field(default=24.0, description="Wheel hub over both bearings [mm].")


class RiderAndPreferences(RiderAndWheel):
    """Who rides the skate, the wheel's hub, and what the customer would rather have."""

    prefer_drive: Drive | None = Field(default=None, description="A drive to put first, as `hexagon_4`.")
    prefer_colour: Word | None = Field(default=None, description="A colour to put first, as `black`.")
    in_stock: bool = Field(default=False, description="Puts what is in stock first.")


class LookupOptions(RiderAndPreferences):
    """What a lookup asks for besides the frame: the rider, the wheel, preferences, paging."""

    limit: Whole = Field(default=10, ge=1, le=100, description="How many axles to answer with.")
    cursor: Cursor | None = Field(default=None, description="Where to go on, from `next_cursor`.")
    near_misses: Whole = Field(default=3, ge=0, le=20, description="How many near misses to show.")


class MeasuredFrame(RiderAndWheel):
    """A frame at one axle, as measured; lengths in mm, one reading or several of the same thing."""

    fastening: FasteningCode | None = Field(default=None, description="How the axle holds.")
    outside_width_mm: Measured | None = Field(
        default=None, description="Over both walls, at the axle holes [mm]."
    )
    inside_width_mm: Measured | None = Field(default=None, description="Between the walls [mm].")
    head_wall_mm: Measured | None = Field(default=None, description="The wall under the driven head [mm].")
    far_wall_mm: Measured | None = Field(default=None, description="The wall opposite the driven head [mm].")
    instrument: InstrumentCode = Field(default="calliper", description="What the lengths were read with.")
    bore_mm: Measured | None = Field(
        default=None, description="Axle diameter, measured or as the nominal class 8, 6.3 or 6 [mm]."
    )
    wall_material: MaterialCode = Field(
        default="aluminium_6061_t6", description="Material of the tapped wall."
    )
    thread: ThreadDesignation | None = Field(default=None, description="Thread of the tapped wall.")
    recess_mm: Distance | None = Field(
        default=None, description="Depth of the head recesses, both sides together [mm]."
    )
    holes: HolesCode | None = Field(default=None, description="Shape of the axle holes.")
    hole_offset_mm: Length | None = Field(default=None, description="Offset of oval holes [mm].")
    keyed_profile: Word | None = Field(
        default=None, description="Profile of the frame's recess, or `none` for round holes."
    )
    keys_needed: Whole | None = Field(default=None, ge=1, le=2, description="Keys that the old axle took.")
    position: PositionCode = Field(default="any", description="`brake` where the axle carries the brake.")
    brake_thread: ThreadDesignation | None = Field(default=None, description="Thread for the brake.")

    @model_validator(mode="after")
    def _width_can_be_told(self) -> Self:
        if self.outside_width_mm is None and None in {
            self.inside_width_mm,
            self.head_wall_mm,
            self.far_wall_mm,
        }:
            raise fault_of(
                "outside_width_mm",
                "the width over both walls; or all of inside_width_mm, head_wall_mm and far_wall_mm",
            )
        return self

    @model_validator(mode="after")
    def _fields_go_together(self) -> Self:
        if self.hole_offset_mm is not None and self.holes != "oval":
            raise fault_of("hole_offset_mm", "only together with holes=oval")
        if self.brake_thread is not None and self.position != "brake":
            raise fault_of("brake_thread", "only together with position=brake")
        return self


class LookupRequest(MeasuredFrame, LookupOptions):
    """The lookup for a frame as measured; lengths in mm, one reading or several of the same thing."""


class FrameLookupRequest(LookupOptions):
    """The lookup for a frame of the table, at one of its axles."""

    axle_position: Whole | None = Field(
        default=None,
        ge=1,
        le=12,
        description="Which axle, 1 = front; needed where the frame's widths differ.",
    )
