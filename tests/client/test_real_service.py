"""The client and the real service, on this machine's loopback."""

import csv
import json
import threading
from decimal import Decimal
from pathlib import Path
from urllib.request import Request, urlopen

import pytest
from axlefit_client import AxleFit, ProblemError, Stored
from axlefit_client.schemas import (
    AxleRecord,
    FrameLookupRequest,
    FrameRecord,
    LookupRequest,
    SleeveRecord,
)
from axlefit_client.schemas.browse import AxleListRequest

FRAME = {
    "fastening": "threaded_wall",
    "outside_width_mm": [36.38, 36.41, 36.41],
    "far_wall_mm": 6,
    "bore_mm": 8,
    "thread": "M8x1.25",
}


@pytest.fixture
def answered(real_service):
    """What the service answers to a lookup, by the standard library alone."""

    def post(fields):
        headers = {"Content-Type": "application/json"}
        request = Request(f"{real_service.url}/v1/fits", json.dumps(fields).encode(), headers)  # noqa: S310
        with urlopen(request) as response:  # noqa: S310 (our own address)
            return json.load(response)

    return post


def plain(model):
    return json.loads(model.model_dump_json())


def keys_in(seed_data, table, key):
    with (Path(seed_data) / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return sorted(row[key] for row in csv.DictReader(file))


# --- lookups -------------------------------------------------------------------------------------


def test_a_lookup_by_its_fields_gives_the_services_answer(shop, answered):
    found = shop.fits(**FRAME, in_stock=True, limit=3)
    assert found.fits[0].axle.thread == "M8x1.25"
    assert plain(found) == answered(FRAME | {"in_stock": True, "limit": 3})


def test_a_lookup_as_a_model_and_its_fields_beside_it_is_the_same(shop, answered):
    request = LookupRequest.model_validate(FRAME | {"limit": 5})
    assert plain(shop.fits(request, limit=2)) == answered(FRAME | {"limit": 2})
    assert plain(shop.fits(request)) == answered(FRAME | {"limit": 5})


def test_hundreds_of_readings_are_one_lookup_too(shop, answered):
    readings = [36 + n / 1000 for n in range(100)]
    fields = dict.fromkeys(("outside_width_mm", "far_wall_mm", "head_wall_mm", "inside_width_mm"), readings)
    assert plain(shop.fits(bore_mm=[8.0] * 100, **fields)) == answered({"bore_mm": [8.0] * 100} | fields)


def test_a_very_small_number_is_written_as_people_write_it(shop, answered):
    assert plain(shop.fits(**FRAME, recess_mm=0.00001)) == answered(FRAME | {"recess_mm": 0.00001})


def test_every_fault_of_a_lookup_is_told(shop):
    with pytest.raises(ProblemError) as told:
        shop.fits(outside_width_mm="36,4", bor_mm=8)
    assert told.value.problem.status == 422
    assert {fault.parameter for fault in told.value.problem.errors} == {"outside_width_mm", "bor_mm"}
    assert "36.4" in str(told.value)
    assert "did you mean bore_mm?" in str(told.value)


def test_a_known_frame_is_looked_up_axle_by_axle(shop):
    # Coltsfoot is 38.5 mm wide at the front and 35.5 mm at the rear.
    for position, width in enumerate((38.5, 37.5, 36.5, 35.5), start=1):
        found = shop.frame_fits("QH-COLTSFOOT", axle_position=position)
        assert found.frame.outside_width_mm.value == width
        assert shop.frame_fits("QH-COLTSFOOT", FrameLookupRequest(axle_position=position)) == found
    with pytest.raises(ProblemError, match="axle_position: 1 to 4"):
        shop.frame_fits("QH-COLTSFOOT")


# --- lists ---------------------------------------------------------------------------------------


def test_a_list_gives_every_axle_once_over_many_pages(shop, seed_data):
    wanted = keys_in(seed_data, "axles", "sku")
    assert [axle.sku for axle in shop.axles(limit=7)] == wanted
    assert [axle.sku for axle in shop.axles()] == wanted


def test_a_list_has_what_meets_every_condition(shop):
    request = AxleListRequest(fastening="two_piece", limit=3)
    found = list(shop.axles(request, driven_heads=1))
    assert len(found) > 3
    assert {(axle.fastening, axle.driven_heads) for axle in found} == {("two_piece", 1)}


def test_frames_and_sleeves_are_listed_too(shop, seed_data):
    assert [frame.code for frame in shop.frames(limit=2)] == keys_in(seed_data, "frames", "code")
    assert [sleeve.sku for sleeve in shop.sleeves()] == keys_in(seed_data, "sleeves", "sku")


# --- records -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "record",
    [
        AxleRecord(sku="T-1", name="One", fastening="two_piece", price=Decimal("4.90"), currency="EUR"),
        FrameRecord(code="T-1", name="One", wheels=4, outside_widths_mm=(36.4,)),
        SleeveRecord(sku="T-1", name="One", inner_mm=6.0, outer_mm=8.0, length_mm=24.0),
    ],
    ids=lambda record: type(record).__name__,
)
def test_a_record_is_made_read_changed_and_removed(shop, record):
    made = shop.put(record)
    assert made.record == record
    assert shop.get(type(record), "T-1") == made
    changed = shop.patch(made, name="Two")
    assert (changed.record.name, changed.etag != made.etag) == ("Two", True)
    assert shop.put(record, etag=changed.etag).etag == made.etag  # equal states are equal
    assert shop.delete(made) is None
    with pytest.raises(ProblemError, match="404"):
        shop.get(type(record), "T-1")


