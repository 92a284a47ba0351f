"""Requests that browse the catalogue."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from .base import WireModel
from .codes import FasteningCode, MaterialCode
from .fields import Cursor, Drive, Gtin, Length, ThreadDesignation, Whole, Word


class PageRequest(WireModel):
    """How much of a list, and from where."""

    limit: Whole = Field(default=50, ge=1, le=100, description="How many items to answer with.")
    cursor: Cursor | None = Field(default=None, description="Where to go on, from `next_cursor`.")


class AxleListRequest(PageRequest):
    """Which axles of the catalogue; several conditions all hold."""

    fastening: FasteningCode | None = Field(default=None, description="How the axle holds.")
    shaft_mm: Length | None = Field(default=None, description="Shaft class: 8, 6.3 or 6 [mm].")
    thread: ThreadDesignation | None = Field(default=None, description="The axle's thread.")
    drive: Drive | None = Field(default=None, description="The drive, as `hexagon_4`.")
    driven_heads: Annotated[Whole, Field(ge=1, le=2)] | None = Field(
        default=None, description="How many heads take a key."
    )
    keyed_profile: Word | None = Field(default=None, description="The head's profile, or `none`.")
    brake_thread: ThreadDesignation | None = Field(default=None, description="Thread that carries the brake.")
    material: MaterialCode | None = Field(default=None, description="The material.")
    colour: Word | None = Field(default=None, description="The colour.")
    gtin: Gtin | None = Field(default=None, description="The barcode's number: 8, 12, 13 or 14 digits.")
    outside_width_mm: Length | None = Field(
        default=None, description="A frame width that lies in the axle's width window [mm]."
    )


class FrameListRequest(PageRequest):
    """Which known frames."""

    fastening: FasteningCode | None = Field(default=None, description="How the frame's axles hold.")
