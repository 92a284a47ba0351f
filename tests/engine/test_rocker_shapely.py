"""Stances and curves against a geometry library (shapely), on random wheels; circles there have corners."""

import random
from itertools import pairwise
from math import atan2, cos, hypot, pi, sin

import pytest
from scipy.optimize import minimize_scalar
from shapely import LineString, MultiPolygon, Point, Polygon

from service.engine.rocker import Wheel, curve_of, stances_of

CASES = range(200)
FEWER = range(60)
QUARTER_SEGMENTS = 2048
# The middle between two corners is 65·(1 - cos(π/8192)) = 5e-6 mm inside of a circle of 65 mm.
CORNER_MM = 1e-5
LONGEST_ARC_STEP_MM = 65 * pi / (2 * QUARTER_SEGMENTS)


def wheels_of(case, count=None):
    """Wheels of a random skate: 60 to 130 mm, mostly near each other in height, with room between them."""
    drawn = random.Random(case)  # noqa: S311 (draws examples, guards nothing)
    count = count or drawn.randint(2, 6)
    spread = drawn.choice([0.0, 2.0, 30.0])
    base = drawn.uniform(60, 100)
    radii = [(base + drawn.uniform(0, spread)) / 2 for _ in range(count)]
    positions = [0.0]
    for front, rear in pairwise(radii):
        positions.append(positions[-1] + front + rear + drawn.uniform(3, 12))
    heights = [drawn.uniform(-1.5, 1.5) for _ in range(count)]
    return [
        Wheel(position_mm=x, height_mm=height, radius_mm=radius)
        for x, height, radius in zip(positions, heights, radii, strict=True)
    ]


def disc(wheel):
    return Point(wheel.position_mm, wheel.height_mm).buffer(wheel.radius_mm, quad_segs=QUARTER_SEGMENTS)


def lower_edges(wheels):
    """The long edges under the convex hull of the discs, from the front: their ends and their slopes."""
    hull = MultiPolygon([disc(wheel) for wheel in wheels]).convex_hull.normalize()
    corners = list(Polygon(hull.exterior).exterior.coords)
    if not hull.exterior.is_ccw:
        corners.reverse()
    edges = [
        ((x, y), (to_x, to_y), atan2(to_y - y, to_x - x))
        for (x, y), (to_x, to_y) in pairwise(corners)
        if hypot(to_x - x, to_y - y) > 10 * LONGEST_ARC_STEP_MM
    ]
    return sorted(edge for edge in edges if abs(edge[2]) < pi / 2)  # against the clock


@pytest.mark.parametrize("case", CASES)
def test_the_stances_are_the_long_edges_under_the_hull(case):
    wheels = wheels_of(case)
    stances = stances_of(wheels)
    edges = lower_edges(wheels)
    assert len(edges) == len(stances)
    for stance, (start, end, slope) in zip(stances, edges, strict=True):
        length = hypot(end[0] - start[0], end[1] - start[1])
        assert stance.tilt_rad == pytest.approx(slope, abs=2 * CORNER_MM / length)
        assert Point(stance.points_mm[0]).distance(Point(start)) < LONGEST_ARC_STEP_MM
        assert Point(stance.points_mm[-1]).distance(Point(end)) < LONGEST_ARC_STEP_MM


@pytest.mark.parametrize("case", CASES)
def test_the_clearances_are_distances_of_the_circles_from_the_ground(case):
    wheels = wheels_of(case)
    for stance in stances_of(wheels):
        x, y = stance.points_mm[0]
        along, up = 2000 * cos(stance.tilt_rad), 2000 * sin(stance.tilt_rad)
        ground = LineString([(x - along, y - up), (x + along, y + up)])
        distances = [Point(w.position_mm, w.height_mm).distance(ground) - w.radius_mm for w in wheels]
        assert stance.clearances_mm == pytest.approx(distances, abs=1e-9)


@pytest.mark.parametrize("case", FEWER)
def test_the_depth_is_how_far_the_discs_reach_through_the_tangent_of_the_outer_ones(case):
    wheels = wheels_of(case)
    ((start, end, slope),) = lower_edges([wheels[0], wheels[-1]])
    chord = LineString([start, end])
    curve = curve_of(wheels)
    assert curve.chord_mm == pytest.approx(chord.length, abs=2 * LONGEST_ARC_STEP_MM)
    below = [
        Point(corner).distance(chord)
        for wheel in wheels[1:-1]
        for corner in disc(wheel).exterior.coords
        if (corner[0] - start[0]) * sin(slope) - (corner[1] - start[1]) * cos(slope) > 0
    ]
    assert curve.depth_mm == pytest.approx(max(below, default=0.0), abs=2 * CORNER_MM)


def touching_points(wheels):
    """The points of the wheels that touch in some stance, nearest to a ground along the chord."""
    ((_, _, slope),) = lower_edges([wheels[0], wheels[-1]])
    touching = {n for stance in stances_of(wheels) for n in stance.touching}
    points = [
        (wheels[n].position_mm + wheels[n].radius_mm * sin(slope),
         wheels[n].height_mm - wheels[n].radius_mm * cos(slope))
        for n in sorted(touching)
    ]  # fmt: skip
    turned = [(x - points[0][0], y - points[0][1]) for x, y in points]
    return [(x * cos(slope) + y * sin(slope), x * sin(slope) - y * cos(slope)) for x, y in turned]


@pytest.mark.parametrize("case", FEWER)
def test_the_radius_of_three_wheels_is_that_of_the_circle_around_the_triangle_of_their_points(case):
    wheels = wheels_of(case, count=3)
    curve = curve_of(wheels)
    points = touching_points(wheels)
    if curve.radius_mm is None:
        assert len(points) == 2
        return
    sides = [Point(points[n]).distance(Point(points[n - 1])) for n in range(3)]
    # A triangle of sides a, b, c and area A stands in a circle of radius abc/(4A).
    around = sides[0] * sides[1] * sides[2] / (4 * Polygon(points).area)
    assert curve.radius_mm == pytest.approx(around, rel=3 * CORNER_MM / curve.depth_mm + 1e-9)


@pytest.mark.parametrize("case", FEWER)
def test_no_circle_through_the_outer_points_misses_the_others_less(case):
    wheels = wheels_of(case)
    curve = curve_of(wheels)
    if curve.radius_mm is None:
        return
    points = touching_points(wheels)

    def misses(centre):
        radius = hypot(curve.chord_mm / 2, centre)
        return [hypot(u - curve.chord_mm / 2, v + centre) - radius for u, v in points[1:-1]]

    def squares(logarithm):
        return sum(miss**2 for miss in misses(2.0**logarithm))

    best = minimize_scalar(squares, bounds=(3, 30), method="bounded", options={"xatol": 1e-9}).fun
    found = misses((curve.radius_mm**2 - (curve.chord_mm / 2) ** 2) ** 0.5)
    assert sum(miss**2 for miss in found) <= best * 1.01 + 1e-6
    assert curve.greatest_miss_mm == pytest.approx(max(map(abs, found)), abs=3 * CORNER_MM)
