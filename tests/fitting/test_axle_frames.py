"""The known frames that an axle fits: the lookups for these frames are the oracle."""

import pytest

from schemas.codes import Language
from schemas.lookup import FrameLookupRequest
from schemas.parts import FrameRecord
from schemas.replacements import AxleFramesRequest
from service.errors import CursorError, NotInCatalogueError
from service.fitting.axle_frames import alike_positions, frames_for
from service.fitting.known_frames import look_up_frame


@pytest.fixture
def frames_of(snapshot):
    def ask(sku, *, language=Language.ENGLISH, **fields):
        return frames_for(sku, AxleFramesRequest(**fields), snapshot, language=language)

    return ask


def frame(*, wheels=4, widths=(36.4,), brake=None):
    return FrameRecord(
        code="F", name="A frame", outside_widths_mm=widths, wheels=wheels, brake_position=brake
    )


@pytest.mark.parametrize(
    ("described", "positions"),
    [
        (frame(), [(1, 2, 3, 4)]),
        (frame(brake=4), [(1, 2, 3), (4,)]),
        (frame(widths=(38.0, 37.0, 37.0, 38.0)), [(1, 4), (2, 3)]),
        (frame(widths=(38.0, 37.0, 37.0, 38.0), brake=4), [(1,), (2, 3), (4,)]),
        (frame(wheels=1, brake=1), [(1,)]),
    ],
)
def test_axles_of_one_width_and_without_the_brake_are_alike(described, positions):
    assert alike_positions(described) == positions


SKUS = [
    "TW8-36-M8-BK",
    "TW8-38-M8-BR6",
    "TW8-36-M8-O100",
    "TP8-30-LARCH",
    "TP8-32-RD",
    "TW6-34-M6-BK",
    "BN8-50",
]


@pytest.mark.parametrize("sku", SKUS)
def test_each_axle_of_each_frame_is_judged_as_the_lookup_for_it_is(frames_of, snapshot, sku):
    found = {item.frame.code: item for item in frames_of(sku, rider_mass_kg=80, limit=100).items}
    assert found
    for code, known in snapshot.frames.items():
        told = {p: a for a in found[code].positions for p in a.axle_positions} if code in found else {}
        for position in range(1, known.wheels + 1):
            request = FrameLookupRequest(axle_position=position, rider_mass_kg=80, limit=100)
            fits = {fit.axle.sku: fit for fit in look_up_frame(code, request, snapshot).fits}
            listed = position in told and told[position].verdict != "no_fit"
            assert listed == (sku in fits), (code, position)
            if listed:
                alike, fit = told[position], fits[sku]
                assert (alike.verdict, alike.fit_probability) == (fit.verdict, fit.fit_probability)
                assert alike.reasons == fit.reasons
                assert alike.width_window_mm == fit.width_window_mm


@pytest.mark.parametrize("sku", SKUS)
def test_the_frames_are_ranked_by_verdict_and_probability(frames_of, sku):
    verdicts = ["fits", "fits_with_caution", "check_first"]
    items = frames_of(sku, limit=100).items
    order = [(verdicts.index(item.verdict), -round(item.fit_probability, 2)) for item in items]
    assert order == sorted(order)
    assert [item.rank for item in items] == list(range(1, len(items) + 1))
    for item in items:
        best = min(verdicts.index(a.verdict) for a in item.positions if a.verdict != "no_fit")
        assert verdicts[best] == item.verdict


def test_of_frames_as_good_the_one_goes_first_that_is_nearest_to_the_ideal_width(frames_of):
    items = frames_of("TW8-36-M8-BK", limit=100).items
    best = [item for item in items if item.verdict == "fits" and item.fit_probability == 1.0]
    off = [
        min(
            abs(reason.value - alike.ideal_width_mm)
            for alike in item.positions
            if (alike.verdict, alike.fit_probability) == ("fits", 1.0)
            for reason in alike.reasons
            if reason.check == "width"
        )
        for item in best
    ]
    assert len(best) > 3
    assert [round(mm, 1) for mm in off] == sorted(round(mm, 1) for mm in off)


def test_the_axles_of_a_tapering_frame_are_told_one_by_one(frames_of):
    # Coltsfoot is 38.5 mm wide at the front, then 37.5, 36.5 and 35.5 mm; an axle of 36 mm serves 35 mm on.
    (found,) = (i for i in frames_of("TW8-36-M8-BK", limit=100).items if i.frame.code == "QH-COLTSFOOT")
    assert [alike.axle_positions for alike in found.positions] == [[1], [2], [3], [4]]
    assert [alike.verdict == "no_fit" for alike in found.positions] == [True, False, False, False]
    assert any(reason.outcome == "fail" for reason in found.positions[0].reasons)


def test_a_keyed_axle_surely_fits_frames_of_its_family_only(frames_of):
    items = frames_of("TP8-30-LARCH", limit=100).items
    sure = {item.frame.keyed_profile for item in items if item.verdict != "check_first"}
    assert sure == {"larch"}


def test_an_axle_that_is_not_measured_has_a_note_in_place_of_frames(frames_of):
    found = frames_of("TW8-UNMEASURED")
    assert found.items == []
    assert "length_mm" in found.note


def test_the_pages_are_the_list_and_a_cursor_is_that_of_its_axle(frames_of):
    whole = [item.frame.code for item in frames_of("TW8-36-M8-BK", limit=100).items]
    first = frames_of("TW8-36-M8-BK", limit=2)
    second = frames_of("TW8-36-M8-BK", limit=2, cursor=first.next_cursor)
    assert [item.frame.code for item in (*first.items, *second.items)] == whole[:4]
    assert [item.rank for item in second.items] == [3, 4]
    with pytest.raises(CursorError):
        frames_of("TW8-38-M8-BK", limit=2, cursor=first.next_cursor)


def test_an_axle_that_is_not_there_is_said_to_be_missing(frames_of):
    with pytest.raises(NotInCatalogueError):
        frames_of("NOTHING")
