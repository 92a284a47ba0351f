"""Every reason of the engine has its sentence, and every failure says what would have to change."""

import ast
import itertools
import re
from pathlib import Path

import pytest

import service.engine
from schemas.lookup import LookupRequest
from service.engine.codes import Check
from service.engine.frame_notes import frame_notes
from service.engine.judgement import judge
from service.fitting.sentences import REASONS, REMARKS, WOULD_FIT_IF
from service.fitting.translate import frame_of
from service.fitting.wording import number, percentage, reason_text, would_fit_text

ENGINE = Path(service.engine.__file__).parent
SOURCES = [*sorted((ENGINE / "checks").glob("*.py")), ENGINE / "frame_notes.py"]
FIRST_WORDS = {check.value.partition("_")[0] for check in Check}

WIDTHS = [
    {"outside_width_mm": 28},
    {"outside_width_mm": 33.1, "far_wall_mm": 4},
    {"outside_width_mm": 36.4, "far_wall_mm": 6},
    {"outside_width_mm": 36.9, "inside_width_mm": 24.4, "head_wall_mm": 6, "far_wall_mm": 6},
    {"outside_width_mm": 36.4, "inside_width_mm": 23.5, "head_wall_mm": 6, "far_wall_mm": 7},
    {"inside_width_mm": 26, "head_wall_mm": 6, "far_wall_mm": 6},
    {"outside_width_mm": 41.2, "far_wall_mm": 2, "instrument": "tape"},
]
WHAT_ELSE = [
    {},
    {"bore_mm": 8, "thread": "M8x1.25", "fastening": "threaded_wall"},
    {"bore_mm": 6, "rider_mass_kg": 80},
    {"bore_mm": 6.3, "rider_mass_kg": 59.9},
    {"bore_mm": 6, "child": True, "hub_width_mm": 30},
    {"bore_mm": 6.15},
    {"bore_mm": 7},
    {"holes": "oval"},
    {"holes": "oval", "hole_offset_mm": 1},
    {"holes": "round", "thread": "M8x1"},
    {"keyed_profile": "larch", "fastening": "two_piece"},
    {"keyed_profile": "none"},
    {"keys_needed": 1},
    {"keys_needed": 2},
    {"position": "brake"},
    {"position": "brake", "brake_thread": "M6x1"},
    {"recess_mm": 6, "wall_material": "steel_4_6"},
]


def code_strings():
    """Strings and patterns of strings in the engine that have the form of a reason's code."""
    found = set()
    for source in SOURCES:
        tree = ast.parse(source.read_text(encoding="utf-8"))
        nodes = list(ast.walk(tree))
        parts = {id(part) for node in nodes if isinstance(node, ast.JoinedStr) for part in node.values}
        keys = {id(key) for node in nodes if isinstance(node, ast.Dict) for key in node.keys}
        for node in nodes:
            if isinstance(node, ast.JoinedStr):
                found.add(
                    "".join(getattr(part, "value", "*") if is_text(part) else "*" for part in node.values)
                )
            elif is_text(node) and id(node) not in parts | keys:
                found.add(node.value)
    return {
        code
        for code in found
        if re.fullmatch(r"[a-z0-9]+(_[a-z0-9*]+)+", code) and code.partition("_")[0] in FIRST_WORDS
    }


def is_text(node):
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


@pytest.fixture(scope="module")
def judgements(snapshot):
    """Every axle of the demonstration on many frames, and what is said of the frames alone."""
    judged, notes = [], []
    for width, what_else in itertools.product(WIDTHS, WHAT_ELSE):
        frame = frame_of(LookupRequest(**(width | what_else)))
        notes.extend(frame_notes(frame))
        judged.extend(judge(axle, frame, snapshot.facts) for axle in snapshot.engine_axles)
    return [judgement for judgement in judged if judgement is not None], notes


def one_of_each(reasons):
    """One reason of every code, outcome and set of what is not known."""
    kinds = {}
    for reason in reasons:
        unknown = tuple(sorted(name for name, fact in reason.facts.items() if fact is None))
        numbers = (reason.value is None, reason.minimum is None, reason.maximum is None)
        kinds.setdefault((reason.code, reason.outcome, unknown, numbers), reason)
    return kinds.values()


def test_every_code_in_the_engines_checks_has_a_sentence():
    codes = {code for code in code_strings() if "*" not in code}
    assert len(codes) > 30
    assert codes - set(REASONS) - set(REMARKS) == set()


def test_every_sentence_is_that_of_a_code_in_the_engine():
    patterns = [re.compile(code.replace("*", "[a-z_]+")) for code in code_strings()]
    assert [code for code in REASONS if not any(pattern.fullmatch(code) for pattern in patterns)] == []


def test_many_lookups_meet_every_check(judgements):
    judged, notes = judgements
    met = {reason.check for judgement in judged for reason in judgement.reasons} | {n.check for n in notes}
    assert met == set(Check)


def test_every_reason_that_many_lookups_meet_is_a_whole_sentence(judgements):
    judged, notes = judgements
    met = itertools.chain(notes, *(judgement.reasons for judgement in judged))
    for reason in one_of_each(met):
        text = reason_text(reason)
        assert re.match(r"[A-Z0-9]", text), reason
        assert text.endswith("."), reason
        assert not re.search(r"[{}]|\bNone\b|\bnan\b|\binf\b", text), reason


def test_every_failure_that_many_lookups_meet_says_what_would_have_to_change(judgements):
    judged, _ = judgements
    failures = list(one_of_each(itertools.chain(*(judgement.things_wrong for judgement in judged))))
    assert len(failures) > 10
    for reason in failures:
        text = would_fit_text(reason)
        assert text.startswith("It would fit "), reason
        assert not re.search(r"[{}]|\bNone\b|\bnan\b|\binf\b", text), reason


def test_what_would_have_to_change_is_said_only_of_codes_that_have_a_sentence():
    assert set(WOULD_FIT_IF) <= set(REASONS)


@pytest.mark.parametrize(
    ("value", "said"),
    [(36.4, "36.4"), (36.404, "36.4"), (8.0, "8"), (100.0, "100"), (0.126, "0.13"), (-0.001, "0")],
)
def test_a_number_is_said_with_two_digits_after_the_point_at_most(value, said):
    assert number(value) == said


@pytest.mark.parametrize(
    ("probability", "said"),
    [
        (1.0, "over 99.9 %"),
        (0.9995, "over 99.9 %"),
        (0.9994, "99.9 %"),
        (0.5, "50.0 %"),
        (0.001, "0.1 %"),
        (0.0009, "under 0.1 %"),
        (0.0, "under 0.1 %"),
    ],
)
def test_a_probability_is_said_without_certainty(probability, said):
    assert percentage(probability) == said
