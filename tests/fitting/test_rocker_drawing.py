"""The stances of a rocker as drawn: wheels to scale on the ground, with the same numbers as the answer."""

import random
from math import atan2, degrees, hypot

import pytest

from schemas.codes import Language
from schemas.drawings import RockerDrawingRequest
from service.fitting.drawing.rocker_sheet import rocker_drawing
from service.fitting.rockers import answer_rocker
from tests.fitting.drawn import SVG, Drawn, box_of

WITHIN_MM = 0.05


@pytest.fixture(scope="module")
def answer_of(snapshot):
    def make(language=Language.ENGLISH, **fields):
        return answer_rocker(RockerDrawingRequest(**fields).rocker, snapshot, language=language)

    return make


def random_rockers(count):
    """Wheels of about one size at small heights; the same on every machine."""
    drawn = random.Random(80)  # noqa: S311 (draws examples, guards nothing)
    for _ in range(count):
        wheels = drawn.randint(2, 6)
        yield {
            "axle_positions_mm": [n * 86 for n in range(wheels)],
            "wheel_diameters_mm": [drawn.choice([76, 78, 80, 84]) for _ in range(wheels)],
            "offsets_mm": [drawn.choice([-1, 0, 0.75, 1]) for _ in range(wheels)],
        }


def stances_in(drawing):
    """For each stance its wheels as circles: middle along, middle down, radius; and the ground's height."""
    for element, by in drawing.named("stance"):
        inner = [pair for pair in drawing.named("wheel") if pair[0] in list(element.iter())]
        circles = [
            box_of(next(part for part in wheel if part.tag == f"{SVG}circle"), moved)
            for wheel, moved in inner
        ]
        ((ground, moved),) = [pair for pair in drawing.named("ground") if pair[0] in list(element.iter())]
        yield circles, box_of(ground[0], moved)[1], element, by


def test_wheels_touch_the_ground_or_hang_over_it_as_the_answer_says(answer_of):
    count = 0
    for fields in random_rockers(25):
        answer = answer_of(**fields)
        drawing = Drawn(rocker_drawing(answer))
        drawn = list(stances_in(drawing))
        assert len(drawn) == len(answer.stances)
        for stance, (circles, ground, _, _) in zip(answer.stances, drawn, strict=True):
            clearances = [ground - bottom for _, _, _, bottom in circles]
            assert clearances == pytest.approx(stance.clearances_mm, abs=WITHIN_MM)
            widths = [right - left for left, _, right, _ in circles]
            assert widths == pytest.approx(fields["wheel_diameters_mm"], abs=WITHIN_MM)
            count += 1
    assert count > 30


def test_axles_stand_as_far_apart_as_they_do_and_the_frame_is_tilted_as_the_answer_says(answer_of):
    for fields in random_rockers(25):
        answer = answer_of(**fields)
        for stance, (circles, _, _, _) in zip(
            answer.stances, stances_in(Drawn(rocker_drawing(answer))), strict=True
        ):
            middles = [((left + right) / 2, (top + bottom) / 2) for left, top, right, bottom in circles]
            run, down = middles[-1][0] - middles[0][0], middles[-1][1] - middles[0][1]
            rise = fields["offsets_mm"][-1] - fields["offsets_mm"][0]
            length = fields["axle_positions_mm"][-1]
            assert hypot(run, down) == pytest.approx(hypot(length, rise), abs=WITHIN_MM)
            # Toes up is positive: the front, on the left, is higher than the rear by more than its offset.
            tilt = degrees(atan2(down, run) + atan2(rise, length))
            assert tilt == pytest.approx(stance.tilt_deg, abs=0.01)


def test_the_curves_chord_and_depth_are_those_of_the_answer(answer_of):
    curved = 0
    for fields in random_rockers(25):
        answer = answer_of(**fields)
        drawing = Drawn(rocker_drawing(answer))
        left, top, right, bottom = drawing.box("chord")
        assert hypot(right - left, bottom - top) == pytest.approx(answer.curve.chord_mm, abs=WITHIN_MM)
        if answer.curve.depth_mm > 0.01:
            left, top, right, bottom = drawing.box("depth")
            assert hypot(right - left, bottom - top) == pytest.approx(answer.curve.depth_mm, abs=WITHIN_MM)
            curved += 1
    assert curved > 5


def test_a_wheel_touches_or_hangs_by_shape_and_by_word(answer_of):
    answer = answer_of(axle_positions_mm=[0, 80, 160, 240], wheel_diameters_mm=[76], offsets_mm=[1, 0, 0, 1])
    level = next(stance for stance in answer.stances if stance.code == "stance_level")
    place = answer.stances.index(level)
    _, _, element, _ = list(stances_in(Drawn(rocker_drawing(answer))))[place]
    words = [text.text for text in element.iter(f"{SVG}text")]
    assert words[-4:] == ["1 clear", "touches", "touches", "1 clear"]
    circles = [wheel[0] for wheel in element if wheel.get("data-name") == "wheel"]
    assert [circle.get("stroke-dasharray") is None for circle in circles] == [False, True, True, False]


def test_wheels_that_overlap_are_drawn_where_they_would_be_with_a_cross(answer_of):
    answer = answer_of(axle_positions_mm=[0, 60], wheel_diameters_mm=[80])
    drawing = Drawn(rocker_drawing(answer))
    left, _, right, _ = drawing.box("zone_overlap")
    assert right - left == pytest.approx(80 - 60, abs=WITHIN_MM)
    assert drawing.named("sign")[0][0].get("data-kind") == "cross"


@pytest.mark.parametrize("language", Language)
def test_the_sentences_are_those_of_the_answer_in_its_language(answer_of, language):
    answer = answer_of(language, axle_positions_mm=[0, 90, 180], wheel_diameters_mm=[72, 80, 76])
    root = Drawn(rocker_drawing(answer, language=language)).root
    assert root.get("lang") == language
    description = root.findtext(f"{SVG}desc")
    assert all(stance.text in description for stance in answer.stances)
    assert answer.curve.text in description
