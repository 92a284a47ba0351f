"""The lengths of a drawing's shapes, measured in its XML, are the numbers of the lookup's answer."""

import pytest

from schemas.lookup import LookupRequest
from service.fitting.drawing.answer import drawing_answer
from service.fitting.drawing.sheet import fit_drawing
from service.fitting.lookup import look_up
from tests.fitting.drawn import Drawn, random_drawings

WITHIN_MM = 0.05
COUNT = 200


class Case:
    """A drawing, and what the lookup says of the same axle in the same frame."""

    def __init__(self, request, snapshot):
        fields = request.model_dump(exclude={"sku"}, exclude_unset=True)
        self.request = request
        self.record = snapshot.axles[request.sku]
        self.answer = look_up(LookupRequest(**fields, limit=100, near_misses=20), snapshot)
        listed = [*self.answer.fits, *self.answer.near_misses]
        self.listed = next((entry for entry in listed if entry.axle.sku == request.sku), None)
        self.fit = self.listed if hasattr(self.listed, "verdict") else None
        self.drawn = Drawn(fit_drawing(drawing_answer(request, snapshot)))

    @property
    def width(self):
        return self.answer.frame.outside_width_mm

    def reason(self, check):
        reasons = self.listed.reasons if self.listed else []
        return next((reason for reason in reasons if reason.check == check), None)


@pytest.fixture(scope="module")
def cases(snapshot):
    requests = random_drawings(list(snapshot.axles.values()), COUNT, seed=129)
    return [Case(request, snapshot) for request in requests]


def assert_dimension(case, name, expected):
    """The dimension says the number, and its line is as long."""
    dimension = case.drawn.dimension(name)
    assert dimension is not None, (name, case.request)
    assert dimension.says == pytest.approx(expected, abs=WITHIN_MM), (name, case.request)
    assert dimension.measures == pytest.approx(expected, abs=WITHIN_MM), (name, case.request)


def test_there_are_enough_answers_of_each_kind_to_compare_with(cases):
    assert sum(case.fit is not None for case in cases) > 30
    assert sum(case.listed is not None and case.fit is None for case in cases) > 30
    assert {case.record.fastening for case in cases} == {"threaded_wall", "two_piece", "bolt_and_nut"}


def test_the_outside_width_is_that_of_the_answer_and_the_walls_stand_as_far_apart(cases):
    for case in cases:
        assert_dimension(case, "outside_width_mm", case.width.value)
        head, far = (case.drawn.box(name, "polygon") for name in ("head_wall", "far_wall"))
        assert far[2] - head[0] == pytest.approx(case.width.value, abs=WITHIN_MM)
        assert (head[0], far[2]) == pytest.approx(case.drawn.dimension("outside_width_mm").ends)
        for wall, name in ((head, "head_wall_mm"), (far, "far_wall_mm")):
            if dimension := case.drawn.dimension(name):
                assert wall[2] - wall[0] == pytest.approx(dimension.says, abs=WITHIN_MM)


def test_walls_and_inside_width_together_are_the_outside_width(cases):
    for case in cases:
        known = [case.drawn.dimension(name) for name in ("head_wall_mm", "inside_width_mm", "far_wall_mm")]
        if all(known):
            assert sum(d.measures for d in known) == pytest.approx(case.width.value, abs=WITHIN_MM)


def test_a_width_that_was_not_measured_has_no_dimension(cases):
    unmeasured = [case for case in cases if case.request.inside_width_mm is None]
    two_walls = [c for c in unmeasured if c.request.head_wall_mm and c.request.far_wall_mm]
    assert two_walls
    for case in unmeasured:
        assert (case.drawn.dimension("inside_width_mm") is not None) == (case in two_walls)


def test_the_engaged_length_is_that_of_the_answer(cases):
    compared = 0
    for case in cases:
        reason = case.reason("engagement")
        if reason is None or reason.value is None or reason.unit != "mm":
            continue
        assert_dimension(case, "engaged_mm", reason.value)
        if reason.value > 0:
            left, _, right, _ = case.drawn.box("engaged")
            assert right - left == pytest.approx(reason.value, abs=WITHIN_MM)
            compared += 1
    assert compared > 30


def test_the_turns_that_engage_lie_where_axle_and_counterpart_overlap(cases):
    compared = 0
    for case in cases:
        reason = case.reason("engagement")
        if case.record.fastening != "two_piece" or reason is None or not reason.value:
            continue
        screw, engaged = case.drawn.dimension("screw_mm"), case.drawn.box("engaged")
        barrel = case.drawn.dimension("barrel_mm")
        assert engaged[0] >= screw.ends[0] - WITHIN_MM
        assert engaged[2] <= barrel.ends[1] - case.record.barrel_mouth_mm + WITHIN_MM
        compared += 1
    assert compared > 10


def test_an_axles_own_lengths_are_those_of_the_catalogue(cases):
    for case in cases:
        record = case.record
        if record.shaft_mm is not None:
            assert_dimension(case, "shaft_mm", record.shaft_mm)
        if record.fastening == "two_piece":
            assert_dimension(case, "grip_mm", case.width.value - (case.request.recess_mm or 0))
            for name in ("barrel_mm", "screw_mm"):
                if getattr(record, name) is not None:
                    assert_dimension(case, name, getattr(record, name))
        elif record.length_mm is not None:
            assert_dimension(case, "length_mm", record.length_mm)
            left, _, right, _ = case.drawn.box("length")
            assert right - left == pytest.approx(record.length_mm, abs=WITHIN_MM)


def test_the_band_is_the_width_window_on_its_scale(cases):
    compared = 0
    for case in cases:
        if case.fit is None:
            continue
        window, ((band, _),) = case.fit.width_window_mm, case.drawn.named("width_window")
        scale = float(band.get("data-scale"))
        left, _, right, _ = case.drawn.box("window")
        assert (right - left) / scale == pytest.approx(window.max - window.min, abs=WITHIN_MM)
        ideal = (case.drawn.box("ideal_width")[0] - left) / scale + window.min
        assert ideal == pytest.approx(case.fit.ideal_width_mm, abs=WITHIN_MM)
        start, _, end, _ = case.drawn.box("uncertainty")
        measured = ((start + end) / 2 - left) / scale + window.min
        assert measured == pytest.approx(case.width.value, abs=WITHIN_MM)
        assert (end - start) / scale == pytest.approx(4 * case.width.standard_uncertainty, abs=WITHIN_MM)
        compared += 1
    assert compared > 30


def test_the_head_says_the_verdict_and_the_probability_of_the_answer(cases):
    signs = {"fits": "tick", "fits_with_caution": "triangle", "check_first": "lozenge"}
    for case in cases:
        if case.fit is not None:
            sign = case.drawn.named("sign")[0][0]
            assert sign.get("data-kind") == signs[case.fit.verdict]
            assert case.fit.verdict.replace("_", " ") in case.drawn.texts()
        elif case.listed is not None:
            assert case.drawn.named("sign")[0][0].get("data-kind") == "cross"
            assert "does not fit" in case.drawn.texts()


def test_every_reason_that_did_not_pass_stands_on_the_sheet_in_its_own_words(cases):
    for case in cases:
        if case.listed is not None:
            written = " ".join(case.drawn.texts())
            for reason in case.listed.reasons:
                assert (reason.text in written) == (reason.outcome != "pass"), reason
