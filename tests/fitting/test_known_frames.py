"""The lookup for a frame of the table, at one of its axles."""

import pytest

from schemas.lookup import FrameLookupRequest
from schemas.parts import FrameRecord
from service.errors import AxlePositionError, NotInCatalogueError
from service.fitting.known_frames import look_up_frame, lookup_of

STRAIGHT = FrameRecord(
    code="STRAIGHT",
    name="A frame",
    fastening="threaded_wall",
    bore_mm=8,
    outside_widths_mm=[36.4],
    inside_width_mm=24.4,
    far_wall_mm=6,
    thread="M8x1.25",
    wheels=4,
    brake_position=4,
    brake_thread="M6x1",
)
TAPERING = STRAIGHT.model_copy(update={"outside_widths_mm": (38.0, 37.5, 37.0, 36.5)})


def lookup(frame, **fields):
    return lookup_of(frame, FrameLookupRequest(**fields))


@pytest.mark.parametrize("position", [None, 1, 4])
def test_a_straight_frame_has_one_width_at_every_axle(position):
    assert lookup(STRAIGHT, axle_position=position).outside_width_mm == (36.4,)


@pytest.mark.parametrize(("position", "width"), [(1, 38.0), (2, 37.5), (4, 36.5)])
def test_a_tapering_frame_has_the_width_of_its_axle(position, width):
    assert lookup(TAPERING, axle_position=position).outside_width_mm == (width,)


def test_a_tapering_frame_needs_the_axles_position():
    with pytest.raises(AxlePositionError) as caught:
        lookup(TAPERING)
    (fault,) = caught.value.faults
    assert (fault.path, fault.allowed) == (("axle_position",), "1 to 4, from the front")


@pytest.mark.parametrize("frame", [STRAIGHT, TAPERING], ids=["straight", "tapering"])
def test_an_axle_beyond_the_last_is_refused(frame):
    with pytest.raises(AxlePositionError) as caught:
        lookup(frame, axle_position=5)
    assert [fault.found for fault in caught.value.faults] == ["5"]


def test_the_brakes_position_asks_for_an_axle_with_the_brakes_thread():
    found = lookup(STRAIGHT, axle_position=4)
    assert (found.position, found.brake_thread) == ("brake", "M6x1")


@pytest.mark.parametrize("position", [None, 1, 3])
def test_another_position_asks_for_no_brake(position):
    found = lookup(STRAIGHT, axle_position=position)
    assert (found.position, found.brake_thread) == ("any", None)


def test_the_widths_count_as_declared_by_the_maker():
    assert lookup(STRAIGHT).instrument == "declared"


def test_the_inside_width_of_a_tapering_frame_is_not_taken_for_each_axle():
    assert lookup(STRAIGHT).inside_width_mm == (24.4,)
    assert lookup(TAPERING, axle_position=1).inside_width_mm is None


def test_what_the_table_does_not_know_of_the_frame_is_left_out():
    bare = FrameRecord(code="BARE", name="A frame", outside_widths_mm=[36.4], wheels=4)
    found = lookup(bare)
    assert (found.fastening, found.thread, found.bore_mm) == (None, None, None)


def test_the_rider_and_the_preferences_are_those_of_the_request():
    found = lookup(STRAIGHT, rider_mass_kg=82, prefer_colour="black", near_misses=7, limit=2)
    assert (found.rider_mass_kg, found.prefer_colour) == (82.0, "black")
    assert (found.near_misses, found.limit) == (7, 2)


def test_a_frame_that_the_table_does_not_have_is_said_to_be_missing(snapshot):
    with pytest.raises(NotInCatalogueError):
        look_up_frame("QH-NOTHING", FrameLookupRequest(), snapshot)


def test_at_the_brakes_position_only_axles_with_its_thread_are_listed(snapshot):
    found = look_up_frame("QH-ALDER", FrameLookupRequest(axle_position=4, limit=100), snapshot)
    assert {fit.axle.brake_thread for fit in found.fits} == {"M6x1"}


def test_at_another_position_an_axle_for_the_brake_never_simply_fits(snapshot):
    found = look_up_frame("QH-ALDER", FrameLookupRequest(axle_position=1, limit=100), snapshot)
    simply = [fit for fit in found.fits if fit.verdict == "fits"]
    assert simply
    assert [fit.axle.sku for fit in simply if fit.axle.brake_thread] == []


def test_the_front_and_the_rear_of_a_tapering_frame_take_different_axles(snapshot):
    # Coltsfoot is 38.5 mm wide at the front axle and 35.5 mm at the rear one.
    front, rear = (
        look_up_frame("QH-COLTSFOOT", FrameLookupRequest(axle_position=position), snapshot)
        for position in (1, 4)
    )
    assert front.frame.outside_width_mm.value == 38.5
    assert rear.frame.outside_width_mm.value == 35.5
    assert front.fits[0].axle.length_mm > rear.fits[0].axle.length_mm


def test_the_front_and_the_rear_of_every_frame_of_the_demonstration_have_a_fit_or_a_near_miss(snapshot):
    for code, frame in snapshot.frames.items():
        for position in (1, frame.wheels):
            found = look_up_frame(code, FrameLookupRequest(axle_position=position), snapshot)
            assert found.fits or found.near_misses, (code, position)
