"""ISO metric screw threads: designations and the sizes that exist."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

# Pitches by nominal diameter [mm], coarse first.
# Source: ISO 261:1998, table 2, 2 to 12 mm (from memory; the sizes of ISO 262 among them are confirmed
# by the limits in ISO 965-2 and by the handbook tables that tests/published names).
PITCHES_MM = MappingProxyType(
    {
        2.0: (0.4, 0.25),
        2.5: (0.45, 0.35),
        3.0: (0.5, 0.35),
        3.5: (0.6, 0.35),
        4.0: (0.7, 0.5),
        4.5: (0.75, 0.5),
        5.0: (0.8, 0.5),
        6.0: (1.0, 0.75),
        7.0: (1.0, 0.75),
        8.0: (1.25, 1.0, 0.75),
        9.0: (1.25, 1.0, 0.75),
        10.0: (1.5, 1.25, 1.0, 0.75),
        11.0: (1.5, 1.0, 0.75),
        12.0: (1.75, 1.5, 1.25, 1.0),
    }
)

_DESIGNATION = re.compile(r"M(\d{1,2}(?:\.\d)?)(?:\s?[x×X]\s?(\d(?:\.\d{1,2})?))?", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """An ISO metric thread: major diameter and pitch [mm]."""

    major_mm: float
    pitch_mm: float

    @property
    def designation(self) -> str:
        """The full designation, pitch always written: ``M8x1.25``."""
        return f"M{self.major_mm:g}x{self.pitch_mm:g}"


@lru_cache(maxsize=1024)
def parse_thread(designation: str) -> Thread:
    """The thread that an ISO designation names; a designation without pitch is the coarse one.

    Valid for the sizes of ISO 261 from 2 to 12 mm.

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
    ISO 965-1:2013, 5 (designation); ISO 261:1998 (sizes).
    """
    match = _DESIGNATION.fullmatch(designation.strip())
    if match is None:
        raise ValueError("an ISO metric designation such as M8x1.25 is expected")
    major = float(match[1])
    pitches = PITCHES_MM.get(major)
    if pitches is None:
        sizes = ", ".join(f"M{d:g}" for d in PITCHES_MM)
        raise ValueError(f"ISO 261 has no M{major:g}; it has {sizes}")
    pitch = float(match[2]) if match[2] else pitches[0]
    if pitch not in pitches:
        allowed = ", ".join(f"M{major:g}x{p:g}" for p in pitches)
        raise ValueError(f"ISO 261 has no M{major:g}x{pitch:g}; it has {allowed}")
    return Thread(major_mm=major, pitch_mm=pitch)
