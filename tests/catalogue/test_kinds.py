"""Kinds: one judgement serves all axles that differ only in what no judgement reads."""

from dataclasses import fields, replace
from itertools import chain, product

from hypothesis import given
from hypothesis import strategies as st

from schemas.lookup import LookupRequest
from service.catalogue.kinds import KIND_COLUMNS, OWN_COLUMNS
from service.catalogue.records import TABLES
from service.engine.codes import Check
from service.engine.judgement import judge
from service.engine.parts import Axle
from service.engine.ranking import tie_break
from service.fitting.translate import frame_of

OWN_FIELDS = {
    "sku": st.text(max_size=5),
    "drive": st.sampled_from(["hexagon_4", "slot", "cross_h2", None]),
    "colour": st.sampled_from(["black", "green", None]),
    "price_per_axle": st.one_of(st.none(), st.floats(0, 100)),
    "stock": st.one_of(st.none(), st.integers(0, 9)),
}
FRAMES = [
    {"outside_width_mm": 36.4, "fastening": "threaded_wall", "far_wall_mm": 6, "thread": "M8x1.25"},
    {"outside_width_mm": 33.2, "fastening": "two_piece", "recess_mm": 1, "keys_needed": 1, "bore_mm": 8},
    {"outside_width_mm": 35, "holes": "oval", "hole_offset_mm": 0.75, "rider_mass_kg": 95, "child": True},
    {"outside_width_mm": 30.5, "bore_mm": 6, "hub_width_mm": 24, "position": "brake", "brake_thread": "M6x1"},
    {"outside_width_mm": 44, "fastening": "bolt_and_nut", "keyed_profile": "larch", "inside_width_mm": 30},
]


def members(kind):
    """The axles of a kind, in its order."""
    return [kind.axle_at(place) for place in range(len(kind))]


@given(st.sampled_from(FRAMES), st.fixed_dictionaries(OWN_FIELDS))
def test_no_judgement_reads_what_axles_of_a_kind_differ_in(snapshot, asked, own):
    frame = frame_of(LookupRequest(**asked))
    for axle in snapshot.engine_axles:
        one = judge(axle, frame, snapshot.facts)
        other = judge(replace(axle, **own), frame, snapshot.facts)
        assert (one and one[1:]) == (other and other[1:])


def test_the_frames_above_make_every_check_speak(snapshot):
    frames = [frame_of(LookupRequest(**asked)) for asked in FRAMES]
    judged = [judge(axle, frame, snapshot.facts) for axle, frame in product(snapshot.engine_axles, frames)]
    spoken = {reason.check for one in judged if one for reason in one.reasons}
    of_the_frame_alone = {Check.READINGS_AGREE, Check.HUB_ROOM, Check.BORE_CLASS}
    assert spoken == set(Check) - of_the_frame_alone


def test_what_is_left_of_an_axle_is_the_same_in_all_axles_of_its_kind(snapshot):
    for kind in snapshot.kinds:
        for axle in members(kind):
            assert replace(axle, **dict.fromkeys(OWN_FIELDS)) == replace(kind.axle, sku=None)


def test_every_column_is_of_the_kind_or_an_axles_own():
    columns = TABLES["axles"].columns
    assert sorted(columns) == sorted([*KIND_COLUMNS, *OWN_COLUMNS])
    assert {f.name for f in fields(Axle)} - {*KIND_COLUMNS} == set(OWN_FIELDS)


def test_every_axle_is_in_one_kind_just_as_the_engine_sees_it(snapshot):
    found = sorted(chain.from_iterable(map(members, snapshot.kinds)), key=lambda axle: axle.sku)
    assert found == list(snapshot.engine_axles)


def test_no_two_kinds_have_the_same_columns(snapshot):
    assert len({kind.columns for kind in snapshot.kinds}) == len(snapshot.kinds)


def test_the_axles_of_a_kind_stand_in_the_order_of_equals(snapshot):
    for kind in snapshot.kinds:
        order = [tie_break(axle) for axle in members(kind)]
        assert order == sorted(order) == [kind.order_at(place) for place in range(len(kind))]
