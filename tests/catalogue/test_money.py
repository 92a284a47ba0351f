"""Money in whole minor units: the digits of each currency are those of ISO 4217."""

from decimal import Decimal

import pytest

from service.catalogue.money import MoneyError, from_minor_units, to_minor_units


# The digits after the point, by ISO 4217: EUR 2, JPY 0, KWD 3.
@pytest.mark.parametrize(
    ("amount", "currency", "minor"),
    [
        ("4.90", "EUR", 490),
        ("4.9", "EUR", 490),
        ("0", "EUR", 0),
        ("1000000", "EUR", 100_000_000),
        ("490", "JPY", 490),
        ("490.0", "JPY", 490),
        ("4.905", "KWD", 4905),
    ],
)
def test_an_amount_is_so_many_minor_units(amount, currency, minor):
    assert to_minor_units(Decimal(amount), currency) == minor


@pytest.mark.parametrize(
    ("amount", "currency", "digits"), [("4.905", "EUR", 2), ("4.9", "JPY", 0), ("4.9051", "KWD", 3)]
)
def test_an_amount_with_more_digits_than_its_currency_is_refused(amount, currency, digits):
    with pytest.raises(MoneyError, match=f"at most {digits} digits .* in {currency}"):
        to_minor_units(Decimal(amount), currency)


@pytest.mark.parametrize(
    ("minor", "currency", "written"), [(490, "EUR", "4.90"), (490, "JPY", "490"), (4900, "KWD", "4.900")]
)
def test_an_amount_is_written_with_all_digits_of_its_currency(minor, currency, written):
    assert f"{from_minor_units(minor, currency):f}" == written


# The last two stand in ISO 4217 for no currency at all and for gold: no money is in them.
@pytest.mark.parametrize("code", ["ZZZ", "eur", "EURO", "", "XXX", "XAU"])
def test_a_code_that_is_no_currency_is_refused(code):
    with pytest.raises(MoneyError, match="ISO 4217"):
        to_minor_units(Decimal(1), code)
