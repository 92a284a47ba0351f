"""Records of the catalogue with the entity tag that a write of them has to name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar
from urllib.parse import quote

from .schemas.parts import AxleRecord, FrameRecord, SleeveRecord

R = TypeVar("R", AxleRecord, FrameRecord, SleeveRecord)
_TABLES = {AxleRecord: ("axles", "sku"), FrameRecord: ("frames", "code"), SleeveRecord: ("sleeves", "sku")}


@dataclass(frozen=True, slots=True)
class Stored(Generic[R]):
    """A record as the service keeps it, and the entity tag of that state."""

    record: R
    etag: str


def path_of_key(kind: type[R], key: str) -> str:
    """The path of the record with this key."""
    return f"/v1/{_TABLES[kind][0]}/{quote(key, safe='')}"


def path_of(record: R) -> str:
    """The path of a record."""
    return path_of_key(type(record), getattr(record, _TABLES[type(record)][1]))
