"""Matters of the frame alone; facts of the trade: common practice, no source."""

import pytest

from service.engine.codes import Check, Outcome
from service.engine.frame_notes import frame_notes
from service.engine.probability import measured_bore, nominal_bore


@pytest.fixture
def note():
    """The one note that a check makes of a frame; None where it makes none."""

    def build(check, frame):
        found = [n for n in frame_notes(frame) if n.check is check]
        assert len(found) <= 1
        return found[0] if found else None

    return build


@pytest.mark.parametrize(
    ("outside", "outcome", "gap"),
    [
        (36.40, Outcome.PASS, 0.0),
        (36.45, Outcome.PASS, 0.05),  # within the uncertainty of one reading
        (36.57, Outcome.PASS, 0.17),
        (36.58, Outcome.CAUTION, 0.18),
        (36.23, Outcome.PASS, -0.17),
        (36.22, Outcome.CAUTION, -0.18),
    ],
)
def test_widths_that_do_not_add_up_are_a_caution_that_names_the_gap(frame, note, outside, outcome, gap):
    # 24.4 + 6 + 6 = 36.4; read with a calliper, 3·√(4·0.05²/3) = 0.1732 can be explained.
    found = note(Check.READINGS_AGREE, frame(outside, inside_mm=24.4, head_wall_mm=6.0, far_wall_mm=6.0))
    assert found.outcome is outcome
    assert found.value == pytest.approx(gap)


def test_of_three_widths_it_cannot_be_said_whether_they_agree(frame, note):
    assert note(Check.READINGS_AGREE, frame(36.4, inside_mm=24.4)) is None


@pytest.mark.parametrize(
    ("inside", "outcome"),
    [
        (24.40, Outcome.PASS),
        (23.91, Outcome.PASS),
        (23.90, Outcome.PASS),  # a tenth of a mm less than the wheel
        (23.89, Outcome.FAIL),
        (24.99, Outcome.PASS),
        (25.00, Outcome.PASS),
        (25.01, Outcome.CAUTION),  # frame washers seem to be missing
    ],
)
def test_a_wheel_of_24_mm_over_its_bearings_has_room_but_not_too_much(frame, note, inside, outcome):
    assert note(Check.HUB_ROOM, frame(36.4, inside_mm=inside)).outcome is outcome


@pytest.mark.parametrize(
    ("hub", "outcome"), [(22.0, Outcome.CAUTION), (24.0, Outcome.PASS), (26.0, Outcome.FAIL)]
)
def test_the_room_is_that_of_the_wheel_in_hand(frame, note, hub, outcome):
    assert note(Check.HUB_ROOM, frame(36.4, inside_mm=24.4, hub_width_mm=hub)).outcome is outcome


def test_the_room_is_what_the_inside_width_exceeds_the_hub_by(frame, note):
    assert note(Check.HUB_ROOM, frame(36.4, inside_mm=24.4)).value == pytest.approx(0.4)


def test_the_room_counts_the_inside_width_that_follows_from_the_walls(frame, note):
    found = note(Check.HUB_ROOM, frame(36.4, head_wall_mm=5.5, far_wall_mm=6.0))
    assert found.value == pytest.approx(0.9)  # 36.4 − 5.5 − 6 − 24


def test_without_an_inside_width_nothing_is_said_about_room(frame, note):
    assert note(Check.HUB_ROOM, frame(36.4)) is None


@pytest.mark.parametrize(
    ("reading", "outcome"),
    [
        (6.000, Outcome.PASS),
        (6.117, Outcome.PASS),  # 95 % for class 6 at 6.1173, see the bore's check
        (6.118, Outcome.CAUTION),
        (6.150, Outcome.CAUTION),
        (7.200, Outcome.FAIL),
        (8.050, Outcome.PASS),
    ],
)
def test_a_measured_bore_is_said_to_be_of_a_class_of_either_or_of_none(frame, read, note, reading, outcome):
    assert note(Check.BORE_CLASS, frame(36.4, bore=measured_bore(read(reading)))).outcome is outcome


@pytest.mark.parametrize("bore", [nominal_bore(8.0), None])
def test_of_a_bore_that_was_not_measured_nothing_is_said(frame, note, bore):
    assert note(Check.BORE_CLASS, frame(36.4, bore=bore)) is None
