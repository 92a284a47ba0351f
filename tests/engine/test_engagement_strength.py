"""How much of the thread carries, and whether it would strip before it is tight.

Shear areas per mm (FED-STD-H28/2B, 6H/6g): M8x1.25 16.827 internal, 12.164 external; M6x1 12.186 and 8.647;
M4x0.7 7.766 and 5.474. Shear strengths: 0.6·R_m of steel, 207 MPa of 6061-T6, 331 MPa of 7075-T6.
Preload of 4 N·m: 4000/(0.2·d) N.
"""

import pytest

from service.engine.codes import Check, Outcome, Verdict

# --- the reason: engaged length, turns, torques --------------------------------------------------


def test_the_engagement_tells_its_length_its_full_turns_and_the_torque_at_which_it_would_strip(
    threaded_axle, frame, reason
):
    found = reason(Check.ENGAGEMENT, threaded_axle(length_mm=36.0, thread="M8x1.25"), frame(36.4))
    # 36 − 1.25 − (36.4 − 6) = 4.35 mm; 4.35/1.25 = 3.48, so 3 full turns;
    # 0.2·8·16.827·207·4.35/1000 = 24.24 N·m.
    assert found.value == pytest.approx(4.35)
    assert found.unit == "mm"
    assert found.facts["turns"] == 3
    assert found.facts["strip_torque"] == pytest.approx(24.24, rel=1e-3)
    assert found.facts["assembly_torque"] == 4.0
    assert "FED-STD-H28" in found.source


@pytest.mark.parametrize(
    ("outside", "turns"),
    [
        (35.749, 4),  # 36 − 1.25 − (W − 6) = 5.001; 5.001/1.25 = 4.0008
        (35.75, 4),
        (35.751, 3),
        (36.999, 3),
        (37.0, 3),  # 3.75/1.25
        (37.001, 2),
        (37.9, 2),  # 2.85/1.25 = 2.28
    ],
)
def test_a_turn_counts_when_it_is_full(threaded_axle, frame, reason, outside, turns):
    found = reason(Check.ENGAGEMENT, threaded_axle(length_mm=36.0, thread="M8x1.25"), frame(outside))
    assert found.facts["turns"] == turns


@pytest.mark.parametrize(
    ("axle_material", "wall_material", "weaker"),
    [
        ("steel_8_8", "aluminium_6061_t6", 16.8274 * 207),
        ("steel_8_8", "aluminium_7075_t6", 16.8274 * 331),
        ("steel_8_8", "steel_8_8", 12.1636 * 480),
        ("aluminium_6061_t6", "steel_4_6", 12.1636 * 207),
        ("aluminium_7075_t6", "aluminium_6061_t6", 16.8274 * 207),  # 3483 < 12.1636·331 = 4026
        ("titanium_6al_4v", "aluminium_7075_t6", 16.8274 * 331),  # 5570 < 12.1636·550 = 6690
        ("stainless_a2_70", "aluminium_7075_t6", 12.1636 * 420),  # 5109 < 5570
    ],
)
def test_the_weaker_of_axle_and_wall_strips(
    threaded_axle, frame, reason, axle_material, wall_material, weaker
):
    axle, of_frame = threaded_axle(material=axle_material), frame(36.4, wall_material=wall_material)
    found = reason(Check.ENGAGEMENT, axle, of_frame)
    assert found.facts["strip_torque"] == pytest.approx(0.2 * 8.0 * weaker * 4.35 / 1e3, rel=1e-3)


def test_barrel_and_screw_are_of_one_material_and_the_screw_strips(two_piece_axle, plain_frame, reason):
    # 30 + 14 − 1 − 35 = 8 mm; 8.647·480 = 4150 < 12.186·480; 0.2·6·4150.4·8/1000 = 39.84 N·m.
    found = reason(Check.ENGAGEMENT, two_piece_axle(material="steel_8_8"), plain_frame(35.0))
    assert found.value == pytest.approx(8.0)
    assert found.facts["turns"] == 8
    assert found.facts["strip_torque"] == pytest.approx(39.84, rel=1e-3)


