"""Whether the shaft bears the rider: reserve = yield·Z/M.

Inside 24.5 mm, walls of 6 mm: a = 6/2 + 0.5/2 + 7/2 = 6.75 mm, so that a rider of m kg bends it with
M = 3·m·9.80665/2·6.75 = 99.2923·m N·mm (dynamic factor 3: common practice, no source).
"""

import pytest

from service.engine.codes import Check, Outcome, Verdict

MOMENT_PER_KG = 99.2923
SOLID = {6.0: 21.2058, 6.3: 24.5483, 8.0: 50.2655}
"""Section moduli π·d³/32 [mm³]."""


@pytest.fixture
def of_frame(frame):
    """A frame of which inside width and walls are known."""

    def build(**changes):
        usual = {"inside_mm": 24.5, "head_wall_mm": 6.0, "far_wall_mm": 6.0, "rider_mass_kg": 100.0}
        return frame(36.5, **(usual | changes))

    return build


# --- reserve -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("shaft_and_material", "reserve", "outcome"),
    [
        ((6.0, "steel_8_8"), 1.37, Outcome.CAUTION),  # 640·21.2058/9929.23 = 1.3669
        ((8.0, "steel_8_8"), 3.24, Outcome.PASS),  # 640·50.2655/9929.23 = 3.2399
        ((8.0, "steel_4_6"), 1.21, Outcome.CAUTION),  # 240·50.2655/9929.23 = 1.2150
        ((8.0, "aluminium_6061_t6"), 1.40, Outcome.CAUTION),  # 276·50.2655/9929.23 = 1.3972
        ((8.0, "aluminium_7075_t6"), 2.55, Outcome.PASS),  # 503·50.2655/9929.23 = 2.5464
        ((8.0, "titanium_6al_4v"), 4.19, Outcome.PASS),  # 828·50.2655/9929.23 = 4.1917
        ((6.0, "steel_4_6"), 0.51, Outcome.FAIL),  # 240·21.2058/9929.23 = 0.5126
        ((6.3, "steel_8_8"), 1.58, Outcome.PASS),  # 640·24.5483/9929.23 = 1.5823
    ],
)
def test_a_shaft_has_the_reserve_of_its_thickness_and_material(
    threaded_axle, of_frame, reason, shaft_and_material, reserve, outcome
):
    shaft, material = shaft_and_material
    found = reason(Check.BENDING, threaded_axle(shaft_mm=shaft, material=material), of_frame())
    assert found.value == pytest.approx(reserve, abs=0.0055)
    assert found.outcome is outcome


@pytest.mark.parametrize(
    ("mass", "outcome", "code"),
    [
        # 640·21.2058/99.2923 = 136.684 kg leave a reserve of 1, 91.123 kg one of 1.5.
        (91.0, Outcome.PASS, "bending_has_reserve"),
        (91.1, Outcome.PASS, "bending_has_reserve"),
        (91.2, Outcome.CAUTION, "bending_has_little_reserve"),
        (136.6, Outcome.CAUTION, "bending_has_little_reserve"),
        (136.7, Outcome.FAIL, "bending_has_no_reserve"),
        (200.0, Outcome.FAIL, "bending_has_no_reserve"),
    ],
)
def test_a_thin_shaft_passes_is_a_caution_and_fails_as_the_rider_grows_heavier(
    threaded_axle, of_frame, reason, mass, outcome, code
):
    axle = threaded_axle(shaft_mm=6.0, material="steel_8_8")
    found = reason(Check.BENDING, axle, of_frame(rider_mass_kg=mass))
    assert (found.outcome, found.code) == (outcome, code)


def test_a_bending_reserve_tells_the_rider_s_mass_and_the_mass_that_the_shaft_bears(
    threaded_axle, of_frame, reason
):
    axle = threaded_axle(shaft_mm=6.0, material="steel_8_8")
    found = reason(Check.BENDING, axle, of_frame(rider_mass_kg=150.0))
    assert found.minimum == 1.5
    assert found.facts["mass"] == 150.0
    assert found.facts["bears"] == pytest.approx(136.684, abs=0.001)


