"""An ordered mapping that never changes: what comes of changes, and what of the mapping before."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.catalogue import ordered
from service.catalogue.ordered import Ordered, in_blocks

KEYS = st.sampled_from([f"{letter}{digit}" for letter in "ABCDE" for digit in range(5)])
CHANGES = st.lists(st.dictionaries(KEYS, st.one_of(st.none(), st.integers())), max_size=8)


@pytest.fixture(autouse=True)
def _small_blocks(monkeypatch):
    monkeypatch.setattr(ordered, "_BLOCK", 3)


def applied(before, changes):
    """What a plain dict becomes by the changes, in the order of its keys."""
    after = {key: value for key, value in (before | changes).items() if value is not None}
    return dict(sorted(after.items()))


@given(CHANGES)
def test_it_holds_what_a_sorted_dict_would_hold_after_every_change(many):
    kept, plain = Ordered(), {}
    for changes in many:
        kept, plain = kept.changed(changes), applied(plain, changes)
        assert list(kept.items()) == list(plain.items())
        assert len(kept) == len(plain)
        assert list(kept.onward()) == list(plain.values())


@given(CHANGES, KEYS)
def test_a_key_is_found_or_it_is_not_there(many, key):
    kept, plain = Ordered(), {}
    for changes in many:
        kept, plain = kept.changed(changes), applied(plain, changes)
    assert kept.get(key) == plain.get(key)
    assert (key in kept) == (key in plain)


@given(st.dictionaries(KEYS, st.integers(), min_size=1), st.integers(0, 30))
def test_it_goes_on_from_any_place(entries, start):
    plain = dict(sorted(entries.items()))
    assert list(Ordered(in_blocks(plain)).onward(start)) == list(plain.values())[start:]


@given(st.dictionaries(KEYS, st.integers()), st.dictionaries(KEYS, st.one_of(st.none(), st.integers())))
def test_the_mapping_before_a_change_stays_as_it_was(entries, changes):
    plain = dict(sorted(entries.items()))
    before = Ordered(in_blocks(plain))
    before.changed(changes)
    assert dict(before) == plain


def test_a_change_leaves_all_blocks_but_one_the_same_objects():
    before = Ordered(in_blocks({f"A{number}": number for number in range(9)}))
    after = before.changed({"A4": 77})
    same = [one is two for one, two in zip(before.blocks, after.blocks, strict=True)]
    assert same == [True, False, True]


def test_a_block_that_has_grown_to_more_than_twice_its_size_is_divided():
    after = Ordered(in_blocks({"A": 0, "C": 0})).changed({f"B{number}": 1 for number in range(8)})
    assert [len(block.keys) for block in after.blocks] == [3, 3, 3, 1]
