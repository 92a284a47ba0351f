"""ISO 286 classes: which there are, where the bands part, and the clearance in a bearing."""

import pytest

from service.engine.tolerances import bearing_clearance_um, shaft_deviations_um

# --- bands and positions -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("nominal", "lower"),
    [
        (3.001, -8),
        (5.999, -8),
        (6.0, -8),  # "up to and including": of the band over 3 to 6 (ISO 286-1:2010, table 1)
        (6.001, -9),
        (6.3, -9),
        (8.0, -9),
        (10.0, -9),
    ],
)
def test_a_size_on_the_edge_of_two_bands_is_of_the_lower_one(nominal, lower):
    assert shaft_deviations_um(nominal, "h6") == (lower, 0)


@pytest.mark.parametrize("nominal", [0.0, 2.999, 3.0, 10.001, 50.0])
def test_a_size_outside_of_the_bands_is_refused(nominal):
    with pytest.raises(ValueError, match="over 3 to 10 mm"):
        shaft_deviations_um(nominal, "h6")


@pytest.mark.parametrize("grade", [0, 1, 4, 13, 18, 99])
def test_a_grade_outside_of_5_to_12_is_refused_with_those_that_there_are(grade):
    with pytest.raises(ValueError, match="grade from 5 to 12"):
        shaft_deviations_um(8.0, f"h{grade}")


@pytest.mark.parametrize("grade", [5, 12])
def test_the_grades_5_and_12_are_known(grade):
    # IT5 over 6 to 10 mm is 6 µm, IT12 is 150 µm (ISO 286-1:2010, table 1).
    assert shaft_deviations_um(8.0, f"h{grade}") == ({5: -6, 12: -150}[grade], 0)


@pytest.mark.parametrize("position", ["a", "b", "cd", "ef", "fg", "j", "t", "u", "za", "zz"])
def test_a_position_outside_of_the_tables_is_refused_with_those_that_there_are(position):
    with pytest.raises(ValueError, match="position from c to h, js, or from k to s"):
        shaft_deviations_um(8.0, f"{position}6")


@pytest.mark.parametrize(
    "written", ["", "h", "7", "7h", "H7", "JS6", "h6 ", " h6", "h-6", "h6.5", "hh7x", "h٦", "h06"]
)
def test_what_is_no_class_of_a_shaft_is_refused(written):
    # H7 is a hole; grades are written without a leading zero (IT01 and IT0 are others: ISO 286-1:2010, 4.1).
    with pytest.raises(ValueError, match="is expected"):
        shaft_deviations_um(8.0, written)


@pytest.mark.parametrize(
    ("grade", "limits"),
    [(5, (1, 7)), (6, (1, 10)), (7, (1, 16)), (8, (0, 22)), (9, (0, 36)), (11, (0, 90))],
)
def test_position_k_lies_above_nothing_in_grades_up_to_7_only(grade, limits):
    # ISO 286-1:2010, table 5: ei of k is 0 above grade 7; IT5 to IT11 of table 1.
    assert shaft_deviations_um(8.0, f"k{grade}") == limits


@pytest.mark.parametrize(
    ("name", "limits"), [("js6", (-4.5, 4.5)), ("js7", (-7.5, 7.5)), ("js8", (-11.0, 11.0))]
)
def test_position_js_is_half_the_tolerance_on_either_side_and_not_rounded(name, limits):
    assert shaft_deviations_um(8.0, name) == limits


# --- clearance in a bearing ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("nominal", "name", "least", "greatest"),
    [
        # The bore is 0/−8 µm (ISO 492:2014, Normal): least −8 − es, greatest 0 − ei.
        (8.0, "h6", -8, 9),
        (8.0, "g6", -3, 14),
        (8.0, "f7", 5, 28),
        (8.0, "f9", 5, 49),
        (8.0, "h9", -8, 36),
        (8.0, "h11", -8, 90),
        (8.0, "d11", 32, 130),  # d: −40, IT11: 90
        (8.0, "js6", -12.5, 4.5),
        (8.0, "m6", -23, -6),
        (6.0, "h6", -8, 8),
        (6.0, "f7", 2, 22),
    ],
)
def test_the_clearance_in_a_bearing_is_the_bore_less_the_shaft(nominal, name, least, greatest):
    assert bearing_clearance_um(nominal, name) == (least, greatest)


def test_a_class_that_does_not_exist_has_no_clearance():
    with pytest.raises(ValueError, match="is expected"):
        bearing_clearance_um(8.0, "wide")
