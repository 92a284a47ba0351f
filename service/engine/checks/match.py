"""What must be equal between axle and frame: fastening, thread, holes, heads, brake."""

from __future__ import annotations

from service.engine.checks.case import Case
from service.engine.codes import ROUND_HEADED, Check, Fastening, Holes, Outcome, Position
from service.engine.constants import COMMON_PRACTICE, LIMIT_ROUNDING_MM, OFFSET_MATCH_MM, PART_DATA
from service.engine.reasons import Reason

_HOLES_ROUND = Reason(Check.HOLES, Outcome.PASS, "holes_round", COMMON_PRACTICE)
_HOLES_TAKEN_AS_ROUND = Reason(Check.HOLES, Outcome.PASS, "holes_taken_as_round", COMMON_PRACTICE)


def fastening_equal(case: Case) -> Reason:
    """The axle is of the frame's fastening."""
    axle, frame = case.axle.fastening, case.frame.fastening
    if frame is None:
        outcome, code = Outcome.UNKNOWN, "fastening_not_given"
    elif frame is axle:
        outcome, code = Outcome.PASS, "fastening_equal"
    else:
        outcome, code = Outcome.FAIL, "fastening_differs"
    return Reason(Check.FASTENING, outcome, code, COMMON_PRACTICE, facts={"axle": axle, "frame": frame})


def thread_equal(case: Case) -> Reason | None:
    """The axle's thread is that of the tapped wall; one that was not given never passes."""
    if case.axle.fastening is not Fastening.THREADED_WALL:
        return None
    axle, frame = case.axle.thread, case.frame.thread
    if axle is None:
        return _match(Check.THREAD, Outcome.UNKNOWN, "thread_needs_column", column="thread")
    if frame is None:
        usual = case.catalogue.usual_threads.get(case.axle.shaft_mm or 0.0)
        if axle == usual:
            return _match(Check.THREAD, Outcome.CAUTION, "thread_usual", axle=axle)
        return _match(
            Check.THREAD, Outcome.UNKNOWN, "thread_unusual",
            axle=axle, usual=usual.designation if usual else None,
        )  # fmt: skip
    code, outcome = ("thread_equal", Outcome.PASS) if axle == frame else ("thread_differs", Outcome.FAIL)
    return _match(Check.THREAD, outcome, code, axle=axle, frame=frame)


def holes_take_axle(case: Case) -> Reason:
    """A straight axle has round holes, an offset axle oval ones of its own offset."""
    offset, holes = case.axle.offset_mm, case.frame.holes
    wanted = case.frame.hole_offset_mm
    if offset == 0.0:
        if holes is Holes.OVAL:
            return Reason(
                Check.HOLES,
                Outcome.FAIL,
                "holes_oval_for_straight",
                COMMON_PRACTICE,
                0.0,
                wanted,
                wanted,
                "mm",
            )
        return _HOLES_TAKEN_AS_ROUND if holes is None else _HOLES_ROUND
    if holes is None:
        code, outcome = "holes_not_given_for_offset", Outcome.UNKNOWN
    elif holes is Holes.ROUND:
        code, outcome = "holes_round_for_offset", Outcome.FAIL
    elif wanted is None:
        code, outcome = "holes_offset_not_given", Outcome.UNKNOWN
    elif abs(offset - wanted) <= OFFSET_MATCH_MM + LIMIT_ROUNDING_MM:
        code, outcome = "holes_offset_equal", Outcome.PASS
    else:
        code, outcome = "holes_offset_differs", Outcome.FAIL
    return Reason(Check.HOLES, outcome, code, COMMON_PRACTICE, offset, wanted, wanted, "mm")


def heads_sit_in_frame(case: Case) -> Reason | None:
    """The heads of a two-piece axle sit in the frame's recesses."""
    if case.axle.fastening is not Fastening.TWO_PIECE:
        return None
    axle, frame = case.axle.keyed_profile, case.frame.keyed_profile
    if axle is None:
        return _match(Check.HEADS, Outcome.UNKNOWN, "heads_need_column", column="keyed_profile")
    is_round = axle == ROUND_HEADED
    if frame is not None and frame != ROUND_HEADED:
        code = "heads_keyed_equal" if axle == frame else "heads_keyed_differ"
        code = "heads_round_in_keyed" if is_round else code
        outcome = Outcome.PASS if axle == frame else Outcome.FAIL
    elif case.frame.has_round_recesses:
        code = "heads_round" if is_round else "heads_keyed_in_round"
        outcome = Outcome.PASS if is_round else Outcome.FAIL
    elif case.frame.keys_needed == 1:
        code = "heads_round_where_one_key" if is_round else "heads_keyed_profile_not_given"
        outcome = Outcome.FAIL if is_round else Outcome.UNKNOWN
    else:
        code = "heads_round_not_given" if is_round else "heads_keyed_not_given"
        outcome = Outcome.UNKNOWN
    return _match(Check.HEADS, outcome, code, axle=axle, frame=frame)


def brake_axle_where_needed(case: Case) -> Reason | None:
    """The brake's position has a brake axle with the brake's thread, and no other position has one."""
    end, wanted = case.axle.brake_thread, case.frame.brake_thread
    if case.frame.position is not Position.BRAKE:
        if end is None:
            return None
        return _match(Check.BRAKE, Outcome.CAUTION, "brake_axle_elsewhere", axle=end)
    if end is None:
        return _match(Check.BRAKE, Outcome.FAIL, "brake_axle_needed")
    if wanted is None:
        return _match(Check.BRAKE, Outcome.PASS, "brake_axle", axle=end)
    code, outcome = (
        ("brake_thread_equal", Outcome.PASS) if end == wanted else ("brake_thread_differs", Outcome.FAIL)
    )
    return _match(Check.BRAKE, outcome, code, axle=end, frame=wanted)


def _match(check: Check, outcome: Outcome, code: str, **facts: object) -> Reason:
    """A reason that compares words instead of numbers."""
    source = PART_DATA if "column" in facts else COMMON_PRACTICE
    return Reason(check, outcome, code, source, facts=facts)
