"""Lookups as nearly all clients write them, read without the schema; it reads every other one.

What is read here is what `decoding.from_query` makes of it, to the letter; for whatever may be a fault, or is
written in another way, there is None. The fields' forms are those of `schemas/fields.py`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from typing import Any, get_args

from schemas.codes import FasteningCode, HolesCode, InstrumentCode, MaterialCode, PositionCode
from schemas.lookup import LookupRequest

_DIGITS = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,9})?")
_WHOLE = re.compile(r"[0-9]{1,3}")
_THREAD = re.compile(r"M[0-9.]+(?:[xX][0-9.]+)?")
_WORD = re.compile(r"[a-z][a-z0-9_]{0,31}")
_CURSOR = re.compile(r"[A-Za-z0-9_.-]{1,256}")
_DRIVE = re.compile(r"(?:hexagon|hexalobular|external_hexagon)_[1-9][0-9]?|cross_h[0-4]|slot")
_LONGEST_THREAD = 16
_LONGEST_MM = 200.0
_WALLS = ("inside_width_mm", "head_wall_mm", "far_wall_mm")
_FLAGS = {"true": True, "false": False}

Reader = Callable[[str], Any]
"""Reads a value; None for what the schema has to look at."""


def plain_lookup(query: bytes) -> LookupRequest | None:
    """The lookup that this query asks for, if it is written plainly and nothing is wrong with it."""
    values: dict[str, Any] = {}
    try:
        text = query.decode("ascii")
    except UnicodeDecodeError:
        return None
    for pair in text.split("&"):
        name, _, written = pair.partition("=")
        reader = _READERS.get(name)
        # Repeated readings are several of one thing, and for the schema; what is escaped fails in its form.
        if reader is None or name in values or (value := reader(written)) is None:
            return None
        values[name] = value
    return _built(values) if _goes_together(values) else None


def _goes_together(values: dict[str, Any]) -> bool:
    """Whether the fields are enough and make no fault together, as the model has it."""
    return (
        ("outside_width_mm" in values or all(wall in values for wall in _WALLS))
        and ("hole_offset_mm" not in values or values.get("holes") == "oval")
        and ("brake_thread" not in values or values.get("position") == "brake")
    )


def _built(values: dict[str, Any]) -> LookupRequest:
    """The model of checked values, put together as pydantic does; its own way costs ten times as much."""
    request = LookupRequest.__new__(LookupRequest)
    object.__setattr__(request, "__dict__", _DEFAULTS | values)
    object.__setattr__(request, "__pydantic_fields_set__", set(values))
    object.__setattr__(request, "__pydantic_extra__", None)
    object.__setattr__(request, "__pydantic_private__", None)
    return request


def _number(least: float, most: float, *, above: bool = False) -> Reader:
    def read(written: str) -> float | None:
        if _DIGITS.fullmatch(written) is None:
            return None
        value = float(written)
        return value if least <= value <= most and not (above and value == least) else None

    return read


_LENGTH = _number(0.0, _LONGEST_MM, above=True)


def _reading(written: str) -> tuple[float] | None:
    value = _LENGTH(written)
    return None if value is None else (value,)


def _whole(least: int, most: int) -> Reader:
    def read(written: str) -> int | None:
        if _WHOLE.fullmatch(written) is None:
            return None
        value = int(written)
        return value if least <= value <= most else None

    return read


def _of(pattern: re.Pattern[str]) -> Reader:
    return lambda written: None if pattern.fullmatch(written) is None else written


def _one_of(codes: Any) -> Reader:
    known: Collection[str] = frozenset(get_args(codes))
    return lambda written: written if written in known else None


def _thread(written: str) -> str | None:
    fits = len(written) <= _LONGEST_THREAD and _THREAD.fullmatch(written) is not None
    return written if fits else None


_READERS: dict[str, Reader] = {
    "fastening": _one_of(FasteningCode),
    "outside_width_mm": _reading,
    "inside_width_mm": _reading,
    "head_wall_mm": _reading,
    "far_wall_mm": _reading,
    "instrument": _one_of(InstrumentCode),
    "bore_mm": _reading,
    "wall_material": _one_of(MaterialCode),
    "thread": _thread,
    "recess_mm": _number(0.0, _LONGEST_MM),
    "holes": _one_of(HolesCode),
    "hole_offset_mm": _LENGTH,
    "keyed_profile": _of(_WORD),
    "keys_needed": _whole(1, 2),
    "position": _one_of(PositionCode),
    "brake_thread": _thread,
    "rider_mass_kg": _number(10.0, 250.0),
    "child": _FLAGS.get,
    "hub_width_mm": _LENGTH,
    "prefer_drive": _of(_DRIVE),
    "prefer_colour": _of(_WORD),
    "in_stock": _FLAGS.get,
    "limit": _whole(1, 100),
    "cursor": _of(_CURSOR),
    "near_misses": _whole(0, 20),
}
_DEFAULTS = {name: field.get_default() for name, field in LookupRequest.model_fields.items()}
