"""CPU time of one lookup, from the request to the bytes of its answer, beside that of judging one axle.

Run it by hand: ``python tests/performance/one_lookup.py [--axles 1000 100000] [--lookups 4000]``. Every part
is invented by a seed, every lookup is another. Two mixes: what a shop asks, and numbers that are never the
same twice. The first lookups of a mix find nothing prepared; the last quarter is told beside them. The
judgement of one axle is measured between the rounds: it tells how fast the machine is at that moment.
"""

import argparse
import gc
import random
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from schemas.lookup import LookupRequest
from schemas.parts import AxleRecord, FrameRecord, SleeveRecord
from service.catalogue.snapshot import Snapshot
from service.engine.judgement import judge
from service.fitting.answer_bytes import ready_answer
from service.fitting.ready.lookup import ready_lookup
from service.fitting.translate import frame_of
from tests.performance.invented_catalogue import invented_axles

_FRAMES = [(4.0, 2), (4.5, 3), (5.0, 8), (5.5, 5), (6.0, 5), (6.5, 4)]
"""Far walls of the known frames, and how many have them."""
_PROFILES = ["none", "none", "none", "larch", "hazel", "rowan"]
_THREADS = {8: ["M8x1.25", "M8x1.25", "M8x1"], 6: ["M6x1"], 6.3: ["M6x1"]}
ROUNDS = 4
_FASTENINGS = ["threaded_wall"] * 6 + ["two_piece"] * 3 + ["bolt_and_nut"]


def snapshot_of(count):
    axles = sorted((AxleRecord(**columns) for columns in invented_axles(count)), key=lambda axle: axle.sku)
    frames = [
        FrameRecord(
            code=f"F{wall:g}-{number}", name="A frame", fastening="threaded_wall", bore_mm=8,
            far_wall_mm=wall, outside_widths_mm=(36.4,), wheels=4,
        )
        for wall, many in _FRAMES
        for number in range(many)
    ]  # fmt: skip
    sleeves = [
        SleeveRecord(sku=f"S{inner:g}", name="A sleeve", inner_mm=inner, outer_mm=8, length_mm=24)
        for inner in (6, 6.3)
    ]
    return Snapshot(
        revision=1,
        axles={axle.sku: axle for axle in axles},
        frames={frame.code: frame for frame in frames},
        sleeves={sleeve.sku: sleeve for sleeve in sleeves},
    )


def of_a_shop(drawn):
    """A lookup with the numbers that a calliper and a customer give."""
    fields = {
        "fastening": drawn.choice(_FASTENINGS),
        "outside_width_mm": round(drawn.triangular(29, 43, 36), 2),
        "bore_mm": drawn.choices([8, 6, 6.3], [88, 7, 5])[0],
    }
    if fields["fastening"] == "threaded_wall":
        fields["thread"] = drawn.choice(_THREADS[fields["bore_mm"]])
        if drawn.random() < 0.7:
            fields["far_wall_mm"] = drawn.choice([4, 4.5, 5, 5.5, 6, 6.5])
    if fields["fastening"] == "two_piece" and drawn.random() < 0.5:
        fields["keyed_profile"] = drawn.choice(_PROFILES)
    if drawn.random() < 0.5:
        fields["rider_mass_kg"] = drawn.randint(25, 120)
    return fields


def of_everything(drawn):
    """A lookup of which no number comes again."""
    return of_a_shop(drawn) | {
        "outside_width_mm": drawn.uniform(29, 43),
        "far_wall_mm": drawn.uniform(3, 8),
        "head_wall_mm": drawn.uniform(3, 8),
        "recess_mm": drawn.uniform(0, 2),
        "rider_mass_kg": drawn.uniform(20, 130),
        "hub_width_mm": drawn.uniform(22, 25),
    }


def microseconds(work, times):
    began = time.process_time()
    for item in times:
        work(item)
    return (time.process_time() - began) / len(times) * 1e6


def measured(snapshot, mix, count):
    """What the first and the last quarter of the lookups cost, and one judgement [µs]."""
    drawn = random.Random(5)  # noqa: S311 (draws examples, guards nothing)
    lookups = [LookupRequest(**mix(drawn)) for _ in range(count)]
    axle = next(k.axle for k in snapshot.kinds if k.axle.fastening == "threaded_wall" and k.axle.length_mm)
    frame = frame_of(lookups[0])

    def answer(request):
        ready_answer(request, snapshot)

    def judge_one(_):
        judge(axle, frame, snapshot.facts)

    quarter = count // 4
    first = microseconds(answer, lookups[:quarter])
    microseconds(answer, lookups[quarter:-quarter])
    rounds = []
    for place in range(ROUNDS):
        last = microseconds(answer, lookups[-quarter:][place::ROUNDS])
        rounds.append((last, microseconds(judge_one, range(4000))))
    return first, *min(rounds)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--axles", type=int, nargs="+", default=[1_000, 100_000])
    parser.add_argument("--lookups", type=int, default=4_000)
    asked = parser.parse_args()
    print(f"{'axles':>9}  {'mix':<15}{'first µs':>10}{'last µs':>10}{'judge µs':>10}")
    for count in asked.axles:
        snapshot = snapshot_of(count)
        began = time.process_time()
        ready_lookup(snapshot)
        prepared = time.process_time() - began
        gc.collect()
        gc.freeze()
        for mix in (of_a_shop, of_everything):
            first, last, one = measured(snapshot, mix, asked.lookups)
            print(f"{count:>9}  {mix.__name__:<15}{first:>10.0f}{last:>10.0f}{one:>10.1f}", flush=True)
        print(f"{count:>9}  prepared in {prepared:.2f} s of CPU", flush=True)


if __name__ == "__main__":
    main()