def test_an_axle_that_would_bend_does_not_fit(threaded_axle, of_frame, judged):
    axle = threaded_axle(shaft_mm=8.0, material="steel_4_6")
    # 240·50.2655/(99.2923·m) = 1 at m = 121.50 kg.
    assert judged(axle, of_frame(rider_mass_kg=122.0)).verdict is Verdict.NO_FIT
    assert judged(axle, of_frame(rider_mass_kg=121.0)).verdict is not Verdict.NO_FIT


def test_a_barrel_is_weaker_by_its_bore(two_piece_axle, of_frame, reason):
    # D1 of M6 is 4.9175 (ISO 724): Z = π·(8⁴ − 4.9175⁴)/256 = π·(4096 − 584.76)/256 = 43.0895.
    found = reason(Check.BENDING, two_piece_axle(material="steel_8_8", thread="M6x1"), of_frame())
    assert found.value == pytest.approx(640.0 * 43.0895 / (100.0 * MOMENT_PER_KG), rel=1e-4)


@pytest.mark.parametrize("kind", ["threaded_axle", "bolt"])
def test_an_axle_that_is_no_barrel_is_solid_whatever_its_thread(request, kind, of_frame, reason):
    axle = request.getfixturevalue(kind)(material="steel_8_8", thread="M6x1")
    expected = 640.0 * SOLID[8.0] / (100.0 * MOMENT_PER_KG)
    assert reason(Check.BENDING, axle, of_frame()).value == pytest.approx(expected, rel=1e-5)


# --- the lever -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("outside", "widths", "lever"),
    [
        (36.5, {"inside_mm": 24.5, "head_wall_mm": 6.0, "far_wall_mm": 6.0}, 6.75),
        (36.5, {"inside_mm": 24.5, "head_wall_mm": 5.0, "far_wall_mm": 7.0}, 6.75),  # their mean is 6
        (36.5, {"inside_mm": 24.5, "head_wall_mm": 7.0, "far_wall_mm": 5.0}, 6.75),
        (34.5, {"inside_mm": 24.5, "head_wall_mm": 5.0, "far_wall_mm": 5.0}, 6.25),  # 5/2 + 0.25 + 3.5
        (37.0, {"inside_mm": 25.0, "head_wall_mm": 6.0, "far_wall_mm": 6.0}, 7.0),  # 3 + 0.5 + 3.5
        (35.9, {"inside_mm": 23.9, "head_wall_mm": 6.0, "far_wall_mm": 6.0}, 6.5),  # no room counts as none
        (36.5, {"far_wall_mm": 5.0}, 6.25),  # one wall stands for both; usual room 0.5
        (36.5, {"head_wall_mm": 7.0, "far_wall_mm": None}, 7.25),
        (36.5, {"far_wall_mm": None}, 6.75),  # walls of 6, usual room 0.5: common practice, no source
        (36.5, {"inside_mm": 24.5, "far_wall_mm": None}, 6.75),
        (36.5, {"inside_mm": 25.5, "far_wall_mm": 5.0}, 7.0),  # the head wall follows: 6; 5.5/2 + 0.75 + 3.5
    ],
)
def test_the_lever_reaches_from_mid_wall_to_the_middle_of_the_bearing(
    threaded_axle, frame, reason, outside, widths, lever
):
    axle, of_frame = threaded_axle(material="steel_8_8"), frame(outside, rider_mass_kg=100.0, **widths)
    expected = 640.0 * SOLID[8.0] / (3.0 * 100.0 * 9.80665 / 2.0 * lever)
    assert reason(Check.BENDING, axle, of_frame).value == pytest.approx(expected, rel=1e-5)