def test_the_wall_s_material_does_not_matter_to_a_barrel(two_piece_axle, plain_frame, reason):
    torques = {
        reason(Check.ENGAGEMENT, two_piece_axle(), plain_frame(35.0, wall_material=wall)).facts[
            "strip_torque"
        ]
        for wall in ("aluminium_6061_t6", "steel_12_9")
    }
    assert len(torques) == 1


def test_a_thread_of_unknown_material_counts_as_steel_4_6_and_the_reason_says_so(
    two_piece_axle, plain_frame, reason
):
    found = reason(Check.ENGAGEMENT, two_piece_axle(material=None), plain_frame(35.0))
    # 0.2·6·8.647·240·8/1000 = 19.92 N·m
    assert found.facts["strip_torque"] == pytest.approx(19.92, rel=1e-3)
    assert found.facts["remarks"] == ("material_taken_as_steel_4_6",)


def test_a_thread_of_known_material_takes_nothing_for_granted(two_piece_axle, plain_frame, reason):
    assert not reason(Check.ENGAGEMENT, two_piece_axle(), plain_frame(35.0)).facts.get("remarks")


def test_a_bolt_shows_turns_and_tells_no_torque(bolt, plain_frame, reason):
    found = reason(Check.ENGAGEMENT, bolt(), plain_frame(41.0))
    assert found.unit == "pitches"
    assert "strip_torque" not in found.facts


# --- the window: where the thread would strip too early ------------------------------------------


@pytest.mark.parametrize(
    ("axle_material", "wall_material", "least"),
    [
        # A wall of 5 mm and M6x1: e_0 = 5 − 1 = 4; 2·P = 2; 0.6·e_0 = 2.4.
        ("steel_12_9", "steel_8_8", 2.4),  # strip length 2·3333.3/(12.186·480) = 1.140
        ("steel_12_9", "aluminium_6061_t6", 2.6427),  # a soft wall: 6666.7/(12.186·207)
        ("aluminium_6061_t6", "steel_8_8", 3.7247),  # a soft axle: 6666.7/(8.6467·207)
        ("aluminium_6061_t6", "aluminium_6061_t6", 3.7247),
        (None, "steel_8_8", 3.2125),  # of unknown material: 6666.7/(8.6467·240)
    ],
)
def test_a_soft_axle_or_wall_needs_more_thread_and_serves_less_width(
    threaded_axle, frame, judged, axle_material, wall_material, least
):
    axle = threaded_axle(length_mm=36.0, thread="M6x1", material=axle_material)
    window = judged(axle, frame(35.8, thread="M6x1", far_wall_mm=5.0, wall_material=wall_material)).window
    assert window.least_engaged_mm == pytest.approx(least, rel=1e-3)
    # hi = L − P + t_f − e_min = 36 − 1 + 5 − e_min
    assert window.upper_mm == pytest.approx(40.0 - least, abs=0.004)
    # Nothing below the strip length is accepted: it is the caution's limit too where it exceeds 0.8·e_0.
    assert window.caution_engaged_mm == pytest.approx(max(3.2, least), rel=1e-3)


def test_a_coarse_thread_in_a_soft_wall_is_ruled_by_the_shares_of_the_wall(threaded_axle, frame, judged):
    # M8x1.25 of 8.8 in 6 mm of 6061-T6: strip length 5000/(16.827·207) = 1.435; 2·P = 2.5; 0.6·4.75 = 2.85.
    window = judged(threaded_axle(material="steel_8_8"), frame(36.0)).window
    assert window.least_engaged_mm == pytest.approx(2.85)
    assert window.upper_mm == pytest.approx(36.0 - 1.25 + 6.0 - 2.85)


