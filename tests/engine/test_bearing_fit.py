"""How the shaft goes into the bearing: by hand, tight, or with play.

The bore of a 608 is 8 mm, 0/−8 µm (ISO 15, ISO 492 Normal class); shafts by ISO 286-1, tables 1, 4 and 5.
More than 100 µm of play is felt: common practice, no source.
"""

import pytest

from service.engine.codes import Check, Outcome, Verdict


@pytest.mark.parametrize(
    ("name", "clearance", "says"),
    [
        ("f7", (5, 28), (Outcome.PASS, "bearing_fit_by_hand")),
        ("f9", (5, 49), (Outcome.PASS, "bearing_fit_by_hand")),
        ("d10", (32, 98), (Outcome.PASS, "bearing_fit_by_hand")),
        ("c7", (72, 95), (Outcome.PASS, "bearing_fit_by_hand")),
        ("c8", (72, 102), (Outcome.CAUTION, "bearing_fit_has_play")),
        ("d11", (32, 130), (Outcome.CAUTION, "bearing_fit_has_play")),
        ("g6", (-3, 14), (Outcome.CAUTION, "bearing_fit_may_be_tight")),
        ("h6", (-8, 9), (Outcome.CAUTION, "bearing_fit_may_be_tight")),
        ("h9", (-8, 36), (Outcome.CAUTION, "bearing_fit_may_be_tight")),
        ("h11", (-8, 90), (Outcome.CAUTION, "bearing_fit_may_be_tight")),
        ("m6", (-23, -6), (Outcome.CAUTION, "bearing_fit_may_be_tight")),
        ("h12", (-8, 150), (Outcome.CAUTION, "bearing_fit_tight_or_loose")),
    ],
)
def test_a_shaft_s_class_says_how_it_goes_into_the_bearing(
    threaded_axle, frame, reason, name, clearance, says
):
    found = reason(Check.BEARING_FIT, threaded_axle(shaft_tolerance=name), frame(36.4))
    assert (found.outcome, found.code) == says
    assert (found.facts["least_um"], found.facts["greatest_um"]) == clearance


def test_the_bearing_fit_s_reason_tells_the_least_clearance_and_its_limits_in_mm(
    threaded_axle, frame, reason
):
    found = reason(Check.BEARING_FIT, threaded_axle(shaft_tolerance="f7"), frame(36.4))
    assert found.value == pytest.approx(0.005)
    assert (found.minimum, found.maximum, found.unit) == (0.0, 0.10, "mm")
    assert found.facts["class"] == "f7"
    assert "ISO 286" in found.source
    assert "ISO 492" in found.source


def test_a_part_without_its_shaft_s_class_is_unknown_and_names_the_column(threaded_axle, frame, reason):
    found = reason(Check.BEARING_FIT, threaded_axle(shaft_tolerance=None), frame(36.4))
    assert found.outcome is Outcome.UNKNOWN
    assert found.facts["column"] == "shaft_tolerance"


@pytest.mark.parametrize("shaft", [6.0, 6.3])
def test_a_thin_shaft_sits_in_its_sleeve_and_not_in_the_bearing(threaded_axle, frame, reason, shaft):
    axle = threaded_axle(shaft_mm=shaft, shaft_tolerance="h9")
    assert reason(Check.BEARING_FIT, axle, frame(36.4)) is None


@pytest.mark.parametrize("kind", ["threaded_axle", "two_piece_axle", "bolt"])
def test_every_kind_of_axle_goes_through_a_bearing(request, kind, frame, reason):
    axle = request.getfixturevalue(kind)(shaft_tolerance="f7")
    assert reason(Check.BEARING_FIT, axle, frame(36.4)).outcome is Outcome.PASS


@pytest.mark.parametrize(
    ("name", "verdict"),
    [
        ("f7", Verdict.FITS),
        ("h6", Verdict.FITS_WITH_CAUTION),
        (None, Verdict.FITS),  # not among what must be known before one buys
    ],
)
def test_a_tight_bearing_is_a_caution_of_the_verdict_and_never_a_failure(
    threaded_axle, frame, judged, name, verdict
):
    assert judged(threaded_axle(shaft_tolerance=name), frame(36.4)).verdict is verdict
