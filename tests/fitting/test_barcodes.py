"""The numbers of barcodes: their check digit by GS1's rule, and their form of 14 digits."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schemas.browse import AxleListRequest
from service.errors import InvalidRequestError
from service.fitting.barcodes import as_gtin_14, checked_gtin, sku_of
from service.fitting.browse import list_axles


def with_check_digit(digits):
    """GS1 General Specifications, 7.9: from the right the weights 3, 1, 3 …; up to the next ten."""
    weighted = sum(int(d) * (3 if place % 2 == 0 else 1) for place, d in enumerate(reversed(digits)))
    return f"{digits}{-weighted % 10}"


def test_the_rule_gives_the_example_of_the_specifications():
    assert with_check_digit("629104150021") == "6291041500213"  # GS1's own worked example


numbers = st.sampled_from([7, 11, 12, 13]).flatmap(lambda n: st.text("0123456789", min_size=n, max_size=n))


@given(digits=numbers)
def test_a_number_with_its_check_digit_is_taken_and_filled_with_zeros(digits):
    gtin = with_check_digit(digits)
    assert checked_gtin(gtin) == "0" * (14 - len(gtin)) + gtin


@given(digits=numbers, place=st.integers(0, 13), step=st.integers(1, 9))
def test_a_number_with_one_digit_misread_is_refused(digits, place, step):
    gtin = with_check_digit(digits)
    place %= len(gtin)
    misread = gtin[:place] + str((int(gtin[place]) + step) % 10) + gtin[place + 1 :]
    with pytest.raises(InvalidRequestError) as caught:
        checked_gtin(misread)
    (fault,) = caught.value.faults
    assert (fault.path, fault.found) == (("gtin",), misread)
    assert fault.allowed.endswith(with_check_digit(misread[:-1])[-1])


@pytest.mark.parametrize(
    ("given", "filled"), [("96385074", "00000096385074"), ("036000291452", "00036000291452")]
)
def test_the_form_of_14_digits(given, filled):
    assert as_gtin_14(given) == filled


@pytest.mark.parametrize(
    ("stored", "scanned"),
    [
        ("96385074", "00000096385074"),  # 8 digits
        ("036000291452", "0036000291452"),  # 12 digits, and as a barcode of 13
        ("036000291452", "00036000291452"),
        ("00036000291452", "036000291452"),
        ("2000000000060", "02000000000060"),
    ],
)
def test_an_axle_is_found_in_whichever_form_its_number_is_stored(snapshot, stored, scanned):
    axle = snapshot.axles["TW8-36-M8-BK"].model_copy(update={"gtin": stored})
    one = replace(snapshot, axles={axle.sku: axle})
    assert [a.sku for a in list_axles(AxleListRequest(gtin=scanned), one).items] == [axle.sku]
    assert sku_of(scanned, one) == axle.sku


def test_a_word_that_is_no_barcode_of_the_catalogue_stays_what_it_is(snapshot):
    assert sku_of("TW8-36-M8-BK", snapshot) == "TW8-36-M8-BK"
    assert sku_of("2000000000060", snapshot) == "TW8-36-M8-BK"
    for word in ("NOTHING", "2000000000061", "6291041500213"):
        assert sku_of(word, snapshot) == word
