"""ISO 286 limits of a shaft, and the clearance it has in a bearing's bore."""

from __future__ import annotations

import re
from functools import lru_cache

from service.engine.constants import (
    BEARING_BORE_DEVIATION_UM,
    GREATEST_GRADE_OF_K,
    LEAST_TOLERANCED_MM,
    LOWER_DEVIATIONS_UM,
    TOLERANCE_GRADES_UM,
    UPPER_DEVIATIONS_UM,
)

_CLASS = re.compile(r"([a-z]{1,2})(0|[1-9]\d?)", re.ASCII)


@lru_cache(maxsize=256)
def shaft_deviations_um(nominal_mm: float, tolerance_class: str) -> tuple[float, float]:
    """Lower and upper deviation of a shaft of an ISO 286 class.

    Valid for sizes over 3 to 10 mm, positions c to h, js, k to s, grades 5 to 12. A size on the edge of
    two bands is of the lower one: 6 mm is of the band over 3 to 6.

    Parameters
    ----------
    nominal_mm : float
        Nominal size [mm].
    tolerance_class : str
        Position and grade, as ``h9``.

    Returns
    -------
    tuple of 2 floats
        ei, then es [µm].

    Raises
    ------
    ValueError
        If the size or the class is not in the tables; the message says what is.

    Examples
    --------
    >>> shaft_deviations_um(6.0, "h6"), shaft_deviations_um(6.3, "h6")
    ((-8.0, 0.0), (-9.0, 0.0))

    References
    ----------
    ISO 286-1:2010, tables 1, 4 and 5; js is not rounded.
    """
    match = _CLASS.fullmatch(tolerance_class)
    band = next((upper for upper in TOLERANCE_GRADES_UM if nominal_mm <= upper), None)
    if match is None or band is None or nominal_mm <= LEAST_TOLERANCED_MM:
        raise ValueError("an ISO 286 class such as h9 is expected, for a shaft over 3 to 10 mm")
    position, grade = match[1], int(match[2])
    width = TOLERANCE_GRADES_UM[band].get(grade)
    if width is None:
        raise ValueError("a grade from 5 to 12 is expected")
    if position == "js":
        return -width / 2.0, width / 2.0
    if (upper_deviation := UPPER_DEVIATIONS_UM[band].get(position)) is not None:
        return float(upper_deviation - width), float(upper_deviation)
    lower = LOWER_DEVIATIONS_UM[band].get(position)
    if lower is None:
        raise ValueError("a position from c to h, js, or from k to s is expected")
    if position == "k" and grade > GREATEST_GRADE_OF_K:
        lower = 0
    return float(lower), float(lower + width)


def bearing_clearance_um(nominal_mm: float, tolerance_class: str) -> tuple[float, float]:
    """Least and greatest clearance of a shaft in the bore of a Normal-class bearing.

    Valid for bearing bores over 2.5 to 10 mm.

    Parameters
    ----------
    nominal_mm : float
        Nominal size of shaft and bore [mm].
    tolerance_class : str
        Position and grade of the shaft, as ``h9``.

    Returns
    -------
    tuple of 2 floats
        Least, then greatest [µm]; negative where the shaft is the larger.

    Raises
    ------
    ValueError
        As `shaft_deviations_um`.

    Examples
    --------
    >>> bearing_clearance_um(8.0, "h6")
    (-8.0, 9.0)

    References
    ----------
    ISO 492:2014, Normal class: bore 0/−8 µm; ISO 286-1:2010.
    """
    lower, upper = shaft_deviations_um(nominal_mm, tolerance_class)
    bore_lower, bore_upper = BEARING_BORE_DEVIATION_UM
    return bore_lower - upper, bore_upper - lower
