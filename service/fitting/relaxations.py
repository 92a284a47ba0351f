"""For no result: which single condition, dropped or moved to the nearest value, would give how many.

Facts that bear on safety are none of these conditions: nobody is told to leave out the rider's mass, the
child, the wall's material or the instrument, so that an axle fits.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from statistics import fmean
from typing import Any

from pydantic import ValidationError

from schemas.facets import FacetsRequest, RelaxationAnswer
from schemas.lookup import MeasuredFrame
from service.catalogue.snapshot import Snapshot
from service.engine.codes import Check, Outcome, Verdict
from service.engine.judgement import Judgement
from service.engine.parts import Axle
from service.engine.threads import Thread
from service.errors import InvalidRequestError
from service.fitting.filters import Filters, Sifted, counts_of, value_in
from service.fitting.lookup import judge_all
from service.fitting.nearest_width import nearest_widths
from service.fitting.translate import frame_of, thread_of

_OF_WIDTHS = frozenset({Check.WIDTH, Check.ENGAGEMENT, Check.BENDING})
DECIDES = {
    "fastening": frozenset({Check.FASTENING}),
    "outside_width_mm": _OF_WIDTHS,
    "inside_width_mm": _OF_WIDTHS,
    "head_wall_mm": _OF_WIDTHS,
    "far_wall_mm": _OF_WIDTHS,
    "bore_mm": frozenset({Check.BORE}),
    "thread": frozenset({Check.THREAD}),
    "recess_mm": frozenset({Check.WIDTH, Check.ENGAGEMENT}),
    "holes": frozenset({Check.HOLES}),
    "hole_offset_mm": frozenset({Check.HOLES}),
    "keyed_profile": frozenset({Check.HEADS}),
    "keys_needed": frozenset({Check.HEADS}),
    "position": frozenset({Check.BRAKE}),
    "brake_thread": frozenset({Check.BRAKE}),
}
"""The conditions of a lookup, and the checks that change when a condition does: an axle that fails in
another check cannot come to fit by it, and is not judged again."""
_GOES_WITH = {"holes": {"hole_offset_mm"}, "position": {"brake_thread"}}
_SERVED_BY = {
    "bore_mm": "shaft_mm",
    "thread": "thread",
    "hole_offset_mm": "offset_mm",
    "brake_thread": "brake_thread",
}
"""The ordered conditions besides the width, and the axle's field whose values they move to."""
_ORDERED_FACETS = ("driven_heads", "pack_quantity")


def relaxed_filters(filters: Filters, listed: Sequence[Sifted]) -> Iterator[RelaxationAnswer]:
    """The filters that alone keep every axle out which the lookup lists."""
    for facet, chosen in filters.items():
        kept_out = [axle for axle in listed if axle.fails == {facet}]
        if not kept_out:
            continue
        yield _relaxation(facet, None, [axle.judgement for axle in kept_out])
        values = {value for axle in kept_out if isinstance(value := value_in(facet, axle.record), int)}
        if facet in _ORDERED_FACETS and values:
            wanted = [value for value in chosen if isinstance(value, int)]
            to = min(values, key=lambda value: (min(abs(value - w) for w in wanted), value))
            moved = [axle.judgement for axle in kept_out if value_in(facet, axle.record) == to]
            yield _relaxation(facet, to, moved)


def relaxed_conditions(
    request: FacetsRequest, failed: Sequence[Judgement], snapshot: Snapshot
) -> Iterator[RelaxationAnswer]:
    """The conditions of the lookup that alone keep every axle out which passes the filters."""
    for field, decided in DECIDES.items():
        if getattr(request, field) == MeasuredFrame.model_fields[field].default:
            continue
        curable = [judgement.axle for judgement in failed if _failing_checks(judgement) <= decided]
        dropped = _listed(_without(request, field), curable, snapshot)
        if dropped:
            yield _relaxation(field, None, dropped)
        for to in _nearest_first(request, field, curable, dropped):
            moved = _listed(_moved(request, field, to), curable, snapshot)
            if moved:
                yield _relaxation(field, to, moved)
                break


def _failing_checks(judgement: Judgement) -> set[Check]:
    return {reason.check for reason in judgement.reasons if reason.outcome is Outcome.FAIL}


def _without(request: FacetsRequest, field: str) -> MeasuredFrame | None:
    """The frame without one condition, None where that is no lookup any more."""
    kept = set(MeasuredFrame.model_fields) - {field} - _GOES_WITH.get(field, set())
    try:
        return MeasuredFrame.model_validate(request.model_dump(include=kept))
    except ValidationError:
        return None


def _moved(request: FacetsRequest, field: str, to: float | str) -> MeasuredFrame:
    """The frame with one condition at another value, in place of all readings."""
    several = isinstance(getattr(request, field), tuple)
    return request.model_copy(update={field: (to,) if several else to})


def _listed(frame: MeasuredFrame | None, axles: Iterable[Axle], snapshot: Snapshot) -> list[Judgement]:
    """The judgements of the axles that fit this frame; none where there can be no such frame."""
    if frame is None:
        return []
    try:
        judged = judge_all(axles, frame_of(frame), snapshot)
    except InvalidRequestError:
        return []
    return [judgement for judgement in judged if judgement.verdict is not Verdict.NO_FIT]


def _nearest_first(
    request: FacetsRequest, field: str, curable: Sequence[Axle], dropped: Sequence[Judgement]
) -> Sequence[float | str]:
    """The values to which an ordered condition may be moved; those of other conditions are none."""
    if field == ("outside_width_mm" if request.outside_width_mm else "inside_width_mm"):
        return nearest_widths(request, field, curable)
    if field not in _SERVED_BY:
        return ()
    # Whatever fits a value fits where the condition is dropped, which can only leave more open.
    served = {getattr(judgement.axle, _SERVED_BY[field]) for judgement in dropped} - {None}
    wanted = _point(field, getattr(request, field))
    ordered = sorted(served, key=lambda value: _distance(wanted, _point(field, value)))
    return [value.designation if isinstance(value, Thread) else value for value in ordered]


def _point(field: str, value: Any) -> tuple[float, ...]:
    """A value as numbers: the mean of readings, a thread's diameter and pitch."""
    if isinstance(value, str):
        return thread_of(field, value) or ()
    if isinstance(value, Thread):
        return value
    return (fmean(value),) if isinstance(value, tuple) else (value,)


def _distance(wanted: tuple[float, ...], value: tuple[float, ...]) -> tuple[float, ...]:
    """What to sort by: how far off, the first number first; of two equally far, the smaller."""
    return (*(round(abs(v - w), 6) for v, w in zip(value, wanted, strict=True)), *value)


def _relaxation(condition: str, to: float | str | None, listed: Sequence[Judgement]) -> RelaxationAnswer:
    return RelaxationAnswer(
        condition=condition,
        change="dropped" if to is None else "moved",
        to=to,
        count=len(listed),
        counts=counts_of(listed),
    )
