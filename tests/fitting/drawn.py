"""A drawing measured as a reader of its file would: coordinates out of the XML, transforms applied."""

import random
import re
from xml.etree.ElementTree import fromstring

from schemas.drawings import FitDrawingRequest

SVG = "{http://www.w3.org/2000/svg}"
CHOICES = {
    "instrument": ["calliper", "ruler", "declared"],
    "bore_mm": [8, 6.3, 6, 7.96, 6.15],
    "thread": ["M8x1.25", "M8x1", "M6x1"],
    "recess_mm": [0.5, 2, 3],
    "keyed_profile": ["larch", "rowan", "none"],
    "keys_needed": [1, 2],
    "position": ["brake"],
    "rider_mass_kg": [32.5, 81],
    "hub_width_mm": [24, 25.25],
    "holes": ["round", "oval"],
}
WALLS = {"inside_width_mm": [23.5, 24.4, 26], "head_wall_mm": [4.5, 6], "far_wall_mm": [3, 4.5, 6.25]}


def random_drawings(axles, count, seed):
    """Drawings of axles in frames of their own fastening, near their width, each field known or not."""
    drawn = random.Random(seed)  # noqa: S311 (draws examples, guards nothing)
    for _ in range(count):
        axle = drawn.choice(axles)
        fields = {name: drawn.choice(some) for name, some in CHOICES.items() if drawn.random() < 0.25}
        fields |= {name: drawn.choice(some) for name, some in WALLS.items() if drawn.random() < 0.6}
        if fields.get("holes") == "oval":
            fields["hole_offset_mm"] = drawn.choice([0.75, 1])
        length = axle.length_mm or (axle.barrel_mm or 33) + 4
        fields["outside_width_mm"] = round(length + drawn.uniform(-4, 3), 2)
        fields["fastening"] = axle.fastening
        walls = fields.get("head_wall_mm", 1.0) + fields.get("far_wall_mm", 1.0)
        if fields.get("inside_width_mm", 0.0) > fields["outside_width_mm"] - walls - 1.0:
            del fields["inside_width_mm"]  # such a frame cannot be
        yield FitDrawingRequest(sku=axle.sku, **fields)


class Drawn:
    """An SVG, read with a parser of its own; boxes are left, top, right, bottom on the sheet [mm]."""

    def __init__(self, svg):
        self.root = fromstring(svg)  # noqa: S314 (our own file)
        self._placed = list(_placed(self.root, (0.0, 0.0)))

    def named(self, name):
        """The elements of this data-name, each with where it is moved to."""
        return [(element, by) for element, by in self._placed if element.get("data-name") == name]

    def dimension(self, name):
        """The lengths that a dimension says and that its line has; None where there is none."""
        found = [(e, by) for e, by in self.named(name) if e.get("class") == "axd-dimension"]
        if not found:
            return None
        (element, by) = found[0]
        (line,) = [part for part in element if part.get("class") == "axd-measure"]
        assert line.get("data-mm") == element.get("data-mm")
        left, top, right, bottom = box_of(line, by)
        return Dimension(float(element.get("data-mm")), max(right - left, bottom - top), (left, right))

    def box(self, name, *kinds):
        """The box around all that has this name, or only around its shapes of these kinds."""
        return around([box for element, by in self.named(name) for box in boxes_of(element, by, kinds)])

    def texts(self):
        return [element.text for element in self.root.iter(f"{SVG}text")]


class Dimension:
    def __init__(self, says, measures, ends):
        self.says, self.measures, self.ends = says, measures, ends


def _placed(element, by):
    yield element, by
    moved = re.fullmatch(r"translate\((\S+) (\S+)\)", element.get("transform", ""))
    if moved:
        by = (by[0] + float(moved[1]), by[1] + float(moved[2]))
    for part in element:
        yield from _placed(part, by)


def boxes_of(element, by, kinds=()):
    return [
        box_of(part, moved)
        for part, moved in _placed(element, by)
        if part.tag.removeprefix(SVG) in (kinds or ("rect", "line", "polygon", "polyline", "circle"))
    ]


def box_of(element, by):
    """The box of one shape, by what the SVG recommendation says of its attributes."""
    at = {name: float(element.get(name, 0)) for name in ("x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r")}
    tag = element.tag.removeprefix(SVG)
    if tag == "rect":
        xs = [at["x"], at["x"] + float(element.get("width"))]
        ys = [at["y"], at["y"] + float(element.get("height"))]
    elif tag == "line":
        xs, ys = [at["x1"], at["x2"]], [at["y1"], at["y2"]]
    elif tag == "circle":
        xs, ys = [at["cx"] - at["r"], at["cx"] + at["r"]], [at["cy"] - at["r"], at["cy"] + at["r"]]
    else:
        pairs = [pair.split(",") for pair in element.get("points").split()]
        xs, ys = [float(x) for x, _ in pairs], [float(y) for _, y in pairs]
    return min(xs) + by[0], min(ys) + by[1], max(xs) + by[0], max(ys) + by[1]


def around(boxes):
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)
