"""The catalogue's data warnings: what a part's row cannot be right about, or leaves open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from stdnum import ean

from schemas.parts import AxleRecord, SleeveRecord
from service.catalogue.records import engine_axle
from service.catalogue.snapshot import Snapshot
from service.engine.constants import LIMIT_ROUNDING_MM, STATED_RANGE_REACH_MM
from service.engine.parts import Axle
from service.engine.strength import strip_length_mm
from service.engine.threads import is_selected
from service.engine.windows import computed_grip, missing_for_window

_NOT_COMPARED = {"sku", "gtin", "name", "price", "currency", "stock", "pack_quantity", "colour"}


@dataclass(frozen=True, slots=True, kw_only=True)
class DataWarning:
    """Something about one part that the shop should look at."""

    sku: str
    code: str
    text: str


def data_warnings(snapshot: Snapshot) -> list[DataWarning]:
    """All warnings of the catalogue, by SKU."""
    found = [
        *_of_each(snapshot.axles.values()),
        *_of_windows(snapshot.axles.values()),
        *_of_each(snapshot.sleeves.values()),
        *_twins(snapshot.axles.values()),
        *_shared_gtins([*snapshot.axles.values(), *snapshot.sleeves.values()]),
    ]
    return sorted(found, key=lambda warning: (warning.sku, warning.code))


def _of_each(records: Iterable[AxleRecord | SleeveRecord]) -> Iterator[DataWarning]:
    """What every part with a barcode and a price may have wrong."""
    for record in records:
        if record.gtin is not None and not ean.is_valid(record.gtin):
            text = f"the check digit of the GTIN {record.gtin} is wrong"
            yield DataWarning(sku=record.sku, code="gtin_check_digit", text=text)
        if record.price == 0:
            yield DataWarning(sku=record.sku, code="price_of_zero", text="the price is zero")


def _of_windows(records: Iterable[AxleRecord]) -> Iterator[DataWarning]:
    """What keeps an axle from being listed, or contradicts its own parts."""
    for record in records:
        axle = engine_axle(record)
        if missing := missing_for_window(axle):
            text = f"it is never listed, since {', '.join(missing)} is not known"
            yield DataWarning(sku=record.sku, code="no_width_window", text=text)
        if axle.thread is None:
            yield DataWarning(sku=record.sku, code="thread_not_known", text="its thread is not known")
        elif not is_selected(axle.thread):
            text = f"{axle.thread.designation} is not a size that ISO 262 selects for screws"
            yield DataWarning(sku=record.sku, code="thread_unusual", text=text)
        if (beyond := _stated_beyond_computed(axle)) is not None:
            text = f"the stated grip reaches {beyond:.2f} mm outside of what its own lengths allow"
            yield DataWarning(sku=record.sku, code="stated_grip_too_wide", text=text)


def _stated_beyond_computed(axle: Axle) -> float | None:
    """How far a stated grip reaches outside of the computed one [mm], None where it does not."""
    strip = strip_length_mm(axle.thread, axle.material, axle.material) if axle.thread else 0.0
    computed = computed_grip(axle, strip_length_mm=strip)
    if computed is None:
        return None
    below = computed[0] - axle.grip_min_mm if axle.grip_min_mm is not None else 0.0
    above = axle.grip_max_mm - computed[1] if axle.grip_max_mm is not None else 0.0
    beyond = max(below, above)
    return beyond if beyond > STATED_RANGE_REACH_MM + LIMIT_ROUNDING_MM else None


def _twins(records: Iterable[AxleRecord]) -> Iterator[DataWarning]:
    """Axles that are the same in everything but colour, pack and price."""
    first_of: dict[str, AxleRecord] = {}
    for record in records:
        what = record.model_dump_json(exclude=_NOT_COMPARED) + f"{record.pack_quantity} {record.colour}"
        twin = first_of.setdefault(what, record)
        if twin is not record:
            yield DataWarning(sku=record.sku, code="twin", text=f"it is the same as {twin.sku}")


def _shared_gtins(records: Iterable[AxleRecord | SleeveRecord]) -> Iterator[DataWarning]:
    """Parts that have the barcode of another part."""
    first_of: dict[str, str] = {}
    for record in records:
        if record.gtin is not None:
            twin = first_of.setdefault(record.gtin.zfill(14), record.sku)
            if twin != record.sku:
                yield DataWarning(sku=record.sku, code="gtin_twice", text=f"its GTIN is that of {twin} too")
