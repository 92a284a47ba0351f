"""ISO metric screw threads: designations, the sizes that exist, dimensions, limits and areas."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from service.engine.constants import (
    PITCHES_MM,
    SELECTED_PITCHES_MM,
    THREAD_MAJOR_AND_MINOR_MM,
    THREAD_PITCH_DIAMETER_MM,
)

_DESIGNATION = re.compile(r"M([1-9]\d?(?:\.\d)?)(?:\s?[x×X]\s?(\d(?:\.\d{1,2})?))?", re.ASCII)


class Thread(NamedTuple):
    """An ISO metric thread: major diameter and pitch [mm]; a named tuple, since tables are keyed by it."""

    major_mm: float
    pitch_mm: float

    @property
    def designation(self) -> str:
        """The full designation, pitch always written: ``M8x1.25``."""
        return f"M{self.major_mm:g}x{self.pitch_mm:g}"


@lru_cache(maxsize=1024)
def parse_thread(designation: str) -> Thread:
    """The thread that an ISO designation names; a designation without pitch is the coarse one.

    Valid for the sizes of ISO 261 from 3 to 12 mm.

    Parameters
    ----------
    designation : str
        For instance ``M8x1.25`` or ``M8``.

    Returns
    -------
    Thread
        Major diameter and pitch [mm].

    Raises
    ------
    ValueError
        If the text is no designation, or ISO 261 has no such size; the message says which exist.

    Examples
    --------
    >>> parse_thread("M8").designation
    'M8x1.25'

    References
    ----------
    ISO 965-1:2013, 5 (designation); ISO 261:1998 (sizes); ISO 262:1998 (sizes that screws are made in).
    """
    match = _DESIGNATION.fullmatch(designation.strip())
    if match is None:
        raise ValueError("an ISO metric designation such as M8x1.25 is expected")
    major = float(match[1])
    pitches = PITCHES_MM.get(major)
    if pitches is None:
        sizes = ", ".join(f"M{d:g}" for d in SELECTED_PITCHES_MM)
        raise ValueError(f"a size of ISO 261 from M3 to M12 is expected; ISO 262 selects {sizes}")
    pitch = float(match[2]) if match[2] else pitches[0]
    if pitch not in pitches:
        allowed = ", ".join(f"M{major:g}x{p:g}" for p in pitches)
        raise ValueError(f"ISO 261 has no M{major:g}x{pitch:g}; one of {allowed} is expected")
    return Thread(major_mm=major, pitch_mm=pitch)


def is_selected(thread: Thread) -> bool:
    """Whether the thread is of a size that ISO 262 selects for screws, bolts and nuts."""
    return thread.pitch_mm in SELECTED_PITCHES_MM.get(thread.major_mm, ())


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadDimensions:
    """The dimensions of a thread [mm]: basic ones, and the limits of 6g (external) and 6H (internal).

    ``pitch_diameter_mm`` is d2 = D2, ``internal_minor_mm`` D1, ``root_mm`` d3 of the rounded root.
    """

    pitch_diameter_mm: float
    internal_minor_mm: float
    root_mm: float
    external_major_max_mm: float
    external_major_min_mm: float
    external_pitch_max_mm: float
    external_pitch_min_mm: float
    internal_pitch_max_mm: float
    internal_minor_max_mm: float


@lru_cache(maxsize=256)
def thread_dimensions(thread: Thread) -> ThreadDimensions:
    """The dimensions of a thread of tolerance class 6g or 6H.

    Valid for the sizes of ISO 261 from 3 to 12 mm.

    Parameters
    ----------
    thread : Thread
        Major diameter and pitch [mm].

    Returns
    -------
    ThreadDimensions
        All in [mm].

    Raises
    ------
    KeyError
        If the tables have no such size; `parse_thread` lets none through.

    Examples
    --------
    >>> d = thread_dimensions(parse_thread("M8x1.25"))
    >>> round(d.external_major_min_mm, 3), round(d.internal_pitch_max_mm, 3)
    (7.76, 7.348)

    References
    ----------
    ISO 68-1:1998 (profile), ISO 724:1993 (basic dimensions), ISO 965-1:2013 (limits).
    """
    height = math.sqrt(3.0) / 2.0 * thread.pitch_mm
    pitch_diameter = thread.major_mm - height * 3 / 4
    internal_minor = thread.major_mm - height * (1 + 1 / 4)
    deviation, major_tolerance, minor_tolerance = THREAD_MAJOR_AND_MINOR_MM[thread.pitch_mm]
    bands = [upper for upper in THREAD_PITCH_DIAMETER_MM if thread.major_mm <= upper]
    if not bands:
        raise KeyError(thread)
    external_tolerance, internal_tolerance = THREAD_PITCH_DIAMETER_MM[bands[0]][thread.pitch_mm]
    return ThreadDimensions(
        pitch_diameter_mm=pitch_diameter,
        internal_minor_mm=internal_minor,
        root_mm=internal_minor - height / (2 * 3),
        external_major_max_mm=thread.major_mm + deviation,
        external_major_min_mm=thread.major_mm + deviation - major_tolerance,
        external_pitch_max_mm=pitch_diameter + deviation,
        external_pitch_min_mm=pitch_diameter + deviation - external_tolerance,
        internal_pitch_max_mm=pitch_diameter + internal_tolerance,
        internal_minor_max_mm=internal_minor + minor_tolerance,
    )


def stress_area_mm2(thread: Thread) -> float:
    """Area on which a screw's tensile strength is counted.

    Valid for ISO metric threads; inch practice counts another, smaller area.

    Parameters
    ----------
    thread : Thread
        Major diameter and pitch [mm].

    Returns
    -------
    float
        Stress area [mm²].

    Examples
    --------
    >>> round(stress_area_mm2(parse_thread("M8x1.25")), 1)
    36.6

    References
    ----------
    ISO 898-1:2013, 9.1.6.1: π/4·((d2 + d3)/2)².
    """
    dimensions = thread_dimensions(thread)
    mean = (dimensions.pitch_diameter_mm + dimensions.root_mm) / 2.0
    return math.pi / 4.0 * mean**2


@lru_cache(maxsize=256)
def shear_areas_mm2_per_mm(thread: Thread) -> tuple[float, float]:
    """Areas over which the internal and the external thread shear, for each mm of engagement.

    Valid at the least material of both: a 6H thread with a 6g screw.

    Parameters
    ----------
    thread : Thread
        Major diameter and pitch [mm].

    Returns
    -------
    tuple of 2 floats
        Internal, then external [mm²/mm].

    Examples
    --------
    >>> internal, external = shear_areas_mm2_per_mm(parse_thread("M8x1.25"))
    >>> round(internal, 2), round(external, 2)
    (16.83, 12.16)

    References
    ----------
    FED-STD-H28/2B, II.B.1, formulas (2a) and (4a).
    """
    d = thread_dimensions(thread)
    half_pitch, root_three = thread.pitch_mm / 2.0, math.sqrt(3.0)
    turns = math.pi / thread.pitch_mm
    internal_width = half_pitch + (d.external_major_min_mm - d.internal_pitch_max_mm) / root_three
    external_width = half_pitch + (d.external_pitch_min_mm - d.internal_minor_max_mm) / root_three
    return (
        turns * d.external_major_min_mm * internal_width,
        turns * d.internal_minor_max_mm * external_width,
    )
