"""The field types that requests and records are made of: numbers with their bounds, codes with their form."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Annotated, Any

from pydantic import (
    BeforeValidator,
    Field,
    PlainSerializer,
    StringConstraints,
    ValidationError,
    ValidatorFunctionWrapHandler,
    WithJsonSchema,
    WrapValidator,
)
from pydantic_core import PydanticCustomError

from .lengths import LENGTH_FORM, length_in_mm

_DECIMAL = re.compile(r"[+-]?\d{1,15}(\.\d{1,15})?", re.ASCII)
_WHOLE = re.compile(r"-?\d{1,100}", re.ASCII)
_DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d+", re.ASCII)
_WITH_UNIT = re.compile(r"[+-]?\d[\d., /]*[a-zA-Z]+", re.ASCII)
_BOUNDS = {"greater_than": "greater than", "greater_than_equal": "at least", "less_than_equal": "at most"}
_GREATEST = 10**15
MAX_READINGS = 100


def is_decimal_comma(text: str) -> bool:
    """Whether this is a number with a decimal comma."""
    return _DECIMAL_COMMA.fullmatch(text.strip()) is not None


def _number(value: Any) -> Any:
    """A number as people write it: digits and a decimal point, nothing else."""
    if isinstance(value, str):
        text = value.strip()
        if is_decimal_comma(text):
            raise PydanticCustomError(
                "decimal_comma", "a number with a decimal point: {point}", {"point": text.replace(",", ".")}
            )
        if _WITH_UNIT.fullmatch(text):
            raise PydanticCustomError("unit", "a number without a unit; only lengths take one")
        if not _DECIMAL.fullmatch(text):
            raise PydanticCustomError("not_a_number", "a number such as 36.4")
        return text
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise PydanticCustomError("not_a_number", "a number such as 36.4")
    if not (-_GREATEST < value < _GREATEST):  # not-a-number compares false
        raise PydanticCustomError("not_finite", "a finite number")
    return value


def _length(value: Any, within_bounds: ValidatorFunctionWrapHandler) -> Any:
    """A length [mm], written with a unit or without; a fault is told of what was written."""
    try:
        return within_bounds(length_in_mm(value) if isinstance(value, str) else _number(value))
    except ValidationError as error:
        (fault,) = error.errors(include_url=False)
        (limit,) = fault["ctx"].values()
        bound = f"{_BOUNDS[fault['type']]} {limit:g}"
        raise PydanticCustomError("length_out_of_bounds", "{bound} mm", {"bound": bound}) from None


def _length_schema(**bounds: float) -> WithJsonSchema:
    """A number in mm, or text with a unit; the bounds hold for both, in mm."""
    written = {"type": "string", "pattern": f"^{LENGTH_FORM}$", "examples": ["36.4mm", "1.417in", "1 3/8in"]}
    return WithJsonSchema({"anyOf": [{"type": "number"} | bounds, written]})


def _readings(value: Any) -> Any:
    """One number or several readings of the same thing."""
    return list(value) if isinstance(value, list | tuple) else [value]


def _whole_number(value: Any) -> Any:
    """A whole number as people write it; true and 1_0 are none."""
    if isinstance(value, str) and _WITH_UNIT.fullmatch(value.strip()):
        raise PydanticCustomError("unit", "a whole number without a unit; only lengths take one")
    if isinstance(value, bool) or (isinstance(value, str) and not _WHOLE.fullmatch(value.strip())):
        raise PydanticCustomError("int_parsing", "a whole number")
    return value


Number = Annotated[float, BeforeValidator(_number)]
Whole = Annotated[int, BeforeValidator(_whole_number)]
Length = Annotated[
    float, Field(gt=0, le=200), WrapValidator(_length), _length_schema(exclusiveMinimum=0, maximum=200)
]
"""A length that is there [mm]."""
Distance = Annotated[
    float, Field(ge=0, le=200), WrapValidator(_length), _length_schema(minimum=0, maximum=200)
]
"""A length that may be nothing [mm]."""
Diameter = Annotated[
    float, Field(ge=30, le=200), WrapValidator(_length), _length_schema(minimum=30, maximum=200)
]
"""The diameter of a wheel [mm]."""
Rise = Annotated[float, Field(ge=-10, le=10), WrapValidator(_length), _length_schema(minimum=-10, maximum=10)]
"""How far an axle sits above the middle of its holes, negative where below [mm]."""
AxlePlace = Annotated[
    float, Field(ge=0, le=1000), WrapValidator(_length), _length_schema(minimum=0, maximum=1000)
]
"""A distance along the frame, from the front [mm]."""
_WRITTEN = _length_schema(exclusiveMinimum=0, maximum=200).json_schema
Measured = Annotated[
    tuple[Length, ...],
    BeforeValidator(_readings),
    Field(min_length=1, max_length=MAX_READINGS),
    WithJsonSchema(
        {
            "anyOf": [
                *_WRITTEN["anyOf"],
                {"type": "array", "items": _WRITTEN, "minItems": 1, "maxItems": MAX_READINGS},
            ]
        }
    ),
]
"""One reading, or several of the same thing [mm]."""

# The records' numbers are checked by pydantic's compiled core alone: an import has a million of them.
_MICROMETRE_MM = 0.001
StoredLength = Annotated[
    float, Field(ge=_MICROMETRE_MM, le=200, multiple_of=_MICROMETRE_MM, allow_inf_nan=False)
]
"""A length of the catalogue, in whole micrometres [mm]."""
StoredDistance = Annotated[float, Field(ge=0, le=200, multiple_of=_MICROMETRE_MM, allow_inf_nan=False)]
"""A length of the catalogue that may be nothing, in whole micrometres [mm]."""
Position = Annotated[float, Field(ge=0, le=1000, multiple_of=_MICROMETRE_MM, allow_inf_nan=False)]
"""A distance from the front axle, in whole micrometres [mm]."""
Count = Annotated[int, Field(ge=0, le=1_000_000_000)]

_SKU = r"^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$"
_GTIN = r"^([0-9]{8}|[0-9]{12,14})$"
_WORD = r"^[a-z][a-z0-9_]{0,31}$"
_TEXT = r"^[^\p{C}\p{Zl}\p{Zp}]*$"
_DRIVE = r"^((hexagon|hexalobular|external_hexagon)_[1-9][0-9]?|cross_h[0-4]|slot)$"
_TOLERANCE_CLASS = r"^[a-z]{1,2}[0-9]{1,2}$"
_THREAD = r"^M[0-9.]+( ?[xX×] ?[0-9.]+)?$"
_THREAD_OR_NONE = r"^(none|M[0-9.]+( ?[xX×] ?[0-9.]+)?)$"
_CURRENCY = r"^[A-Z]{3}$"
_CURSOR = r"^[A-Za-z0-9_.-]+$"
FORMS = {
    _SKU: "1 to 40 letters, digits, points, hyphens and underscores, a letter or digit first",
    _GTIN: "8, 12, 13 or 14 digits",
    _WORD: "a lower-case word, such as black",
    _TEXT: "text without control characters",
    _DRIVE: "a drive with its size, such as hexagon_4, hexalobular_25, cross_h2 or slot",
    _TOLERANCE_CLASS: "an ISO 286 class, such as h9",
    _THREAD: "an ISO metric designation, such as M8x1.25",
    _THREAD_OR_NONE: "an ISO metric designation, such as M6x1, or none",
    _CURRENCY: "a currency code of ISO 4217, such as EUR",
    _CURSOR: "a cursor as next_cursor gave it",
}
"""What people are told of a pattern."""

Sku = Annotated[str, Field(pattern=_SKU)]
Gtin = Annotated[str, Field(pattern=_GTIN)]
Word = Annotated[str, Field(pattern=_WORD)]
"""A code of the shop's own: a lower-case word."""
Text = Annotated[
    str,
    StringConstraints(strip_whitespace=True),  # as a cell of a file has it
    Field(min_length=1, max_length=120, pattern=_TEXT),
    # Classes of Unicode are not known to every reader of a schema: this says less, in what all of them know.
    WithJsonSchema(
        {
            "type": "string",
            "minLength": 1,
            "maxLength": 120,
            "pattern": r"^[^\u0000-\u001f\u007f-\u009f\u2028\u2029]*$",
        }
    ),
]
"""Text that can be shown, stored and sent."""
Drive = Annotated[str, Field(pattern=_DRIVE)]
ToleranceClass = Annotated[str, Field(pattern=_TOLERANCE_CLASS)]
ThreadDesignation = Annotated[str, Field(max_length=16, pattern=_THREAD)]
ThreadOrNone = Annotated[str, Field(max_length=16, pattern=_THREAD_OR_NONE)]
"""A thread's designation, or the word that there is no such thread."""
Currency = Annotated[str, Field(pattern=_CURRENCY)]
Cursor = Annotated[str, Field(max_length=256, pattern=_CURSOR)]
Price = Annotated[
    Decimal,
    Field(ge=0, le=1_000_000, allow_inf_nan=False),
    PlainSerializer(lambda price: f"{price:f}", return_type=str),
]
"""An amount of money, a decimal string on the wire."""
