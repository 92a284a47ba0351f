"""Bearings, and how a shaft goes into them, against bearing tables."""

from functools import partial

import pytest

from service.engine.constants import BEARING_BORE_DEVIATION_UM, BEARING_BORE_MM, BEARING_WIDTH_MM
from service.engine.tolerances import bearing_clearance_um

# Class: least and greatest clearance in a bearing bore over 3 to 6 mm, then over 6 to 10 mm [µm].
FITS = {
    "g5": ((-4, 9), (-3, 11)),
    "g6": ((-4, 12), (-3, 14)),
    "h5": ((-8, 5), (-8, 6)),
    "h6": ((-8, 8), (-8, 9)),
    "js6": ((-12, 4), (-12.5, 4.5)),
}
WIDER_FITS = {
    "h6": ((-8, 8), (-8, 9)),
    "h8": ((-8, 18), (-8, 22)),
    "h9": ((-8, 30), (-8, 36)),
}
# From the limits of shaft and bore, both printed: bore − shaft.
COMPUTED_FITS = {
    "f7": ((2, 22), (5, 28)),  # −8 + 10, 0 + 22; −8 + 13, 0 + 28
    "f9": ((2, 40), (5, 49)),  # −8 + 10, 0 + 40; −8 + 13, 0 + 49
    "h7": ((-8, 12), (-8, 15)),
    "h11": ((-8, 75), (-8, 90)),
}
SIZES = {6.0: 0, 8.0: 1}
TABLES = (
    (
        FITS, "national bearing standard, table 1 of fits of class 0 with shafts (edition not stated)",
        "seen in a public copy of the table",
    ),
    (
        WIDER_FITS, "bearing catalogue, fits to ISO 492 and ISO 286-2 (editions not stated)",
        "seen in two public copies of the table",
    ),
    (
        COMPUTED_FITS, "ISO 492:2014, table of Normal class, with ISO 286-2:2010",
        "recomputed from limits that were both seen in public tables",
    ),
)  # fmt: skip
PUBLISHED = [
    *(
        (
            f"{size:g} {name} in a bearing, table {place}",
            partial(bearing_clearance_um, size, name), bands[band], 0.0, source, confirmed,
        )
        for place, (fits, source, confirmed) in enumerate(TABLES, start=1)
        for name, bands in fits.items()
        for size, band in SIZES.items()
    ),
    (
        "bore of a 608", lambda: BEARING_BORE_MM, 8.0, 0.0, "ISO 15:2017, dimension series 10",
        "seen in two public bearing tables: 8 × 22 × 7",
    ),
    (
        "width of a 608", lambda: BEARING_WIDTH_MM, 7.0, 0.0, "ISO 15:2017, dimension series 10",
        "seen in two public bearing tables: 8 × 22 × 7",
    ),
    (
        "bore deviation of a Normal class bearing", lambda: BEARING_BORE_DEVIATION_UM, (-8.0, 0.0), 0.0,
        "ISO 492:2014, Normal class, bore over 2.5 to 10 mm", "seen in three public tolerance tables",
    ),
]  # fmt: skip


def test_a_bearing_and_a_shaft_in_it_are_as_the_bearing_tables_print(published):
    assert published.ours() == pytest.approx(published.value, abs=published.tolerance)
