"""What a drawing takes from standards: bearings, nuts and hexagons, thread lines, line widths."""

from functools import partial

import pytest

from service.engine.constants import BEARING_BORE_MM, BEARING_WIDTH_MM
from service.engine.threads import parse_thread, thread_dimensions
from service.fitting.drawing.sizes import (
    BEARING_OUTSIDE_MM,
    CORNERS_OF_FLATS,
    THICK_MM,
    THIN_MM,
    WIDTHS_ACROSS_FLATS_MM,
)


def drawn_root(designation):
    """The diameter at which the thin line of a thread is drawn, or the thick one of a tapped hole."""
    return thread_dimensions(parse_thread(designation)).internal_minor_mm


BEARING = "ISO 15:2017, dimension series 10"
TABLES = "seen in two public bearing tables: 8 × 22 × 7"
FLATS = {5: 8.0, 6: 10.0, 8: 13.0}
MINOR = {"M5x0.8": 4.134, "M6x1": 4.917, "M8x1": 6.917, "M8x1.25": 6.647}
PUBLISHED = [
    ("outside diameter of a 608", lambda: BEARING_OUTSIDE_MM, 22.0, 0.0, BEARING, TABLES),
    ("bore of a 608 as drawn", lambda: BEARING_BORE_MM, 8.0, 0.0, BEARING, TABLES),
    ("width of a 608 as drawn", lambda: BEARING_WIDTH_MM, 7.0, 0.0, BEARING, TABLES),
    (
        "thick and thin lines", lambda: THICK_MM / THIN_MM, 2.0, 0.0,
        "ISO 128-2:2020", "seen in two public notes on drawing: not less than 2:1",
    ),
    (
        "corners over flats of a hexagon", lambda: CORNERS_OF_FLATS, 1.1547, 0.00005,
        "Euclid, Elements, book IV, 15: 2/√3", "recomputed here: 1.15470",
    ),
    *(
        (
            f"width across flats for M{size}", partial(WIDTHS_ACROSS_FLATS_MM.get, size), flats, 0.0,
            "ISO 4032:2001, table 1", "seen in two public tables of nuts",
        )
        for size, flats in FLATS.items()
    ),
    *(
        (
            f"minor diameter of {thread} as drawn", partial(drawn_root, thread), minor, 0.0005,
            "ISO 724:1993, table 1 (profile of ISO 68-1)", "seen in public tables of metric threads",
        )
        for thread, minor in MINOR.items()
    ),
]  # fmt: skip


def test_what_a_drawing_takes_from_a_standard_is_what_the_standard_prints(published):
    assert published.ours() == pytest.approx(published.value, abs=published.tolerance)
