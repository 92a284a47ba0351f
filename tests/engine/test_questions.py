"""How much an answer would tell: entropies of the verdicts of the parts in play."""

import math
from dataclasses import replace

import pytest

from service.engine.codes import Fastening, Holes
from service.engine.parts import CatalogueFacts
from service.engine.probability import nominal_bore
from service.engine.questions import Hypothesis, entropy_bits, expected_bits
from service.engine.threads import parse_thread

CATALOGUE = CatalogueFacts(usual_threads={8.0: parse_thread("M8x1.25")})


def of_threads(frame, **weights):
    """One hypothesis for each thread, by its designation."""
    return [Hypothesis(frame=replace(frame, thread=parse_thread(t)), weight=w) for t, w in weights.items()]


# --- entropy -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("weights", "bits"),
    [
        ([1, 1], 1.0),
        ([1, 1, 1, 1], 2.0),
        ([3, 1], 0.8113),  # 3/4·log2(4/3) + 1/4·2
        ([2, 1, 1], 1.5),  # 1/2 + 2·2/4
        ([1, 1, 1], 1.5850),  # log2 3
        ([7], 0.0),
        ([0.5], 0.0),
        ([], 0.0),
        ([0.0, 0.0], 0.0),
        ([5.0, 0.0], 0.0),
        ([4.0, 2.3e-308], 0.0),  # one that is next to impossible
        ([0.2, 0.2], 1.0),  # in any scale
    ],
)
def test_the_entropy_is_the_bits_that_the_outcome_tells(weights, bits):
    # Shannon, A Mathematical Theory of Communication (1948), section 6.
    assert entropy_bits(weights) == pytest.approx(bits, abs=0.00005)


# --- what a question tells -----------------------------------------------------------------------


def test_an_answer_that_decides_over_the_only_part_tells_as_much_as_itself(threaded_axle, frame):
    # The axle's thread with 3/4, another one with 1/4: 3/4·log2(4/3) + 1/4·2 = 0.8113.
    hypotheses = of_threads(frame(36.4), **{"M8x1.25": 3, "M8x1": 1})
    found = expected_bits([threaded_axle(thread="M8x1.25")], hypotheses, catalogue=CATALOGUE)
    assert found == pytest.approx(0.8113, abs=0.00005)


def test_two_parts_that_an_answer_decides_between_tell_as_much_as_one(threaded_axle, frame):
    axles = [threaded_axle(sku=t, thread=t) for t in ("M8x1.25", "M8x1")]
    hypotheses = of_threads(frame(36.4), **{"M8x1.25": 1, "M8x1": 1})
    assert expected_bits(axles, hypotheses, catalogue=CATALOGUE) == pytest.approx(1.0)


def test_a_part_that_no_answer_changes_halves_what_the_question_tells(threaded_axle, two_piece_axle, frame):
    hypotheses = of_threads(frame(36.4, fastening=Fastening.THREADED_WALL), **{"M8x1.25": 1, "M8x1": 1})
    one_decided = [threaded_axle(thread="M8x1.25"), two_piece_axle()]
    assert expected_bits(one_decided, hypotheses, catalogue=CATALOGUE) == pytest.approx(0.5)


def test_answers_that_lead_to_one_verdict_tell_nothing_apart(threaded_axle, frame):
    # Three threads with 1/2, 1/4, 1/4; to this axle the last two are alike: 1 bit, of the 1.5 of the answers.
    hypotheses = of_threads(frame(36.4), **{"M8x1.25": 2, "M8x1": 1, "M7x1": 1})
    found = expected_bits([threaded_axle(thread="M8x1.25")], hypotheses, catalogue=CATALOGUE)
    assert found == pytest.approx(1.0)


def test_a_question_whose_answers_change_no_verdict_tells_nothing(two_piece_axle, plain_frame):
    hypotheses = of_threads(plain_frame(35.0), **{"M8x1.25": 1, "M8x1": 1})
    assert expected_bits([two_piece_axle()], hypotheses, catalogue=CATALOGUE) == 0.0


def test_a_question_about_parts_that_fit_in_no_case_tells_nothing(threaded_axle, frame):
    hypotheses = of_threads(frame(60.0), **{"M8x1.25": 1, "M8x1": 1})
    assert expected_bits([threaded_axle()], hypotheses, catalogue=CATALOGUE) == 0.0


def test_a_question_about_nothing_in_play_tells_nothing(frame):
    hypotheses = of_threads(frame(36.4), **{"M8x1.25": 1, "M8x1": 1})
    assert expected_bits([], hypotheses, catalogue=CATALOGUE) == 0.0


@pytest.mark.parametrize("count", [0, 1])
def test_a_question_with_one_answer_or_none_tells_nothing(threaded_axle, frame, count):
    hypotheses = of_threads(frame(36.4), M8x1=1)[:count]
    assert expected_bits([threaded_axle()], hypotheses, catalogue=CATALOGUE) == 0.0


def test_a_part_without_a_window_fits_in_no_case(threaded_axle, frame):
    hypotheses = of_threads(frame(36.4), **{"M8x1.25": 1, "M8x1": 1})
    assert expected_bits([threaded_axle(length_mm=None)], hypotheses, catalogue=CATALOGUE) == 0.0


def test_no_question_tells_more_than_its_answers(threaded_axle, two_piece_axle, bolt, frame):
    axles = [
        threaded_axle(),
        threaded_axle(thread="M8x1"),
        threaded_axle(offset_mm=1.0),
        two_piece_axle(),
        bolt(),
    ]
    of_frame = frame(36.4, fastening=None, bore=None)
    questions = {
        "fastening": [(replace(of_frame, fastening=f), w) for f, w in zip(Fastening, (5, 3, 1), strict=True)],
        "bore": [
            (replace(of_frame, bore=nominal_bore(k)), w)
            for k, w in zip((8.0, 6.3, 6.0), (9, 2, 2), strict=True)
        ],
        "holes": [
            (replace(of_frame, holes=Holes.ROUND), 4),
            (replace(of_frame, holes=Holes.OVAL, hole_offset_mm=1.0), 1),
        ],
    }
    for name, answers in questions.items():
        hypotheses = [Hypothesis(frame=f, weight=w) for f, w in answers]
        bits = expected_bits(axles, hypotheses, catalogue=CATALOGUE)
        assert 0.0 < bits <= entropy_bits(w for _, w in answers) + 1e-12, name
        assert bits <= math.log2(len(answers)), name
