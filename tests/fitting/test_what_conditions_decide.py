"""A condition of a lookup decides certain checks and no other: what relaxing it may rely on."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.lookup import MeasuredFrame
from service.errors import InvalidRequestError
from service.fitting.lookup import judge_all
from service.fitting.relaxations import DECIDES
from service.fitting.translate import frame_of

CONDITIONS = {
    "fastening": st.sampled_from([None, "threaded_wall", "two_piece", "bolt_and_nut"]),
    "outside_width_mm": st.floats(20, 60),
    "inside_width_mm": st.none() | st.floats(5, 40),
    "head_wall_mm": st.none() | st.floats(1, 9),
    "far_wall_mm": st.none() | st.floats(1, 9),
    "bore_mm": st.sampled_from([None, 6, 6.3, 8, 7.1]),
    "thread": st.sampled_from([None, "M8x1.25", "M8x1", "M6x1"]),
    "recess_mm": st.none() | st.floats(0, 4),
    "holes": st.sampled_from([None, "round", "oval"]),
    "hole_offset_mm": st.sampled_from([None, 0.5, 1, 2]),
    "keyed_profile": st.sampled_from([None, "none", "larch", "oak"]),
    "keys_needed": st.sampled_from([None, 1, 2]),
    "position": st.sampled_from(["any", "brake"]),
    "brake_thread": st.sampled_from([None, "M6x1", "M5x0.8"]),
}
ONLY_WITH = {"hole_offset_mm": {"holes": "oval"}, "brake_thread": {"position": "brake"}}
SAFETY = {"instrument", "wall_material", "rider_mass_kg", "child", "hub_width_mm"}


def test_every_condition_of_a_frame_is_one_that_may_be_relaxed_but_for_facts_of_safety():
    assert set(DECIDES) == set(CONDITIONS) == set(MeasuredFrame.model_fields) - SAFETY


@pytest.mark.parametrize("field", CONDITIONS)
@settings(max_examples=25)
@given(data=st.data())
def test_another_value_of_a_condition_changes_no_check_but_its_own(snapshot, field, data):
    fields = data.draw(st.fixed_dictionaries(CONDITIONS)) | ONLY_WITH.get(field, {})
    other = fields | {field: data.draw(CONDITIONS[field])}
    before, after = outcomes(fields, snapshot), outcomes(other, snapshot)
    for sku in set(before) & set(after):
        differ = {check for check, outcome in (before[sku].items() ^ after[sku].items())}
        # What was never a failure, before or after, keeps nobody out.
        failed = {check for check in differ if "fail" in {before[sku].get(check), after[sku].get(check)}}
        assert failed <= DECIDES[field]


def outcomes(fields, snapshot):
    """What each check says of each axle; nothing for a frame that cannot be."""
    if fields["holes"] != "oval":
        fields = fields | {"hole_offset_mm": None}
    if fields["position"] != "brake":
        fields = fields | {"brake_thread": None}
    try:
        frame = frame_of(MeasuredFrame(**fields))
    except InvalidRequestError:
        return {}
    judged = judge_all(snapshot.engine_axles, frame, snapshot)
    return {j.axle.sku: {reason.check: reason.outcome for reason in j.reasons} for j in judged}
