"""An old axle of the demonstration on the counter: its true sizes within tolerance, read with a calliper."""

import csv
import random

from service.engine.threads import parse_thread, thread_dimensions
from service.engine.tolerances import shaft_deviations_um

CALLIPER_MM = 0.05
SIZE_TOLERANCE_MM = 0.1
# ISO 4014, table 1: height k of the head of M6 and M8, with its deviation (grade A).
HEAD_MM = {"M6x1": (4.0, 0.15), "M8x1.25": (5.3, 0.15)}
SIZES = (
    "barrel_mm", "barrel_mouth_mm", "barrel_thread_mm", "screw_mm", "thread_length_mm", "nut_height_mm",
)  # fmt: skip
SEEN = ("drive", "driven_heads", "keyed_profile", "material", "colour")


def rows_of(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


class Counter:
    """Reads the sizes of an axle with errors that are the same in each run."""

    def __init__(self, seed):
        self.random = random.Random(seed)  # noqa: S311 (errors of reading, the same in each run)

    def within(self, deviation_mm):
        return self.random.uniform(-deviation_mm, deviation_mm)

    def read(self, true_mm):
        return round(true_mm + self.within(CALLIPER_MM), 4)

    def measured(self, row):
        """Everything that the catalogue knows of a part, as it would be measured and seen."""
        sizes = {c: max(0.0, float(row[c]) + self.within(SIZE_TOLERANCE_MM)) for c in SIZES if row[c]}
        found = {column: max(0.0, self.read(size)) for column, size in sizes.items()}
        found |= {column: row[column] for column in SEEN if row[column]}
        found["fastening"] = row["fastening"]
        found["offset_mm"] = (
            max(0.0, self.read(float(row["offset_mm"]))) if float(row["offset_mm"] or 0) else 0
        )
        if row["fastening"] == "threaded_wall":
            found["brake_thread"] = row["brake_thread"] or "none"
        return found | self._length(row) | self._shaft(row) | self._thread(row)

    def _length(self, row):
        if row["grip_min_mm"] and not row["barrel_mm"]:
            return {
                "grip_mm": self.read(
                    self.random.uniform(float(row["grip_min_mm"]), float(row["grip_max_mm"]))
                )
            }
        if not row["length_mm"]:
            return {}
        true = float(row["length_mm"]) + self.within(float(row["length_tolerance_mm"] or 0.2))
        if row["fastening"] == "threaded_wall":
            return {"overall_length_mm": self.read(true)}
        if self.random.random() < 0.5:
            return {"under_head_mm": self.read(true)}
        height, deviation = HEAD_MM[row["thread"]]
        return {"overall_length_mm": self.read(true + height + self.within(deviation))}

    def _shaft(self, row):
        if not row["shaft_mm"]:
            return {}
        nominal = float(row["shaft_mm"])
        lower, upper = (
            shaft_deviations_um(nominal, row["shaft_tolerance"]) if row["shaft_tolerance"] else (0, 0)
        )
        return {"shaft_mm": self.read(nominal + self.random.uniform(lower, upper) / 1000)}

    def _thread(self, row):
        if not row["thread"]:
            return {}
        thread = parse_thread(row["thread"])
        limits = thread_dimensions(thread)
        true = self.random.uniform(limits.external_major_min_mm, limits.external_major_max_mm)
        pitch = thread.pitch_mm + self.within(CALLIPER_MM) / 10
        return {"thread_major_mm": self.read(true), "thread_pitch_mm": round(pitch, 4)}