def test_a_record_that_has_moved_is_not_overwritten(shop):
    record = AxleRecord(sku="T-2", name="One", fastening="two_piece", stock=3)
    made = shop.put(record)
    sold = shop.patch(made, stock=2)
    for write in (lambda: shop.patch(made, stock=9), lambda: shop.delete(made), lambda: shop.put(record)):
        with pytest.raises(ProblemError) as told:
            write()
        assert (told.value.problem.status, told.value.attempts) == (412, 1)
    assert shop.get(AxleRecord, "T-2") == sold
    shop.delete(sold)


def test_a_patch_sends_money_exactly_and_takes_fields_away_with_none_alone(shop):
    made = shop.put(AxleRecord(sku="T-3", name="One", fastening="two_piece", stock=3, length_mm=36.0))
    priced = shop.patch(made, price=Decimal("0.10"), currency="EUR", stock=None)
    assert (priced.record.price, priced.record.stock) == (Decimal("0.10"), None)
    with pytest.raises(ProblemError, match="length_mm"):
        shop.patch(priced, length_mm=float("nan"))
    assert shop.get(AxleRecord, "T-3").record.length_mm == 36.0
    shop.delete(priced)


def test_a_key_with_signs_of_its_own_stays_one_step_of_the_path(shop):
    for odd in ("../frames", "a/b", "a?b", "%2e%2e", "ä"):
        with pytest.raises(ProblemError, match="404"):
            shop.get(AxleRecord, odd)


def test_without_a_key_nothing_is_written(connect, real_service):
    shop = connect(real_service.url)
    record = AxleRecord(sku="T-4", name="One", fastening="two_piece")
    for write in (lambda: shop.put(record), lambda: shop.delete(Stored(record, '"x"'))):
        with pytest.raises(ProblemError, match="401"):
            write()


# --- files and changes -----------------------------------------------------------------------------


def test_a_file_is_checked_imported_once_and_told_in_the_changes(shop, tmp_path):
    file = tmp_path / "sleeves.csv"
    rows = "".join(f"T-{n},Invented,6,8,24\n" for n in range(5))
    file.write_text("sku,name,inner_mm,outer_mm,length_mm\n" + rows, encoding="utf-8")
    checked = shop.import_csv("sleeves", file, dry_run=True)
    assert (checked.records, checked.dry_run) == (5, True)
    before = checked.catalogue_revision
    done = shop.import_csv("sleeves", file, idempotency_key=str(tmp_path))
    assert done.catalogue_revision == before + 1
    assert shop.import_csv("sleeves", file.read_bytes(), idempotency_key=str(tmp_path)) == done
    # More than one page, in order and without a gap.
    changed = list(shop.changes(before, limit=2))
    assert sorted(change.key for change in changed) == sorted(f"T-{n}" for n in range(5))
    assert {change.revision for change in changed} == {done.catalogue_revision}
    for n in range(5):
        shop.delete(shop.get(SleeveRecord, f"T-{n}"))


def test_a_file_with_faults_is_refused_with_all_of_them(shop):
    with pytest.raises(ProblemError) as told:
        shop.import_csv("axles", b"sku,name,fastening\n!,One,two_piece\nT-5,,glue\n")
    assert len(told.value.problem.errors) == 3


# --- sharing ---------------------------------------------------------------------------------------


def test_threads_may_share_a_client(real_service, seed_data):
    skus = keys_in(seed_data, "axles", "sku")[:5]
    answers = []
    with AxleFit(real_service.url, cache_size=3) as shop:

        def ask():
            answers.extend((sku, shop.get(AxleRecord, sku).record.sku) for sku in skus * 8)

        threads = [threading.Thread(target=ask) for _ in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    assert len(answers) == 8 * 8 * 5
    assert all(asked == told for asked, told in answers)
