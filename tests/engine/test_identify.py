"""Which parts an old axle may be: what agrees, what excludes, and when two cannot be told apart."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.codes import Fastening, Outcome, Verdict
from service.engine.identify import identified
from service.engine.identify_agreement import OldAxle, agreements
from service.engine.identify_part import as_part, length_as_counted, probable_shaft
from service.engine.measurement import Quantity, quantity_from_readings
from service.engine.parts import Axle
from service.engine.probability import measured_bore, nominal_bore
from service.engine.threads import parse_thread


def q(mm, half_width=0.05):
    return quantity_from_readings([mm], half_width_mm=half_width)


def old(*, fastening=Fastening.THREADED_WALL, shaft=None, thread=None, seen=None, **lengths):
    return OldAxle(
        fastening=fastening,
        lengths={name: q(mm) for name, mm in lengths.items()},
        shaft=None if shaft is None else measured_bore(q(shaft)),
        threads=None if thread is None else {parse_thread(thread): 1.0},
        seen=seen or {},
    )


def outcome_of(part, axle, feature):
    (found,) = (agreement for agreement in agreements(part, axle) if agreement.feature == feature)
    return found.outcome


def skus(candidates):
    return [candidate.axle.sku for candidate in candidates]


# --- what agrees ---------------------------------------------------------------------------------


# A calliper and a tolerance of 0.2 mm: u = √(0.05² + 0.2²)/√3 = 0.1190, three of that 0.357 mm.
@pytest.mark.parametrize(("length", "agrees"), [(35.64, False), (35.65, True), (36.35, True), (36.36, False)])
def test_a_length_agrees_as_far_as_both_uncertainties_explain(threaded_axle, length, agrees):
    found = outcome_of(threaded_axle(length_mm=36.0), old(overall_length_mm=length), "overall_length_mm")
    assert (found is Outcome.PASS) is agrees


def test_a_bolt_counts_under_its_head_whichever_length_is_measured(bolt):
    # ISO 4014: the head of M8 is 5.3 mm high.
    part = bolt(length_mm=50.0)
    of_bolt = {"fastening": Fastening.BOLT_AND_NUT}
    assert outcome_of(part, old(under_head_mm=50.1, **of_bolt), "under_head_mm") is Outcome.PASS
    assert outcome_of(part, old(overall_length_mm=55.3, **of_bolt), "overall_length_mm") is Outcome.PASS
    assert outcome_of(part, old(overall_length_mm=50.0, **of_bolt), "overall_length_mm") is Outcome.FAIL


@pytest.mark.parametrize(
    ("grip", "outcome"),
    [
        (32.5, Outcome.FAIL),
        (33.0, Outcome.CAUTION),
        (35.0, Outcome.PASS),
        (38.0, Outcome.CAUTION),
        (38.5, Outcome.FAIL),
    ],
)
def test_the_distance_between_the_heads_is_one_that_the_part_serves(stated_axle, grip, outcome):
    found = outcome_of(stated_axle(), old(fastening=Fastening.TWO_PIECE, grip_mm=grip), "grip_mm")
    assert found is outcome


def test_an_axle_with_two_heads_is_none_for_a_threaded_wall(threaded_axle, stated_axle):
    found = identified(old(fastening=None, grip_mm=36.0), [threaded_axle(), stated_axle()])
    assert skus(found) == ["STATED"]


def test_what_one_sees_excludes_what_differs(threaded_axle):
    parts = [threaded_axle(sku="A", drive="hexagon_4"), threaded_axle(sku="B", drive="hexagon_5")]
    assert skus(identified(old(overall_length_mm=36.0, seen={"drive": "hexagon_4"}), parts)) == ["A"]


def test_an_axle_without_a_thread_for_a_brake_is_no_brake_axle(threaded_axle):
    parts = [threaded_axle(sku="PLAIN"), threaded_axle(sku="BRAKE", brake_thread="M6x1")]
    assert skus(identified(old(seen={"brake_thread": None}), parts)) == ["PLAIN"]
    assert skus(identified(old(seen={"brake_thread": parse_thread("M6x1")}), parts)) == ["BRAKE"]
    assert skus(identified(old(overall_length_mm=36.0), parts)) == ["BRAKE", "PLAIN"]  # nobody looked


def test_a_shaft_between_two_classes_may_be_either(threaded_axle):
    parts = [threaded_axle(sku=f"{mm}", shaft_mm=mm) for mm in (6.0, 6.3, 8.0)]
    assert skus(identified(old(shaft=6.15), parts)) == ["6.0", "6.3"]
    assert skus(identified(old(shaft=6.0), parts)) == ["6.0"]


# --- how sure --------------------------------------------------------------------------------------


def test_the_only_part_that_agrees_is_the_part(threaded_axle):
    parts = [threaded_axle(sku=f"L{mm}", length_mm=float(mm)) for mm in range(30, 45)]
    (found,) = identified(old(overall_length_mm=36.1), parts)
    assert (found.axle.sku, found.verdict, found.probability) == ("L36", Verdict.FITS, 1.0)


def test_two_parts_alike_are_each_to_be_checked_first(threaded_axle):
    twins = [threaded_axle(sku="ONE"), threaded_axle(sku="EIGHT")]
    found = identified(old(overall_length_mm=36.0), twins)
    assert [(c.axle.sku, c.verdict, c.probability) for c in found] == [
        ("EIGHT", Verdict.CHECK_FIRST, 0.5),
        ("ONE", Verdict.CHECK_FIRST, 0.5),
    ]


@pytest.mark.parametrize(
    ("reading", "left"),
    # 36.0 and 36.4, each with u = 0.119: the logarithm of the ratio is (x − 36.2)·0.4/u²; 19 to 1, the
    # limit, is at x − 36.2 = ln 19 · 0.119²/0.4 = 0.104.
    [(36.09, ["A"]), (36.11, ["A", "B"]), (36.29, ["B", "A"]), (36.31, ["B"])],
)
def test_a_part_is_left_out_where_another_is_nineteen_times_as_probable(threaded_axle, reading, left):
    parts = [threaded_axle(sku="A", length_mm=36.0), threaded_axle(sku="B", length_mm=36.4)]
    assert skus(identified(old(overall_length_mm=reading), parts)) == left


def test_what_decides_the_fit_and_is_not_known_of_the_part_is_to_be_checked_first(threaded_axle):
    (found,) = identified(old(overall_length_mm=36.0, thread="M8x1.25"), [threaded_axle(thread=None)])
    assert found.verdict is Verdict.CHECK_FIRST


def test_a_part_of_unknown_length_is_to_be_checked_first(threaded_axle):
    (found,) = identified(old(overall_length_mm=36.0), [threaded_axle(length_mm=None)])
    assert found.verdict is Verdict.CHECK_FIRST


def test_another_thing_that_is_not_known_of_the_part_is_a_caution(threaded_axle):
    (found,) = identified(old(overall_length_mm=36.0, seen={"colour": "black"}), [threaded_axle()])
    assert found.verdict is Verdict.FITS_WITH_CAUTION


def test_what_is_not_known_of_a_part_counts_as_it_is_among_the_others(threaded_axle):
    # Of the four whose drive is known one has a slot: the unknown one is a quarter as probable.
    parts = [threaded_axle(sku=f"H{n}", drive="hexagon_4") for n in range(3)]
    parts += [threaded_axle(sku="SLOT", drive="slot"), threaded_axle(sku="UNKNOWN")]
    found = identified(old(overall_length_mm=36.0, seen={"drive": "slot"}), parts)
    assert [(c.axle.sku, pytest.approx(c.probability)) for c in found] == [("SLOT", 0.8), ("UNKNOWN", 0.2)]


def test_where_nothing_agrees_there_is_no_part(threaded_axle):
    assert identified(old(overall_length_mm=50.0), [threaded_axle()]) == []
    assert identified(old(), []) == []


# --- what follows from the axle alone ---------------------------------------------------------------


def test_the_length_is_counted_as_the_fastening_counts_it():
    of_bolt = {"fastening": Fastening.BOLT_AND_NUT, "thread": "M8x1.25"}
    assert length_as_counted(old(overall_length_mm=36.0)) == 36.0
    assert length_as_counted(old(under_head_mm=50.0, overall_length_mm=99.0, **of_bolt)) == 50.0
    assert length_as_counted(old(overall_length_mm=55.3, **of_bolt)) == pytest.approx(50.0)
    assert length_as_counted(old(overall_length_mm=55.3, fastening=Fastening.BOLT_AND_NUT)) is None
    assert length_as_counted(old(overall_length_mm=40.0, fastening=Fastening.TWO_PIECE)) is None
    assert length_as_counted(old(overall_length_mm=40.0, fastening=None)) is None


@pytest.mark.parametrize(("reading", "shaft"), [(7.97, 8.0), (6.02, 6.0), (6.15, None), (7.2, None)])
def test_the_shaft_is_of_a_class_only_where_that_is_as_good_as_certain(reading, shaft):
    assert probable_shaft(old(shaft=reading)) == shaft


def test_the_old_axle_as_a_part_has_what_was_measured_and_seen():
    part = as_part(
        old(
            fastening=Fastening.TWO_PIECE,
            shaft=8.0,
            thread="M6x1",
            seen={"keyed_profile": "larch"},
            barrel_mm=30.0,
            barrel_mouth_mm=1.0,
            barrel_thread_mm=11.0,
            screw_mm=14.0,
        )
    )
    assert (part.barrel_mm, part.barrel_mouth_mm, part.barrel_thread_mm, part.screw_mm) == (30, 1, 11, 14)
    assert (part.shaft_mm, part.thread, part.keyed_profile) == (8.0, parse_thread("M6x1"), "larch")
    assert as_part(old(fastening=None)) is None


# --- laws --------------------------------------------------------------------------------------------

lengths = st.floats(25, 50)
catalogues = st.lists(
    st.tuples(lengths, st.sampled_from([6.0, 6.3, 8.0, None]), st.sampled_from(["slot", "hexagon_4", None])),
    max_size=8,
).map(
    lambda rows: [
        Axle(sku=f"P{n}", fastening=Fastening.THREADED_WALL, length_mm=length, shaft_mm=shaft, drive=drive)
        for n, (length, shaft, drive) in enumerate(rows)
    ]
)
readings = st.builds(Quantity, value_mm=lengths, standard_uncertainty_mm=st.floats(0.01, 2))


@given(parts=catalogues, reading=readings)
def test_the_probabilities_never_sum_above_1_and_fall(parts, reading):
    found = identified(OldAxle(lengths={"overall_length_mm": reading}, seen={"drive": "slot"}), parts)
    shares = [candidate.probability for candidate in found]
    assert sum(shares) <= 1 + 1e-9
    assert all(later <= earlier + 1e-9 for earlier, later in pairwise(shares))
    assert len(found) < 2 or all(candidate.verdict is Verdict.CHECK_FIRST for candidate in found)


@given(parts=catalogues, reading=readings)
def test_the_order_of_the_catalogue_changes_nothing(parts, reading):
    axle = OldAxle(lengths={"overall_length_mm": reading}, shaft=nominal_bore(8.0))
    assert identified(axle, parts) == identified(axle, parts[::-1])


@given(parts=catalogues.filter(bool), deviation=st.floats(-0.2, 0.2), error=st.floats(-0.05, 0.05))
def test_a_part_within_its_tolerance_read_with_a_calliper_never_disagrees(parts, deviation, error):
    part = parts[0]
    axle = OldAxle(lengths={"overall_length_mm": q(part.length_mm + deviation + error)})
    assert all(agreement.outcome is Outcome.PASS for agreement in agreements(part, axle))


@given(parts=catalogues.filter(bool), reading=readings)
def test_a_twin_is_as_probable_as_the_part_and_both_are_checked_first(parts, reading):
    axle = OldAxle(lengths={"overall_length_mm": reading})
    found = {c.axle.sku: c for c in identified(axle, [*parts, replace(parts[0], sku="TWIN")])}
    assert ("TWIN" in found) == ("P0" in found)
    if "TWIN" in found:
        assert found["TWIN"].probability == found["P0"].probability
        assert found["TWIN"].verdict is Verdict.CHECK_FIRST
