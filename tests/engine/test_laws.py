"""The laws that the fit model holds at all times, whatever is measured."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from service.engine.codes import Verdict
from service.engine.engagement import engaged_in_barrel_mm, engaged_in_wall_mm, shown_pitches
from service.engine.measurement import Quantity, reconcile_widths
from service.engine.parts import CatalogueFacts
from service.engine.probability import conformance_probability, measured_bore
from service.engine.ranking import Preferences, ranked
from service.engine.threads import parse_thread
from service.engine.windows import width_window

# What the last binary digits may differ by.
ROUNDING = 1e-12

LENGTHS = st.floats(20.0, 60.0)
UNCERTAINTIES = st.floats(0.005, 3.0)
WALLS = st.floats(2.0, 12.0)
DESIGNATIONS = st.sampled_from(["M5x0.8", "M6x1", "M7x1", "M8x1", "M8x1.25"])
THREADS = DESIGNATIONS.map(parse_thread)
SPREADS = st.floats(0.0, 20.0)
QUANTITIES = st.builds(Quantity, value_mm=LENGTHS, standard_uncertainty_mm=UNCERTAINTIES)
WALL_QUANTITIES = st.builds(Quantity, value_mm=WALLS, standard_uncertainty_mm=UNCERTAINTIES)


# --- fit probability -----------------------------------------------------------------------------


@given(width=LENGTHS, u=UNCERTAINTIES, lower=LENGTHS, span=SPREADS, down=SPREADS, up=SPREADS)
def test_a_wider_window_is_never_less_probable(width, u, lower, span, down, up):
    narrow = conformance_probability(width, u, lower_mm=lower, upper_mm=lower + span)
    wide = conformance_probability(width, u, lower_mm=lower - down, upper_mm=lower + span + up)
    assert wide >= narrow - ROUNDING


@given(width=LENGTHS, u=UNCERTAINTIES, lower=LENGTHS, span=SPREADS)
def test_a_fit_is_never_less_than_impossible_nor_more_than_certain(width, u, lower, span):
    assert 0.0 <= conformance_probability(width, u, lower_mm=lower, upper_mm=lower + span) <= 1.0


@given(width=LENGTHS, u=UNCERTAINTIES)
def test_over_all_widths_a_fit_is_certain(width, u):
    assert conformance_probability(width, u, lower_mm=-math.inf, upper_mm=math.inf) == pytest.approx(1.0)


@given(width=LENGTHS, u=UNCERTAINTIES, lower=LENGTHS, first=SPREADS, gap=SPREADS, second=SPREADS)
def test_two_windows_apart_are_never_more_than_certain_together(width, u, lower, first, gap, second):
    begin = lower + first + gap
    one = conformance_probability(width, u, lower_mm=lower, upper_mm=lower + first)
    other = conformance_probability(width, u, lower_mm=begin, upper_mm=begin + second)
    assert one + other <= 1.0 + ROUNDING


@given(width=LENGTHS, u=UNCERTAINTIES, lower=LENGTHS, first=SPREADS, second=SPREADS)
def test_a_window_is_as_probable_as_its_two_parts(width, u, lower, first, second):
    middle, upper = lower + first, lower + first + second
    parts = [
        conformance_probability(width, u, lower_mm=a, upper_mm=b)
        for a, b in ((lower, middle), (middle, upper))
    ]
    assert sum(parts) == pytest.approx(conformance_probability(width, u, lower_mm=lower, upper_mm=upper))


@given(middle=LENGTHS, half=st.floats(0.01, 10.0), u=UNCERTAINTIES, surer=st.floats(0.01, 1.0))
def test_in_the_middle_of_its_window_a_surer_width_is_never_less_probable(middle, half, u, surer):
    p, p_surer = (
        conformance_probability(middle, sure, lower_mm=middle - half, upper_mm=middle + half)
        for sure in (u, u * surer)
    )
    assert p_surer >= p - ROUNDING


@given(width=LENGTHS, u=UNCERTAINTIES, lower=LENGTHS, span=SPREADS)
def test_a_fit_is_as_probable_in_the_mirror(width, u, lower, span):
    p = conformance_probability(width, u, lower_mm=lower, upper_mm=lower + span)
    mirrored = conformance_probability(-width, u, lower_mm=-lower - span, upper_mm=-lower)
    assert p == pytest.approx(mirrored, rel=1e-9, abs=1e-300)


@given(reading=st.floats(5.5, 8.5), u=UNCERTAINTIES)
def test_a_bore_is_of_one_of_the_classes_or_of_none(reading, u):
    bore = measured_bore(Quantity(value_mm=reading, standard_uncertainty_mm=u))
    total = sum(bore.probability_of(shaft) for shaft in (6.0, 6.3, 8.0))
    assert total == pytest.approx(0.0 if bore.nominal_mm is None else 1.0)


# --- measurement ---------------------------------------------------------------------------------


@given(outside=QUANTITIES, inside=QUANTITIES, head=WALL_QUANTITIES, far=WALL_QUANTITIES)
def test_adjusted_widths_add_up_and_none_is_less_sure_than_it_was_read(outside, inside, head, far):
    widths = reconcile_widths(outside=outside, inside=inside, head_wall=head, far_wall=far)
    parts = (widths.inside, widths.head_wall, widths.far_wall)
    assert widths.outside.value_mm == pytest.approx(sum(part.value_mm for part in parts))
    for read, adjusted in zip((outside, inside, head, far), (widths.outside, *parts), strict=True):
        assert adjusted.standard_uncertainty_mm <= read.standard_uncertainty_mm


@given(
    outside=QUANTITIES, inside=QUANTITIES, head=WALL_QUANTITIES, far=WALL_QUANTITIES,
    steps=st.tuples(*[st.floats(-2.0, 2.0)] * 3),
)  # fmt: skip
def test_no_other_widths_that_add_up_are_nearer_to_the_readings(outside, inside, head, far, steps):
    readings = (inside, head, far)

    def misfit(parts):
        terms = [(sum(parts), outside), *zip(parts, readings, strict=True)]
        return sum(((mm - q.value_mm) / q.standard_uncertainty_mm) ** 2 for mm, q in terms)

    widths = reconcile_widths(outside=outside, inside=inside, head_wall=head, far_wall=far)
    best = [widths.inside.value_mm, widths.head_wall.value_mm, widths.far_wall.value_mm]
    other = [mm + step for mm, step in zip(best, steps, strict=True)]
    assert misfit(best) <= misfit(other) * (1 + 1e-9) + 1e-9


@given(outside=QUANTITIES, inside=QUANTITIES, one=WALL_QUANTITIES, other=WALL_QUANTITIES)
def test_swapping_the_walls_swaps_them_and_changes_no_other_width(outside, inside, one, other):
    as_read = reconcile_widths(outside=outside, inside=inside, head_wall=one, far_wall=other)
    swapped = reconcile_widths(outside=outside, inside=inside, head_wall=other, far_wall=one)
    assert swapped.outside.value_mm == pytest.approx(as_read.outside.value_mm)
    assert swapped.inside.value_mm == pytest.approx(as_read.inside.value_mm)
    assert swapped.far_wall.value_mm == pytest.approx(as_read.head_wall.value_mm)
    assert swapped.head_wall.value_mm == pytest.approx(as_read.far_wall.value_mm)


@given(inside=st.floats(23.0, 27.0), wall=st.floats(4.0, 8.0))
def test_of_equal_walls_it_does_not_matter_which_was_measured(threaded_axle, frame, judged, inside, wall):
    outside = inside + 2 * wall
    of_head = frame(outside, inside_mm=inside, head_wall_mm=wall, far_wall_mm=None)
    of_far = frame(outside, inside_mm=inside, head_wall_mm=None, far_wall_mm=wall)
    first, second = (judged(threaded_axle(), of_frame) for of_frame in (of_head, of_far))
    assert second.window.upper_mm == pytest.approx(first.window.upper_mm)
    assert second.fit_probability == pytest.approx(first.fit_probability, abs=1e-9)


@given(inside=st.floats(23.0, 27.0), wall=st.floats(4.0, 8.0), surer=UNCERTAINTIES, less_sure=UNCERTAINTIES)
def test_swapping_equal_walls_changes_nothing(
    threaded_axle, frame, judged, inside, wall, *, surer, less_sure
):
    def judged_with(head_u, far_u):
        widths = reconcile_widths(
            outside=Quantity(value_mm=inside + 2 * wall, standard_uncertainty_mm=0.1),
            inside=Quantity(value_mm=inside, standard_uncertainty_mm=0.1),
            head_wall=Quantity(value_mm=wall, standard_uncertainty_mm=head_u),
            far_wall=Quantity(value_mm=wall, standard_uncertainty_mm=far_u),
        )
        return judged(threaded_axle(), replace(frame(36.4), widths=widths))

    first, second = judged_with(surer, less_sure), judged_with(less_sure, surer)
    assert second.window.upper_mm == pytest.approx(first.window.upper_mm)
    assert second.fit_probability == pytest.approx(first.fit_probability, abs=1e-9)


# --- engagement ----------------------------------------------------------------------------------


@given(
    length=LENGTHS, thread=THREADS, thread_length=st.none() | st.floats(3.0, 30.0), far_wall=WALLS,
    sunk=SPREADS, further=SPREADS,
)  # fmt: skip
def test_an_axle_sunk_further_never_engages_more(
    threaded_axle, length, thread, thread_length, *, far_wall, sunk, further
):
    axle = threaded_axle(length_mm=length, thread=thread.designation, thread_length_mm=thread_length)
    engaged, engaged_further = (
        engaged_in_wall_mm(axle, outside_width_mm=length + depth, far_wall_mm=far_wall)
        for depth in (sunk, sunk + further)
    )
    assert engaged_further <= engaged
    assert 0.0 <= engaged <= far_wall


@given(length=LENGTHS, thread=DESIGNATIONS, far_wall=WALLS, share=st.floats(0.0, 1.0))
def test_within_its_window_past_flush_an_axle_engages_enough(threaded_axle, length, thread, far_wall, share):
    axle = threaded_axle(length_mm=length, thread=thread)
    window = width_window(axle, far_wall_mm=far_wall)
    assume(window.upper_mm >= window.lower_mm)
    width = window.lower_mm + share * (window.upper_mm - window.lower_mm)
    engaged = engaged_in_wall_mm(axle, outside_width_mm=width, far_wall_mm=far_wall)
    assert engaged >= window.least_engaged_mm - 1e-9


@given(
    barrel=LENGTHS, screw=st.floats(8.0, 30.0), mouth=st.floats(0.0, 3.0), depth=st.floats(3.0, 20.0),
    share=st.floats(0.0, 1.0),
)  # fmt: skip
def test_within_its_window_a_barrel_takes_enough_of_its_screw(
    two_piece_axle, barrel, screw, mouth, depth, *, share
):
    lengths = {"barrel_mm": barrel, "screw_mm": screw, "barrel_mouth_mm": mouth, "barrel_thread_mm": depth}
    axle = two_piece_axle(**lengths)
    window = width_window(axle)
    assume(window.upper_mm > window.lower_mm)
    grip = window.lower_mm + share * (window.upper_mm - window.lower_mm)
    assert engaged_in_barrel_mm(axle, grip_mm=grip) >= window.least_engaged_mm - 1e-9
    # The screw's tip stays within the thread, and the barrel's end clear of the other head.
    assert barrel + screw - grip <= mouth + depth + 1e-9
    assert grip >= barrel + 0.2 - 1e-9


@given(length=LENGTHS, thread=DESIGNATIONS, nut=st.floats(3.0, 10.0), share=st.floats(0.0, 1.0))
def test_within_its_window_a_bolt_shows_a_turn_and_no_long_end(bolt, length, thread, nut, share):
    axle = bolt(length_mm=length, thread=thread, nut_height_mm=nut)
    window = width_window(axle)
    width = window.lower_mm + share * (window.upper_mm - window.lower_mm)
    assert shown_pitches(axle, outside_width_mm=width) >= 1.0 - 1e-9
    assert length - nut - width <= 5.0 + 1e-9


# --- the catalogue -------------------------------------------------------------------------------


@given(
    outside=st.floats(33.0, 40.0), length=st.floats(34.0, 38.0), thread=DESIGNATIONS,
    usual=st.dictionaries(st.sampled_from([6.0, 6.3, 8.0]), THREADS),
)  # fmt: skip
def test_other_axles_in_the_catalogue_change_no_verdict_where_the_frame_s_thread_is_given(
    threaded_axle, frame, judged, outside, *, length, thread, usual
):
    # All that a judgement knows of other axles is which thread is usual among them.
    axle, of_frame = threaded_axle(length_mm=length, thread=thread), frame(outside, thread="M8x1.25")
    alone = judged(axle, of_frame, CatalogueFacts(usual_threads={}))
    assert judged(axle, of_frame, CatalogueFacts(usual_threads=usual)) == alone


@given(lengths=st.lists(st.floats(34.0, 38.0), min_size=1, max_size=8), added=st.floats(34.0, 38.0))
def test_an_axle_added_to_the_list_leaves_the_others_in_their_order(
    threaded_axle, frame, judged, lengths, added
):
    of_frame = frame(36.4)
    judgements = [
        judged(threaded_axle(sku=f"A{place}", length_mm=length), of_frame)
        for place, length in enumerate(lengths)
    ]
    newcomer = judged(threaded_axle(sku="NEW", length_mm=added), of_frame)

    def order(listed):
        return ranked(listed, width=of_frame.widths.outside, preferences=Preferences())

    assert [j for j in order([newcomer, *judgements]) if j is not newcomer] == order(judgements)


@given(lengths=st.lists(st.floats(34.0, 38.0), min_size=1, max_size=8, unique=True), data=st.data())
def test_the_order_does_not_depend_on_the_order_that_the_axles_come_in(
    threaded_axle, frame, judged, lengths, data
):
    of_frame = frame(36.4)
    judgements = [
        judged(threaded_axle(sku=f"A{place}", length_mm=length), of_frame)
        for place, length in enumerate(lengths)
    ]
    shuffled = data.draw(st.permutations(judgements))
    first, second = (
        ranked(given, width=of_frame.widths.outside, preferences=Preferences())
        for given in (judgements, shuffled)
    )
    assert first == second
    assert all(judgement.verdict is not Verdict.NO_FIT for judgement in first)