def test_a_narrower_hub_leaves_more_room_and_a_longer_lever(threaded_axle, of_frame, reason):
    # Hub 22: a = 3 + 2.5/2 + 3.5 = 7.75.
    found = reason(Check.BENDING, threaded_axle(material="steel_8_8"), of_frame(hub_width_mm=22.0))
    assert found.value == pytest.approx(640.0 * SOLID[8.0] / (3.0 * 100.0 * 9.80665 / 2.0 * 7.75), rel=1e-5)


# --- what was taken for granted ------------------------------------------------------------------


def test_a_reserve_of_what_is_all_known_takes_nothing_for_granted(threaded_axle, of_frame, reason):
    assert reason(Check.BENDING, threaded_axle(), of_frame()).facts["remarks"] == ()


@pytest.mark.parametrize(
    ("changes", "remarks"),
    [
        ({"rider_mass_kg": None}, ("rider_mass_taken_as_100_kg",)),
        ({"inside_mm": None}, ("hub_room_taken_as_usual",)),
        ({"inside_mm": None, "head_wall_mm": None}, ("hub_room_taken_as_usual",)),
        ({"head_wall_mm": None, "far_wall_mm": None}, ("wall_taken_as_6_mm",)),
        ({"head_wall_mm": None}, ()),  # it follows from the three others
    ],
)
def test_what_was_not_given_of_the_frame_is_taken_as_usual_and_said(
    threaded_axle, frame, reason, changes, remarks
):
    given = {"inside_mm": 24.5, "head_wall_mm": 6.0, "far_wall_mm": 6.0, "rider_mass_kg": 80.0} | changes
    if changes == {"inside_mm": None}:
        given["head_wall_mm"] = None  # else the inside width follows
    assert reason(Check.BENDING, threaded_axle(), frame(36.5, **given)).facts["remarks"] == remarks


def test_a_rider_whose_mass_was_not_given_counts_as_100_kg(threaded_axle, of_frame, reason):
    given, not_given = (
        reason(Check.BENDING, threaded_axle(), of_frame(rider_mass_kg=mass)) for mass in (100.0, None)
    )
    assert not_given.value == given.value


def test_an_axle_of_unknown_material_counts_as_steel_4_6_and_the_reason_says_so(
    threaded_axle, of_frame, reason
):
    unknown = reason(Check.BENDING, threaded_axle(material=None), of_frame())
    assert unknown.value == reason(Check.BENDING, threaded_axle(material="steel_4_6"), of_frame()).value
    assert unknown.facts["remarks"] == ("material_taken_as_steel_4_6",)


# --- what the part lacks -------------------------------------------------------------------------


def test_a_part_without_its_shaft_is_unknown_and_names_the_column(threaded_axle, of_frame, reason):
    found = reason(Check.BENDING, threaded_axle(shaft_mm=None), of_frame())
    assert found.outcome is Outcome.UNKNOWN
    assert found.facts["column"] == "shaft_mm"


def test_a_barrel_of_unknown_thread_is_of_unknown_bore_and_names_the_column(stated_axle, of_frame, reason):
    found = reason(Check.BENDING, stated_axle(thread=None), of_frame())
    assert found.outcome is Outcome.UNKNOWN
    assert found.facts["column"] == "thread"


def test_a_barrel_whose_thread_would_leave_no_wall_is_a_fault_of_its_thread(two_piece_axle, of_frame, reason):
    # D1 of M10 is 8.376 mm (ISO 724), more than the shaft's 8 mm.
    found = reason(Check.BENDING, two_piece_axle(thread="M10"), of_frame())
    assert found.outcome is Outcome.UNKNOWN
    assert found.facts["column"] == "thread"


def test_a_bolt_of_unknown_thread_is_solid_all_the_same(threaded_axle, of_frame, reason):
    assert reason(Check.BENDING, threaded_axle(thread=None), of_frame()).outcome is Outcome.PASS
