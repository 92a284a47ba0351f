"""The nearest widths that axles serve: where a frame's width would have to be for each to fit."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache
from statistics import fmean

from schemas.lookup import MeasuredFrame
from service.engine.frame import Frame
from service.engine.judgement import window_on
from service.engine.parts import Axle
from service.errors import InvalidRequestError
from service.fitting.translate import frame_of

_MOST_STEPS = 20
_CLOSE_MM = 0.0005
_GREATEST_MM = 200.0


def nearest_widths(request: MeasuredFrame, field: str, axles: Iterable[Axle]) -> list[float]:
    """For each axle the reading of this width that is nearest to the one given and in its window [mm].

    Parameters
    ----------
    request : MeasuredFrame
        The frame; what else was measured of it stays.
    field : str
        The width that is moved, `outside_width_mm` or `inside_width_mm`.
    axles : iterable of Axle
        The axles that could fit.

    Returns
    -------
    list of float
        Nearest first, in whole micrometres; an axle that serves no such width has none [mm].
    """
    given = fmean(getattr(request, field))

    @cache
    def frame_at(width: float) -> Frame | None:
        if not 0 < width <= _GREATEST_MM:
            return None
        try:
            return frame_of(request.model_copy(update={field: (width,)}))
        except InvalidRequestError:
            return None

    found = {_into_window(axle, given, frame_at) for axle in axles} - {None}
    return sorted(
        (width for width in found if width is not None), key=lambda width: (abs(width - given), width)
    )


def _into_window(axle: Axle, width: float, frame_at: Callable[[float], Frame | None]) -> float | None:
    """The width, moved to the axle's window.

    One step does where the width stands alone. Where walls were measured too, they move with it a
    little, and the window with them: then the rest is halved or better by every further step.
    """
    for _ in range(_MOST_STEPS):
        frame = frame_at(width)
        window = None if frame is None else window_on(axle, frame)
        if frame is None or window is None or window.upper_mm <= window.lower_mm:
            return None
        outside = frame.widths.outside.value_mm
        lacking = min(max(outside, window.lower_mm), window.upper_mm) - outside
        if abs(lacking) < _CLOSE_MM:
            return round(width, 3)
        width += lacking
    return None
