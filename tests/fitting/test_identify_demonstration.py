"""Every part of the demonstration, measured with a calliper's error again and again, is found first."""

import pytest

from schemas.identify import IdentifyRequest
from service.engine.identify import identified
from service.fitting.old_axle import old_axle_of
from tests.fitting.old_axles import SEEN, SIZES, Counter, rows_of

DRAWS = 20
MEASURED = (*SIZES, *SEEN, "fastening", "shaft_mm", "length_mm", "grip_min_mm", "grip_max_mm", "thread",
            "offset_mm", "brake_thread")  # fmt: skip


@pytest.fixture(scope="module")
def rows(seed_data):
    return rows_of(seed_data / "axles.csv")


@pytest.fixture(scope="module")
def draws(snapshot, rows):
    """For each part the candidates of every draw, with its own among them."""

    def candidates_for(row, counter):
        request = IdentifyRequest(**counter.measured(row))
        return identified(old_axle_of(request, snapshot), snapshot.engine_axles)

    counters = [Counter(seed) for seed in range(DRAWS)]
    return [(row, [candidates_for(row, counter) for counter in counters]) for row in rows]


def alike(one, other):
    """Whether no column that is known of both, and can be measured or seen, differs."""
    known = [(one[c] or "0", other[c] or "0") if c == "offset_mm" else (one[c], other[c]) for c in MEASURED]
    differ = [(a, b) for a, b in known if a != b and "" not in {a, b}]
    brakes = one["brake_thread"] == other["brake_thread"]  # empty: there is none
    return not differ and brakes


def overlapping(one, other):
    """Whether both are known by their stated ranges alone, and the ranges meet."""
    ranges = [(row["grip_min_mm"], row["grip_max_mm"], row["barrel_mm"]) for row in (one, other)]
    if any(not low or barrel for low, _, barrel in ranges):
        return False
    (low, high, _), (other_low, other_high, _) = ranges
    return float(low) <= float(other_high) and float(other_low) <= float(high)


def test_the_part_itself_is_always_among_those_that_it_may_be(draws):
    missed = [row["sku"] for row, found in draws for same in found if not _own(row, same)]
    assert missed == []


def test_the_part_itself_is_the_most_probable_unless_two_stated_ranges_meet(draws, rows):
    for row, found in draws:
        if any(overlapping(row, other) for other in rows if other is not row):
            continue
        for same in found:
            (own,) = _own(row, same)
            assert own.probability >= same[0].probability - 1e-9, row["sku"]


def test_a_part_that_stands_alone_is_the_part_and_several_are_each_to_be_checked_first(draws):
    alone = several = 0
    for row, found in draws:
        for same in found:
            if len(same) > 1:
                several += 1
                assert {candidate.verdict.value for candidate in same} == {"check_first"}
            else:
                alone += 1
                assert same[0].axle.sku == row["sku"]
                assert same[0].verdict.value in {"fits", "fits_with_caution"}
    assert alone > several > 0


def test_parts_that_no_column_tells_apart_are_always_told_together(draws, rows):
    twins = 0
    for row, found in draws:
        expected = {
            other["sku"]
            for other in rows
            if all(row[c] == other[c] for c in MEASURED)  # to the last empty cell
        }
        twins += len(expected) > 1
        for same in found:
            assert expected <= {candidate.axle.sku for candidate in same}
    assert twins > 10


def test_a_part_that_a_column_tells_apart_is_never_taken_for_another(draws, rows):
    by_sku = {row["sku"]: row for row in rows}
    for row, found in draws:
        for same in found:
            for candidate in same:
                other = by_sku[candidate.axle.sku]
                assert alike(row, other) or overlapping(row, other), (row["sku"], other["sku"])


def test_a_sloppier_instrument_never_loses_the_part(snapshot, rows):
    counter = Counter(99)
    for row in rows:
        request = IdentifyRequest(**counter.measured(row), instrument="ruler")
        same = identified(old_axle_of(request, snapshot), snapshot.engine_axles)
        assert _own(row, same), row["sku"]


def _own(row, same):
    return [candidate for candidate in same if candidate.axle.sku == row["sku"]]
