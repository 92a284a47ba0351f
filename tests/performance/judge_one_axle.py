"""How long the engine takes to judge one axle, reasons not worded: CPU time, reported and not asserted.

Run it as ``python tests/performance/judge_one_axle.py``; pytest does not collect it. Each line is the best of
several rounds, since the least disturbed round is the one that tells most of the code.
"""

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))  # it is run as a file, from anywhere

from service.engine.codes import Fastening, Holes
from service.engine.frame import Frame
from service.engine.judgement import judge
from service.engine.measurement import quantity_from_readings, reconcile_widths
from service.engine.parts import Axle, CatalogueFacts, Sleeve
from service.engine.probability import measured_bore, nominal_bore
from service.engine.threads import parse_thread

ROUNDS = 15
JUDGEMENTS_PER_ROUND = 2_000
WANTED_US = 25.0
"""What the design asks for [µs of CPU per axle]."""


def read(*readings_mm):
    return quantity_from_readings(readings_mm, half_width_mm=0.05)


def threaded_wall():
    """A threaded-wall axle of 36 mm on a frame of which all is known."""
    axle = Axle(
        sku="THREADED",
        fastening=Fastening.THREADED_WALL,
        shaft_mm=8.0,
        shaft_tolerance="f9",
        length_mm=36.0,
        thread=parse_thread("M8x1.25"),
        thread_length_mm=12.0,
        drive="hexagon_4",
        material="steel_8_8",
    )
    widths = reconcile_widths(
        outside=read(36.4, 36.5), inside=read(24.4), head_wall=read(6.0), far_wall=read(6.0)
    )
    return axle, Frame(
        widths=widths,
        fastening=Fastening.THREADED_WALL,
        bore=nominal_bore(8.0),
        thread=parse_thread("M8x1.25"),
        holes=Holes.ROUND,
        rider_mass_kg=80.0,
    )


def two_piece():
    """A round-headed barrel and its screw on a frame with recesses."""
    axle = Axle(
        sku="TWO-PIECE",
        fastening=Fastening.TWO_PIECE,
        shaft_mm=8.0,
        shaft_tolerance="h9",
        barrel_mm=30.0,
        barrel_mouth_mm=1.0,
        barrel_thread_mm=11.0,
        screw_mm=14.0,
        thread=parse_thread("M6x1"),
        keyed_profile="none",
        drive="hexalobular_30",
        material="steel_10_9",
    )
    widths = reconcile_widths(outside=read(36.5), inside=read(24.5), head_wall=read(6.0), far_wall=read(6.0))
    return axle, Frame(
        widths=widths,
        fastening=Fastening.TWO_PIECE,
        bore=nominal_bore(8.0),
        recess_mm=1.0,
        holes=Holes.ROUND,
        keyed_profile="none",
        rider_mass_kg=80.0,
    )


def thin_bolt():
    """A thin bolt with its nut, with a sleeve, on a bore that was measured."""
    axle = Axle(
        sku="BOLT",
        fastening=Fastening.BOLT_AND_NUT,
        shaft_mm=6.0,
        shaft_tolerance="h11",
        length_mm=45.0,
        thread=parse_thread("M6x1"),
        thread_length_mm=18.0,
        nut_height_mm=5.2,
        drive="external_hexagon_10",
        material="steel_8_8",
    )
    widths = reconcile_widths(outside=read(37.5), inside=read(24.5), head_wall=read(6.5))
    return axle, Frame(
        widths=widths,
        fastening=Fastening.BOLT_AND_NUT,
        bore=measured_bore(read(6.02)),
        holes=Holes.ROUND,
        rider_mass_kg=35.0,
        child=True,
    )


def wrong_width():
    """The threaded-wall axle on a frame that is far too wide: what most of a catalogue comes to."""
    axle, frame = threaded_wall()
    widths = reconcile_widths(outside=read(44.4), inside=read(32.4), head_wall=read(6.0), far_wall=read(6.0))
    return axle, Frame(
        widths=widths,
        fastening=frame.fastening,
        bore=frame.bore,
        thread=frame.thread,
        holes=frame.holes,
        rider_mass_kg=frame.rider_mass_kg,
    )


CATALOGUE = CatalogueFacts(
    usual_threads={8.0: parse_thread("M8x1.25"), 6.0: parse_thread("M6x1")},
    sleeves=(Sleeve(sku="SLEEVE", name="Sleeve", inner_mm=6.0, outer_mm=8.0, length_mm=24.0),),
)
CASES = {
    "threaded wall": threaded_wall,
    "two piece": two_piece,
    "bolt and nut, thin": thin_bolt,
    "threaded wall, far too wide": wrong_width,
}


def best_microseconds(axle, frame):
    """CPU time of one judgement [µs], the best of the rounds."""
    rounds = []
    for _ in range(ROUNDS):
        begin = time.process_time()
        for _ in range(JUDGEMENTS_PER_ROUND):
            judge(axle, frame, CATALOGUE)
        rounds.append((time.process_time() - begin) / JUDGEMENTS_PER_ROUND * 1e6)
    return min(rounds)


def main():
    lines = [f"{'axle':<30}{'verdict':<20}{'reasons':>8}{'µs/axle':>10}"]
    for name, build in CASES.items():
        axle, frame = build()
        judgement = judge(axle, frame, CATALOGUE)
        microseconds = best_microseconds(axle, frame)
        lines.append(f"{name:<30}{judgement.verdict:<20}{len(judgement.reasons):>8}{microseconds:>10.1f}")
    lines.append(
        f"wanted: at most {WANTED_US:g} µs of CPU; best of {ROUNDS} rounds of {JUDGEMENTS_PER_ROUND}"
    )
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
