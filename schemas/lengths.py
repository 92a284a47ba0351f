"""Lengths as people write them: in mm, or with a unit; inches become mm exactly."""

from __future__ import annotations

import re
from fractions import Fraction

from pydantic_core import PydanticCustomError

MM_PER_INCH = Fraction("25.4")
"""Exactly: a yard is 0.9144 m since 1959 (NBS Circular 572, addendum of 1960), and has 36 inches."""

_DECIMAL = r"[0-9]{1,15}(?:\.[0-9]{1,15})?"
_FRACTION = r"(?:[0-9]{1,4} )?[0-9]{1,4}/[1-9][0-9]{0,3}"
LENGTH_FORM = rf"[+-]?(?:({_DECIMAL}) ?(mm|in)?|({_FRACTION}) ?in)"
_LENGTH = re.compile(LENGTH_FORM)
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+ ?(mm|in)?")


def length_in_mm(text: str) -> float:
    """The length [mm] that is written here, rounded once; without a unit it is in mm already.

    Raises
    ------
    PydanticCustomError
        If no length is written here; it says which forms there are.
    """
    written = text.strip()
    found = _LENGTH.fullmatch(written)
    if found is None:
        if _DECIMAL_COMMA.fullmatch(written):
            point = written.replace(",", ".")
            raise PydanticCustomError(
                "decimal_comma", "a number with a decimal point: {point}", {"point": point}
            )
        raise _no_length()
    decimal, unit, fraction = found.groups()
    exact = Fraction(decimal) if decimal else _mixed_number(fraction)
    if unit == "in" or fraction:
        exact *= MM_PER_INCH
    return float(-exact if written.startswith("-") else exact)


def _mixed_number(written: str) -> Fraction:
    """A fraction, alone or after a whole number as on a folding rule: 1 3/8."""
    *whole, part = (Fraction(part) for part in written.split(" "))
    if whole and part >= 1:
        raise _no_length()
    return sum(whole, part)


def _no_length() -> PydanticCustomError:
    return PydanticCustomError(
        "not_a_length", "a number such as 36.4, in mm; or with its unit, as 36.4mm, 1.417in or 1 3/8in"
    )
