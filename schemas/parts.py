"""The catalogue's records: axles, frames and sleeves, as a file or a partner writes them.

The fields are the columns of the import files, in their order. None, or an empty cell, means not known.
"""

from __future__ import annotations

from typing import Annotated, Any, Self

from pydantic import BeforeValidator, Field, model_validator

from .base import WireModel, fault_of
from .codes import FasteningCode, HolesCode, MaterialCode
from .fields import (
    Count,
    Currency,
    Drive,
    Gtin,
    Position,
    Price,
    Sku,
    StoredDistance,
    StoredLength,
    Text,
    ThreadDesignation,
    ToleranceClass,
    Word,
)


def _split_list(value: Any) -> Any:
    """A cell that holds several numbers has ``;`` between them."""
    if isinstance(value, str):
        return [part.strip() for part in value.split(";")]
    return () if value is None else value


ShaftClass = Annotated[StoredLength, Field(json_schema_extra={"enum": [6.0, 6.3, 8.0]})]
SHAFT_CLASSES_MM = (6.0, 6.3, 8.0)
PackQuantity = Annotated[int, Field(ge=1, le=1000)]


def _micrometres(*lengths_mm: float | None) -> int:
    """The sum of the lengths that are known, without the last binary digits of mm."""
    return sum(round(length * 1000) for length in lengths_mm if length is not None)


def _price_and_currency(price: object, currency: object) -> None:
    if (price is None) != (currency is None):
        raise fault_of("currency", "a price and its currency together, or neither")


class AxleRecord(WireModel):
    """An axle of the catalogue."""

    sku: Sku
    gtin: Gtin | None = None
    name: Text
    fastening: FasteningCode
    shaft_mm: ShaftClass | None = None
    shaft_tolerance: ToleranceClass | None = None
    length_mm: StoredLength | None = None
    length_tolerance_mm: StoredLength | None = None
    grip_min_mm: StoredLength | None = None
    grip_max_mm: StoredLength | None = None
    barrel_mm: StoredLength | None = None
    barrel_mouth_mm: StoredDistance | None = None
    barrel_thread_mm: StoredLength | None = None
    screw_mm: StoredLength | None = None
    thread: ThreadDesignation | None = None
    thread_length_mm: StoredLength | None = None
    nut_height_mm: StoredLength | None = None
    drive: Drive | None = None
    driven_heads: Annotated[int, Field(ge=1, le=2)] | None = None
    keyed_profile: Word | None = None
    offset_mm: StoredDistance | None = None
    brake_thread: ThreadDesignation | None = None
    material: MaterialCode | None = None
    colour: Word | None = None
    pack_quantity: PackQuantity = 1
    price: Price | None = None
    currency: Currency | None = None
    stock: Count | None = None

    @model_validator(mode="after")
    def _parts_go_together(self) -> Self:
        _price_and_currency(self.price, self.currency)
        if self.shaft_mm is not None and self.shaft_mm not in SHAFT_CLASSES_MM:
            raise fault_of("shaft_mm", "one of the classes 8, 6.3 or 6")
        if self.grip_min_mm and self.grip_max_mm and self.grip_min_mm > self.grip_max_mm:
            raise fault_of("grip_max_mm", f"at least grip_min_mm ({self.grip_min_mm:g})")
        if self.thread_length_mm and self.length_mm and self.thread_length_mm > self.length_mm:
            raise fault_of("thread_length_mm", f"at most length_mm ({self.length_mm:g})")
        thread_end = _micrometres(self.barrel_mouth_mm, self.barrel_thread_mm)
        if self.barrel_mm is not None and thread_end > _micrometres(self.barrel_mm):
            raise fault_of("barrel_thread_mm", f"with barrel_mouth_mm at most barrel_mm ({self.barrel_mm:g})")
        if self.brake_thread is not None and self.fastening != "threaded_wall":
            raise fault_of("brake_thread", "empty unless the fastening is threaded_wall")
        return self


class FrameRecord(WireModel):
    """A frame of the table; widths from front to rear, one for all axles or one each."""

    code: Sku
    name: Text
    fastening: FasteningCode | None = None
    bore_mm: ShaftClass | None = None
    holes: HolesCode | None = None
    hole_offset_mm: StoredLength | None = None
    outside_widths_mm: Annotated[tuple[StoredLength, ...], BeforeValidator(_split_list)] = ()
    inside_width_mm: StoredLength | None = None
    head_wall_mm: StoredLength | None = None
    far_wall_mm: StoredLength | None = None
    recess_mm: StoredDistance | None = None
    thread: ThreadDesignation | None = None
    wall_material: MaterialCode | None = None
    keyed_profile: Word | None = None
    wheels: Annotated[int, Field(ge=1, le=12)]
    axle_positions_mm: Annotated[tuple[Position, ...], BeforeValidator(_split_list)] = ()
    brake_position: Annotated[int, Field(ge=1, le=12)] | None = None
    brake_thread: ThreadDesignation | None = None

    @model_validator(mode="after")
    def _parts_go_together(self) -> Self:
        if self.bore_mm is not None and self.bore_mm not in SHAFT_CLASSES_MM:
            raise fault_of("bore_mm", "one of the classes 8, 6.3 or 6")
        widths, positions = self.outside_widths_mm, self.axle_positions_mm
        if not widths and None in {self.inside_width_mm, self.head_wall_mm, self.far_wall_mm}:
            raise fault_of(
                "outside_widths_mm", "the outside widths; or all of inside_width_mm and both walls"
            )
        least = self._least_width_um()
        if widths and _micrometres(min(widths)) <= least:
            raise fault_of("outside_widths_mm", f"more than inside width and walls, {least / 1000:g} mm")
        if len(widths) not in {0, 1, self.wheels}:
            raise fault_of("outside_widths_mm", f"one width, or one for each of the {self.wheels} axles")
        if positions and (len(positions) != self.wheels or list(positions) != sorted(set(positions))):
            raise fault_of("axle_positions_mm", f"{self.wheels} rising distances from the front axle")
        if self.hole_offset_mm is not None and self.holes != "oval":
            raise fault_of("hole_offset_mm", "empty unless holes is oval")
        if self.brake_position is not None and self.brake_position > self.wheels:
            raise fault_of("brake_position", f"at most the number of wheels ({self.wheels})")
        if self.brake_thread is not None and self.brake_position is None:
            raise fault_of("brake_thread", "only together with brake_position")
        return self

    def _least_width_um(self) -> int:
        """What an outside width must exceed: the parts of it that are known, unless they are all known."""
        parts = [self.head_wall_mm, self.far_wall_mm]
        if len(set(self.outside_widths_mm)) <= 1:  # else the inside width is that of some axle only
            parts.append(self.inside_width_mm)
        return 0 if len(parts) == 3 and None not in parts else _micrometres(*parts)


class SleeveRecord(WireModel):
    """The spacer through a whole wheel that a thin axle needs."""

    sku: Sku
    gtin: Gtin | None = None
    name: Text
    inner_mm: StoredLength
    outer_mm: StoredLength
    length_mm: StoredLength
    pack_quantity: PackQuantity = 1
    price: Price | None = None
    currency: Currency | None = None
    stock: Count | None = None

    @model_validator(mode="after")
    def _parts_go_together(self) -> Self:
        _price_and_currency(self.price, self.currency)
        if self.inner_mm >= self.outer_mm:
            raise fault_of("inner_mm", f"less than outer_mm ({self.outer_mm:g})")
        return self
