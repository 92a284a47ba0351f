"""Axles and frames of the trade, from which a test changes what it is about."""

import pytest
from hypothesis import settings

from service.engine.codes import Fastening
from service.engine.frame import Frame
from service.engine.judgement import judge
from service.engine.measurement import quantity_from_readings, reconcile_widths
from service.engine.parts import Axle, CatalogueFacts
from service.engine.probability import nominal_bore
from service.engine.threads import parse_thread

# The same examples on every machine, and no example is too slow: a law is true or it is not.
settings.register_profile("repeatable", derandomize=True, deadline=None, database=None)
settings.load_profile("repeatable")

# The strongest steel, so that neither stripping nor bending decides a test that is about something else.
STRONG = "steel_12_9"


def _threads_parsed(changes):
    """The same changes, with threads given by their designations made threads."""
    names = ("thread", "brake_thread")
    return {k: parse_thread(v) if k in names and v is not None else v for k, v in changes.items()}


@pytest.fixture(scope="session")
def threaded_axle():
    """A threaded-wall axle: 36 mm, M8x1.25, shaft 8 mm."""

    def build(**changes):
        usual = {
            "sku": "THREADED",
            "shaft_mm": 8.0,
            "length_mm": 36.0,
            "thread": "M8x1.25",
            "material": STRONG,
        }
        return Axle(fastening=Fastening.THREADED_WALL, **_threads_parsed(usual | changes))

    return build


@pytest.fixture(scope="session")
def two_piece_axle():
    """A round-headed barrel of 30 mm with a mouth of 1 and a thread of 11, and a screw of 14, M6x1."""

    def build(**changes):
        usual = {
            "sku": "TWO-PIECE",
            "shaft_mm": 8.0,
            "barrel_mm": 30.0,
            "barrel_mouth_mm": 1.0,
            "barrel_thread_mm": 11.0,
            "screw_mm": 14.0,
            "thread": "M6x1",
            "keyed_profile": "none",
            "material": STRONG,
        }
        return Axle(fastening=Fastening.TWO_PIECE, **_threads_parsed(usual | changes))

    return build


@pytest.fixture(scope="session")
def stated_axle():
    """A two-piece axle of which only the maker's range is known: 33 to 38 mm between the heads."""

    def build(**changes):
        usual = {"sku": "STATED", "shaft_mm": 8.0, "grip_min_mm": 33.0, "grip_max_mm": 38.0}
        usual |= {"keyed_profile": "none", "material": STRONG}
        return Axle(fastening=Fastening.TWO_PIECE, **_threads_parsed(usual | changes))

    return build


@pytest.fixture(scope="session")
def bolt():
    """A bolt of 50 mm under its head, M8x1.25, with a nut 6.5 mm high."""

    def build(**changes):
        usual = {"sku": "BOLT", "shaft_mm": 8.0, "length_mm": 50.0, "thread": "M8x1.25"}
        usual |= {"nut_height_mm": 6.5, "material": STRONG}
        return Axle(fastening=Fastening.BOLT_AND_NUT, **_threads_parsed(usual | changes))

    return build


@pytest.fixture(scope="session")
def read():
    """One reading or more of a length, with a calliper unless another half width is given."""

    def build(*readings_mm, half_width_mm=0.05):
        return quantity_from_readings(readings_mm, half_width_mm=half_width_mm)

    return build


@pytest.fixture(scope="session")
def frame(read):
    """A frame of an outside width, far wall 6 mm, read with a calliper: threaded wall M8x1.25, bore 8."""

    def build(
        outside_mm, *, far_wall_mm=6.0, inside_mm=None, head_wall_mm=None, half_width_mm=0.05, **changes
    ):
        given = {
            "outside": outside_mm,
            "inside": inside_mm,
            "head_wall": head_wall_mm,
            "far_wall": far_wall_mm,
        }
        widths = reconcile_widths(
            **{k: read(mm, half_width_mm=half_width_mm) for k, mm in given.items() if mm is not None}
        )
        usual = {"fastening": Fastening.THREADED_WALL, "bore": nominal_bore(8.0), "thread": "M8x1.25"}
        return Frame(widths=widths, **_threads_parsed(usual | changes))

    return build


@pytest.fixture(scope="session")
def plain_frame(frame):
    """A frame with plain round holes for a two-piece axle; its walls were not measured."""

    def build(outside_mm, **changes):
        usual = {
            "fastening": Fastening.TWO_PIECE,
            "thread": None,
            "far_wall_mm": None,
            "keyed_profile": "none",
        }
        return frame(outside_mm, **(usual | changes))

    return build


@pytest.fixture(scope="session")
def judged():
    """What the engine says of an axle on a frame, in a catalogue where M8x1.25 is the usual thread."""
    usual_catalogue = CatalogueFacts(usual_threads={8.0: parse_thread("M8x1.25")})

    def build(axle, frame, catalogue=usual_catalogue):
        return judge(axle, frame, catalogue)

    return build


@pytest.fixture(scope="session")
def reason(judged):
    """The one reason that a check gives for an axle on a frame; None where it does not apply."""

    def build(check, axle, frame, **catalogue):
        found = [r for r in judged(axle, frame, **catalogue).reasons if r.check is check]
        assert len(found) <= 1
        return found[0] if found else None

    return build
