"""Money as whole minor units of its ISO 4217 currency."""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache

from iso4217 import Currency


class MoneyError(ValueError):
    """An amount that its currency cannot have; the message says what is allowed."""


class UnknownCurrencyError(MoneyError):
    """A code that ISO 4217 does not have, or that no money can be in."""


def to_minor_units(amount: Decimal, currency: str) -> int:
    """The whole number of minor units of an amount: 4.90 EUR are 490."""
    minor = amount.scaleb(_digits(currency))
    if minor != minor.to_integral_value():
        raise MoneyError(f"at most {_digits(currency)} digits after the decimal point in {currency}")
    return int(minor)


def from_minor_units(minor: int, currency: str) -> Decimal:
    """The amount, with all digits that its currency has."""
    return Decimal(minor).scaleb(-_digits(currency))


@lru_cache(maxsize=256)
def _digits(currency: str) -> int:
    """How many digits after the decimal point a currency has."""
    try:
        exponent = Currency(currency).exponent
    except ValueError:
        raise UnknownCurrencyError("a currency code of ISO 4217, such as EUR") from None
    if exponent is None:
        raise UnknownCurrencyError("a currency code of ISO 4217 that money can be in, such as EUR")
    return int(exponent)