@pytest.mark.parametrize(
    ("thread", "material", "least"),
    [
        ("M6x1", "steel_8_8", 2.0),  # 2·P; strip length 6666.7/(8.6467·480) = 1.606
        ("M6x1", "aluminium_7075_t6", 2.3293),  # 6666.7/(8.6467·331)
        ("M6x1", "aluminium_6061_t6", 3.7247),  # 6666.7/(8.6467·207)
        ("M4x0.7", "steel_8_8", 3.8059),  # 2·5000/(5.474·480)
        ("M4x0.7", "steel_4_6", 7.6117),  # 10000/(5.474·240)
        ("M4x0.7", None, 7.6117),
    ],
)
def test_a_soft_or_thin_screw_must_engage_over_its_strip_length(
    two_piece_axle, plain_frame, judged, thread, material, least
):
    window = judged(two_piece_axle(thread=thread, material=material), plain_frame(35.0)).window
    assert window.least_engaged_mm == pytest.approx(least, rel=1e-3)
    assert window.upper_mm == pytest.approx(30.0 + 14.0 - 1.0 - least, abs=0.008)


@pytest.mark.parametrize(
    ("grip", "outcome", "code"),
    [
        # The screw of 6061-T6 strips below 3.725 mm, and 0.8·6 = 4.8 are usual: 43 − G.
        (38.19, Outcome.PASS, "engagement_in_barrel"),
        (38.21, Outcome.CAUTION, "engagement_in_barrel_short"),
        (39.27, Outcome.CAUTION, "engagement_in_barrel_short"),
        (39.28, Outcome.CAUTION, "engagement_in_barrel_too_short"),
        (39.80, Outcome.FAIL, "engagement_in_barrel_too_short"),
    ],
)
def test_a_soft_screw_is_told_to_engage_too_little_where_it_would_strip(
    two_piece_axle, plain_frame, reason, grip, outcome, code
):
    found = reason(Check.ENGAGEMENT, two_piece_axle(material="aluminium_6061_t6"), plain_frame(grip))
    assert (found.outcome, found.code) == (outcome, code)


def test_at_the_end_of_its_window_a_soft_screw_strips_at_twice_the_assembly_torque(
    two_piece_axle, plain_frame, reason
):
    # Twice the preload needs twice the torque: 8 N·m at 43 − 3.7247 = 39.2753 mm.
    found = reason(Check.ENGAGEMENT, two_piece_axle(material="aluminium_6061_t6"), plain_frame(39.2753))
    assert found.facts["strip_torque"] == pytest.approx(8.0, rel=1e-3)


def test_the_same_axle_fits_a_hard_wall_and_not_a_soft_one(threaded_axle, frame, judged):
    # M6x1 of 12.9: hi = 40 − 2.4 = 37.6 in steel, 40 − 2.643 = 37.357 in 6061-T6.
    # u = √(0.05²/3 + 0.2²/3) = 0.119.
    axle = threaded_axle(length_mm=36.0, thread="M6x1", material="steel_12_9")
    in_steel, in_aluminium = (
        judged(axle, frame(37.1, thread="M6x1", far_wall_mm=5.0, wall_material=wall))
        for wall in ("steel_8_8", "aluminium_6061_t6")
    )
    # 0.5/0.119 = 4.2 and 0.257/0.119 = 2.16 standard uncertainties: both fit in width.
    assert in_steel.fit_probability > in_aluminium.fit_probability > 0.95
    too_wide_for_aluminium = frame(37.55, thread="M6x1", far_wall_mm=5.0, wall_material="aluminium_6061_t6")
    # 37.55 − 37.357 = 0.193: Φ(−1.62) = 0.053; in steel Φ(0.42) = 0.66.
    assert judged(axle, too_wide_for_aluminium).fit_probability == pytest.approx(0.053, abs=0.001)
    assert judged(axle, frame(37.7, thread="M6x1", far_wall_mm=5.0)).verdict is Verdict.NO_FIT
