"""The compact form of an axle: it is the record, in every way in which a record is asked for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schemas.parts import AxleRecord
from service.catalogue.records import TABLES, engine_axle, record_json
from service.catalogue.repository import CatalogueRepository
from service.catalogue.snapshot import Snapshot, read_snapshot

TEXTS = st.text(
    st.characters(exclude_categories=("C", "Zl", "Zp"), include_characters='"\\/,{}:'),
    min_size=1,
    max_size=40,
)
OWN = {
    "gtin": st.sampled_from([None, "2000000000015"]),
    "name": TEXTS | st.sampled_from([',"drive":null,', '","colour":"black"', "\\n", "ß–Œ 8 × 36"]),
    "drive": st.sampled_from([None, "hexagon_4", "cross_h2"]),
    "colour": st.sampled_from([None, "black", "null"]),
    "pack_quantity": st.integers(1, 1000),
    "stock": st.one_of(st.none(), st.integers(0, 10**9)),
}
PRICES = st.one_of(
    st.just({}),
    st.decimals(0, 10**6, places=2).map(lambda price: {"price": price, "currency": "EUR"}),
    st.integers(0, 10**6).map(lambda price: {"price": price, "currency": "JPY"}),
    st.decimals(0, 10**6, places=3).map(lambda price: {"price": price, "currency": "KWD"}),
)


@given(own=st.fixed_dictionaries(OWN), price=PRICES)
def test_an_axle_comes_out_as_the_record_that_went_in(snapshot, own, price):
    for sku in ("TW8-36-M8-BK", "TP8-R3033-AL", "BN63-42"):
        given_axle = snapshot.axles[sku].model_dump() | {"price": None, "currency": None} | own | price
        record = AxleRecord.model_validate(given_axle)
        made = Snapshot(1, {sku: record}, {}, {})
        assert made.axles[sku] == record
        assert list(made.axles[sku].__dict__) == list(AxleRecord.model_fields)
        assert made.axle_json(sku) == record.model_dump_json().encode()
        assert record_json(made.axles[sku]) == record_json(record)
        assert list(made.engine_axles) == [engine_axle(record)]


def test_the_axles_of_a_database_are_those_that_its_rows_hold(any_demonstration, snapshot):
    with any_demonstration.reading() as session:
        records = list(CatalogueRepository(session).records(TABLES["axles"]))
    read = read_snapshot(any_demonstration)
    assert list(read.axles.values()) == records
    assert [read.axle_json(r.sku).decode() for r in records] == [r.model_dump_json() for r in records]
    assert list(read.engine_axles) == [engine_axle(record) for record in records]


def test_a_place_of_the_engines_axles_is_counted_from_either_end(snapshot):
    axles = list(snapshot.engine_axles)
    assert (snapshot.engine_axles[3], snapshot.engine_axles[-1]) == (axles[3], axles[-1])
    assert list(snapshot.engine_axles[5:9]) == axles[5:9]
    with pytest.raises(IndexError):
        snapshot.engine_axles[len(axles)]
    with pytest.raises(IndexError):
        snapshot.engine_axles[-len(axles) - 1]
