"""The numbers of barcodes (GTIN): their check digit, and the form of 14 digits in which all are compared.

GS1 General Specifications: a number of 8, 12 or 13 digits is that of 14 digits with zeros before it, and
the last digit checks the others (section 7.9).
"""

from __future__ import annotations

from stdnum import ean

from schemas.problems import FaultOfField, shown
from service.catalogue.snapshot import Snapshot
from service.errors import InvalidRequestError

_DIGITS = 14


def as_gtin_14(gtin: str) -> str:
    """The number with zeros before it, as 14 digits."""
    return gtin.zfill(_DIGITS)


def checked_gtin(gtin: str) -> str:
    """The number of a barcode as 14 digits.

    Raises
    ------
    InvalidRequestError
        If its check digit is not that of its other digits: a digit was misread or mistyped.
    """
    if not ean.is_valid(gtin):
        right = ean.calc_check_digit(gtin[:-1])
        allowed = f"a number whose check digit is right; after {gtin[:-1]} it is {right}"
        fault = FaultOfField(path=("gtin",), found=shown(gtin), allowed=allowed)
        raise InvalidRequestError("The check digit of the barcode's number is wrong: read it again.", [fault])
    return as_gtin_14(gtin)


def sku_of(word: str, snapshot: Snapshot) -> str:
    """The SKU of an axle by its SKU, or by its barcode's number; the word itself where it is neither."""
    if word in snapshot.axles or not ean.is_valid(word):
        return word
    return next(iter(snapshot.compact_axles.with_gtin(word)), word)
