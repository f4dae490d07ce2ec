"""Points, curves, runs, outlines and offsets against numpy and shapely, which share no code with them."""

from __future__ import annotations

from itertools import pairwise
from math import atan2, cos, hypot, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
import shapely
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from oaktag.errors import GeometryError
from oaktag.geometry.affine import Move
from oaktag.geometry.curve import CHORD, Cubic, Line
from oaktag.geometry.offset import grown, is_simple, outer
from oaktag.geometry.path import (
    flatten,
    parallel,
    part,
    path_length,
    place_at,
    polyline_length,
    reverse,
    solve,
)
from oaktag.geometry.point import (
    Point,
    along,
    between,
    direction,
    distance,
    left_of,
    meeting,
    mirrored,
    right_of,
    turn_deg,
)
from oaktag.geometry.polygon import Box, area, contains, crossings, distance_to_line, distance_to_segment, touches

Array = NDArray[np.float64]

PARALLEL_WITHIN = 0.01
"""What `parallel` promises, mm."""
SEAM_SHARE = 0.001
"""A five-hundredth of the 0.5 mm that two edges of a seam may differ, mm: no length may be further off than this."""

places = st.floats(-600, 600).map(lambda v: round(v, 3))
points = st.builds(Point, places, places)


@st.composite
def garment_cubics(draw: st.DrawFn) -> Cubic:
    """Curves as garments have them: handles 0.15 to 0.6 of the chord, within 80° of it."""
    start, chord, angle = draw(points), draw(st.floats(20, 600)), draw(st.floats(-pi, pi))
    end = Point(start.x + chord * cos(angle), start.y + chord * sin(angle))
    handles = []
    for _ in range(2):
        size, lean = draw(st.floats(0.15, 0.6)) * chord, angle + draw(st.floats(-radians(80), radians(80)))
        handles.append((size * cos(lean), size * sin(lean)))
    return Cubic.leaving_and_arriving(start, handles[0], end, handles[1])


any_cubics = st.builds(Cubic, points, points, points, points)


def bernstein(curve: Cubic, t: Array) -> Array:
    """Points of a cubic, (n, 2) float, mm, from its definition."""
    t = t[:, None]
    u = 1 - t
    a, b, c, d = (np.array(p) for p in curve.controls())
    return np.asarray(u**3 * a + 3 * u * u * t * b + 3 * u * t * t * c + t**3 * d)


def derivatives(curve: Cubic, t: Array) -> tuple[Array, Array]:
    """First and second derivative, (n, 2) float each."""
    t = t[:, None]
    u = 1 - t
    a, b, c, d = (np.array(p) for p in curve.controls())
    first = 3 * u * u * (b - a) + 6 * u * t * (c - b) + 3 * t * t * (d - c)
    return np.asarray(first), np.asarray(6 * u * (c - 2 * b + a) + 6 * t * (d - 2 * c + b))


def dense_length(curve: Cubic, upto: float = 1.0) -> float:
    """Length up to a parameter by two fine polylines and Richardson's extrapolation."""

    def chords(n: int) -> float:
        steps = np.diff(bernstein(curve, np.linspace(0, upto, n + 1)), axis=0)
        return float(np.hypot(steps[:, 0], steps[:, 1]).sum())

    return (4 * chords(4000) - chords(2000)) / 3


# ---------------------------------------------------------------- points and moves


def test_directions_by_hand() -> None:
    assert direction((0, 0), (3, 4)) == (0.6, 0.8)
    assert direction((2, 2), (2, 2)) == (0, 0)
    assert left_of((1, 0)) == (0, 1)
    assert right_of((1, 0)) == (0, -1)
    assert turn_deg((1, 0), (0, 1)) == pytest.approx(90)
    assert turn_deg((1, 0), (0, -1)) == pytest.approx(-90)
    assert along((1, 1), (0, 1), 5) == (1, 6)
    assert between((0, 0), (10, 20), 0.25) == (2.5, 5)


def test_meeting_by_hand() -> None:
    assert meeting((0, 0), (1, 0), (7, 5), (0, 1)) == (7, 0)
    assert meeting((0, 0), (1, 0), (0, 5), (1, 0)) is None
    met = meeting((0, 0), direction((0, 0), (1, 1)), (10, 0), direction((10, 0), (0, 10)))
    assert met == pytest.approx((5, 5))


@given(points, points, st.floats(-pi, pi))
def test_a_mirror_image_is_as_far_away_on_the_other_side(p: Point, a: Point, angle: float) -> None:
    way = Point(cos(angle), sin(angle))
    image = mirrored(p, a, way)
    on_line = between(p, image)
    assert abs((on_line.x - a.x) * way.y - (on_line.y - a.y) * way.x) < 1e-9
    assert abs((image.x - p.x) * way.x + (image.y - p.y) * way.y) < 1e-9
    assert mirrored(image, a, way) == pytest.approx(p, abs=1e-9)


@given(st.lists(points, min_size=2, max_size=6), st.integers(-9, 9), places, places)
def test_moves_keep_every_distance_and_the_sense_of_rotation(
    ring: list[Point], turns: int, dx: float, dy: float
) -> None:
    move = Move.quarters(turns).then(Move.by(dx, dy))
    moved = move.points(ring)
    for a, b, c, d in zip(ring, ring[1:], moved, moved[1:], strict=False):
        assert distance(c, d) == pytest.approx(distance(a, b), abs=1e-9)
    assert area(moved) == pytest.approx(area(ring), abs=1e-5)
    assert move.point(ring[0]) == moved[0]


def test_quarter_turns_by_hand() -> None:
    assert [Move.quarters(n).point((3, 1)) for n in range(4)] == [(3, 1), (-1, 3), (-3, -1), (1, -3)]
    assert Move.quarters(4) == Move.quarters(0) == Move()
    assert Move.quarters(-1) == Move.quarters(3)
    assert Move.by(10, 0).then(Move.quarters(1)).point((3, 1)) == (-1, 13)  # first shifted, then turned
    assert Move.quarters(1).then(Move.by(10, 0)).point((3, 1)) == (9, 3)  # first turned, then shifted


# ---------------------------------------------------------------- curves


@given(garment_cubics())
def test_a_curves_length_is_that_of_a_fine_polyline(curve: Cubic) -> None:
    assert curve.length() == pytest.approx(dense_length(curve), abs=SEAM_SHARE)


def test_the_length_of_a_parabola_by_hand() -> None:
    """y = x² from 0 to 1, at 100 mm to the unit: length 100 (2 √5 + arsinh 2) / 4, from any table of integrals."""
    curve = Cubic(Point(0, 0), Point(100 / 3, 0), Point(200 / 3, 100 / 3), Point(100, 100))
    assert curve.at(0.5) == pytest.approx((50, 25))
    assert curve.length() == pytest.approx(100 * (2 * sqrt(5) + np.arcsinh(2)) / 4, abs=1e-6)


@pytest.mark.parametrize(
    ("controls", "length"),
    [
        # Neile's parabola x = t², y = t³ from t = -1 to 1, with a cusp in the middle: 2 × (13 √13 − 8) / 27
        (((1, -1), (-1 / 3, 1), (-1 / 3, -1), (1, 1)), 2 * (13 * sqrt(13) - 8) / 27),
        # there and back on one line: x = 3 t (1 − t) (1 − 2t), √3/6 out on either side
        (((0, 0), (1, 0), (-1, 0), (0, 0)), 4 * sqrt(3) / 6),
        # handles without length
        (((0, 0), (0, 0), (0.6, 0.8), (0.6, 0.8)), 1.0),
        (((0, 0), (0, 0), (0, 0), (0, 1)), 1.0),
        (((0, 0), (0, 0), (0, 0), (0, 0)), 0.0),
    ],
)
def test_the_length_of_wild_curves_by_hand(controls: tuple[tuple[float, float], ...], length: float) -> None:
    for size in (1.0, 600.0):
        curve = Cubic(*(Point(size * x, size * y) for x, y in controls))
        assert curve.length() == pytest.approx(size * length, abs=1e-6)


@given(any_cubics)
@settings(deadline=None)
def test_any_curves_length_is_that_of_a_fine_quadrature(curve: Cubic) -> None:
    """20 points in each of 8192 stretches: a cusp costs that no more than 1e-6 mm."""
    nodes, weights = np.polynomial.legendre.leggauss(20)
    edges = np.linspace(0, 1, 8193)
    half = (edges[1:] - edges[:-1])[:, None] / 2
    t = ((edges[:-1, None] + half) + half * nodes).ravel()
    x, y = (np.polynomial.Polynomial(p).deriv()(t) for p in powers(curve))
    true = float((np.hypot(x, y) * (half * weights).ravel()).sum())
    assert curve.length() == pytest.approx(true, abs=2e-6)


def powers(curve: Cubic) -> list[list[float]]:
    """The coefficients of 1, t, t² and t³, for x and for y."""
    return [
        [a, 3 * (b - a), 3 * (a - 2 * b + c), d - a + 3 * (b - c)] for a, b, c, d in zip(*curve.controls(), strict=True)
    ]


def test_a_quarter_circle_by_hand() -> None:
    """The usual cubic for a quarter circle: 0.027 % out of round, so π/2 × 100 mm to 0.03 mm, curvature 1/100."""
    k = 100 * 4 / 3 * tan(pi / 8)
    curve = Cubic(Point(100, 0), Point(100, k), Point(k, 100), Point(0, 100))
    assert curve.length() == pytest.approx(50 * pi, abs=0.03)
    assert curve.bend(0.5) == pytest.approx(0.01, rel=0.02)
    assert curve.reversed().bend(0.5) == pytest.approx(-0.01, rel=0.02)


@given(any_cubics, st.floats(0.01, 2.0))
def test_flattening_keeps_within_the_chord(curve: Cubic, chord: float) -> None:
    for allowed in (CHORD, chord):
        line = [curve.start, *curve.flat(allowed)]
        dense = shapely.points(bernstein(curve, np.linspace(0, 1, 400)))
        assert shapely.distance(dense, shapely.LineString(line)).max() <= allowed + 1e-9
        on_curve = bernstein(curve, np.linspace(0, 1, len(line)))
        assert np.abs(on_curve - np.array(line)).max() < 1e-9
        assert line[-1] == curve.end


@given(any_cubics, st.floats(0, 1), st.floats(0, 1))
def test_the_parts_of_a_split_are_the_curve(curve: Cubic, t: float, s: float) -> None:
    first, second = curve.split(t)
    assert first.at(s) == pytest.approx(curve.at(t * s), abs=1e-9)
    assert second.at(s) == pytest.approx(curve.at(t + (1 - t) * s), abs=1e-9)
    assert first.end == second.start
    assert (first.start, second.end) == (curve.start, curve.end)


@given(any_cubics, st.floats(0, 1))
def test_reversed_is_the_same_curve_walked_back(curve: Cubic, t: float) -> None:
    assert curve.reversed().at(1 - t) == pytest.approx(curve.at(t), abs=1e-9)
    assert curve.reversed().length() == pytest.approx(curve.length(), abs=1e-9)
    assert reverse((curve, Line(curve.end, curve.start))) == (Line(curve.start, curve.end), curve.reversed())


@given(garment_cubics(), st.floats(0, 1))
def test_way_and_bend_are_the_derivatives(curve: Cubic, t: float) -> None:
    first, second = (d[0] for d in derivatives(curve, np.array([t])))
    size = hypot(*first)
    assert curve.way(t) == pytest.approx(first / size, abs=1e-9)
    assert curve.bend(t) == pytest.approx((first[0] * second[1] - first[1] * second[0]) / size**3, abs=1e-9)


@given(points, points, points)
def test_a_handle_without_length_still_has_a_direction(a: Point, c: Point, d: Point) -> None:
    """The limit of the tangent points at the next control point; 0.0005 moves a 60 mm allowance by 0.03 mm."""
    assume(distance(a, c) > 20 and distance(a, d) > 20 and distance(c, d) > 20)
    for curve, t, way in ((Cubic(a, a, c, d), 0.0, direction(a, c)), (Cubic(d, c, a, a), 1.0, direction(c, a))):
        found = curve.way(t)
        assert abs(atan2(found.x * way.y - found.y * way.x, found.x * way.x + found.y * way.y)) < 0.005
        assert hypot(*found) == pytest.approx(1)


# ---------------------------------------------------------------- runs


@given(garment_cubics(), garment_cubics(), st.floats(0, 1))
def test_a_place_along_a_run_is_as_far_as_asked(first: Cubic, second: Cubic, share: float) -> None:
    link = Line(first.end, second.start)
    path = (first, link, second)
    far = share * path_length(path)
    place, way = place_at(path, far)
    assert hypot(*way) == pytest.approx(1) or link.length() == 0
    walked = part(path, 0.0, far)
    assert path_length(walked) == pytest.approx(far, abs=SEAM_SHARE)
    if walked:
        assert distance(walked[-1].end, place) < SEAM_SHARE
        t = np.array([1.0])
        if isinstance(walked[-1], Cubic) and walked[-1].length() > 1:
            tangent = derivatives(walked[-1], t)[0][0]
            assert way == pytest.approx(tangent / hypot(*tangent), abs=1e-4)


@given(garment_cubics(), st.floats(0, 1))
def test_a_place_on_a_curve_against_a_fine_polyline(curve: Cubic, share: float) -> None:
    far = share * curve.length()
    place, _ = place_at((curve,), far)
    steps = np.linspace(0, 1, 20001)
    dense = bernstein(curve, steps)
    walked = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(dense, axis=0).T))])
    expected = [np.interp(far, walked, dense[:, axis]) for axis in (0, 1)]
    assert distance(place, (expected[0], expected[1])) < SEAM_SHARE


def test_places_before_and_beyond_a_run_are_held_at_its_ends() -> None:
    path = (Line(Point(0, 0), Point(10, 0)), Line(Point(10, 0), Point(10, 10)))
    assert place_at(path, -1) == ((0, 0), (1, 0))
    assert place_at(path, 15) == ((10, 5), (0, 1))
    assert place_at(path, 21) == ((10, 10), (0, 1))


@given(garment_cubics(), garment_cubics(), st.floats(0, 1), st.floats(0, 1))
def test_a_part_has_its_length_and_lies_on_the_run(first: Cubic, second: Cubic, a: float, b: float) -> None:
    path = (first, Line(first.end, second.start), second)
    whole = path_length(path)
    start, end = sorted((a * whole, b * whole))
    assume(end - start > 0.01)
    piece = part(path, start, end)
    assert path_length(piece) == pytest.approx(end - start, abs=2 * SEAM_SHARE)
    run = shapely.LineString(flatten(path, 0.001))
    assert shapely.distance(run, shapely.points(flatten(piece))).max() < 0.002
    assert all(before.end == after.start for before, after in pairwise(piece))
    assert part(path, end, end) == ()


@given(st.lists(points, min_size=2, max_size=9))
def test_a_polylines_length_is_shapelys(line: list[Point]) -> None:
    assert polyline_length(line) == pytest.approx(shapely.LineString(line).length, abs=1e-9)


@settings(max_examples=150)
@given(garment_cubics(), st.floats(-80, 80))
@example(  # once 0.0137 mm off, between the places that were looked at
    Cubic(
        Point(224.7029536077954, -194.2346207484051),
        Point(290.29339845604846, -159.1771258208005),
        Point(260.6123040010743, -24.879527301328054),
        Point(198.31417524195527, 40.4987799468079),
    ),
    2.95866406186143,
)
def test_a_parallel_run_keeps_its_distance(curve: Cubic, by: float) -> None:
    """Every sampled point within 0.01 mm of the true parallel, and the other way round; refused only where it folds."""
    t = np.linspace(0, 1, 3001)
    first, second = derivatives(curve, t)
    size = np.hypot(first[:, 0], first[:, 1])
    stretch = 1 + by * (first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]) / size**3
    try:
        moved = parallel((curve,), by)
    except GeometryError:
        assert stretch.min() <= 0.01
        return
    true = bernstein(curve, t) + by * np.column_stack([first[:, 1], -first[:, 0]]) / size[:, None]
    ours = np.vstack([bernstein(c, np.linspace(0, 1, 1001)) for c in moved if isinstance(c, Cubic)])
    for line, sampled in ((true, ours[::25]), (ours, true[::10])):
        run = shapely.LineString(line)
        shapely.prepare(run)
        near = shapely.dwithin(run, shapely.points(sampled), PARALLEL_WITHIN + 1e-4)
        assert near.all(), f"{sampled[~near][0]} is further than {PARALLEL_WITHIN} mm away"
    assert all(distance(a.end, b.start) < 1e-9 for a, b in pairwise(moved))


def test_a_line_is_moved_to_its_right() -> None:
    assert parallel((Line(Point(0, 0), Point(0, 100)),), 15) == (Line(Point(15, 0), Point(15, 100)),)
    assert parallel((Line(Point(0, 0), Point(0, 100)),), -15) == (Line(Point(-15, 0), Point(-15, 100)),)


def test_no_parallel_inside_a_curve_that_is_tighter() -> None:
    """A quarter circle of 20 mm, walked counter-clockwise, has its centre on the left: 19 mm goes, 25 mm does not."""
    k = 20 * 4 / 3 * tan(pi / 8)
    curve = Cubic(Point(20, 0), Point(20, k), Point(k, 20), Point(0, 20))
    assert path_length(parallel((curve,), -10)) == pytest.approx(10 * pi / 2, abs=0.02)
    with pytest.raises(GeometryError, match=r"more sharply than 25\.0 mm"):
        parallel((curve,), -25)
    assert path_length(parallel((curve,), 25)) == pytest.approx(45 * pi / 2, abs=0.02)


@given(st.floats(-50, 50), st.floats(0.1, 5), st.integers(0, 2))
def test_solve_finds_the_root(root: float, slope: float, kind: int) -> None:
    shape = (lambda d: d, lambda d: d**3 + d, lambda d: np.expm1(d / 20))[kind]
    found = solve(lambda x: slope * shape(x - root), -100, 100)
    assert abs(slope * shape(found - root)) <= 1e-6
    assert solve(lambda x: -slope * shape(x - root), -100, 100) == pytest.approx(found, abs=1e-4)


def test_solve_says_when_there_is_no_root() -> None:
    with pytest.raises(GeometryError, match="no solution between 0 and 10"):
        solve(lambda x: x + 1, 0, 10)
    assert solve(lambda x: x, 0, 10) == 0
    assert solve(lambda x: x - 10, 0, 10) == 10


# ---------------------------------------------------------------- outlines


@st.composite
def rings(draw: st.DrawFn, wildest: float = 0.8) -> list[Point]:
    """Corners round a middle, each moved by up to `wildest` of its share of the turn: beyond 0.5 they may cross."""
    n = draw(st.integers(3, 14))
    turns = [2 * pi * (k + draw(st.floats(-wildest, wildest))) / n for k in range(n)]
    reach = [draw(st.floats(60, 300)) for _ in range(n)]
    return [Point(round(r * cos(t), 3), round(r * sin(t), 3)) for r, t in zip(reach, turns, strict=True)]


@st.composite
def scribbles(draw: st.DrawFn) -> list[Point]:
    """Any corners at all, on a coarse grid too, so that runs touch and overlap."""
    step = draw(st.sampled_from((0.001, 1.0, 50.0)))
    whole = st.integers(-int(300 / step), int(300 / step)).map(lambda v: v * step)
    return draw(st.lists(st.builds(Point, whole, whole), min_size=3, max_size=9))


def is_clear(ring: list[Point]) -> bool:
    """No two corners are one, and none is within 0.001 mm of another's run: there the grid may round either way."""
    n = len(ring)
    return len(set(ring)) == n and all(
        distance_to_segment(ring[i], ring[k - 1], ring[k]) > 0.001
        for i in range(n)
        for k in range(n)
        if i not in (k, (k - 1) % n)
    )


any_rings = st.one_of(rings(), scribbles())


@given(any_rings, places, places)
def test_area_inside_and_crossings_are_shapelys(ring: list[Point], x: float, y: float) -> None:
    shape = shapely.Polygon(ring)
    assume(shape.is_valid)
    assert abs(area(ring)) == pytest.approx(shape.area, abs=1e-6)
    assert (area(ring) > 0) == shapely.LinearRing(ring).is_ccw
    p = shapely.Point(x, y)
    if shape.exterior.distance(p) > 1e-6:
        assert contains(ring, (x, y)) == shape.contains(p)
    if min(abs(corner.y - y) for corner in ring) > 1e-6:
        level = shapely.LineString([(-1000, y), (1000, y)]).intersection(shape.exterior)
        expected = sorted(shapely.get_coordinates(level)[:, 0])
        assert crossings(ring, y) == pytest.approx(expected, abs=1e-6)
    closed = [*ring, ring[0]]
    far = shape.exterior.distance(p)
    assert distance_to_line((x, y), closed) == pytest.approx(far, abs=1e-9)
    assert touches(ring, (x, y), far + 1e-6)
    assert not touches(ring, (x, y), far - 1e-6)
    assert (Box.round(ring).left, Box.round(ring).bottom, Box.round(ring).right, Box.round(ring).top) == shape.bounds


def test_distance_to_a_run_by_hand() -> None:
    assert distance_to_segment((3, 4), (0, 0), (10, 0)) == 4
    assert distance_to_segment((-3, 4), (0, 0), (10, 0)) == 5
    assert distance_to_segment((3, 4), (0, 0), (0, 0)) == 5


@settings(max_examples=400)
@given(any_rings)
def test_a_ring_is_simple_when_shapely_calls_it_valid(ring: list[Point]) -> None:
    if area(ring) < 0:
        ring = ring[::-1]
    shape = shapely.Polygon(ring)
    assume(is_clear(ring))
    assert is_simple(ring) == shape.is_valid
    if shape.is_valid:
        assert outer(ring) == (ring, False)


@given(rings(0.45))
def test_a_valid_ring_comes_back_point_for_point(ring: list[Point]) -> None:
    shape = shapely.Polygon(ring)
    assume(shape.is_valid)
    found, changed = outer(ring)
    assert not changed
    assert found == ring
    assert not is_simple(ring[::-1]), "clockwise is not what an outline is"


@settings(max_examples=300)
@given(st.lists(points, min_size=5, max_size=12))
def test_what_is_left_of_a_crossing_ring_is_valid(ring: list[Point]) -> None:
    shape = shapely.Polygon(ring)
    assume(is_clear(ring) and not shape.is_valid)
    try:
        found, changed = outer(ring)
    except GeometryError:
        assert area(ring) <= 1e-3
        return
    assert changed
    assert shapely.Polygon(found).is_valid
    assert area(found) > 0
    assert shapely.LinearRing(ring).buffer(0.001).contains(shapely.LinearRing(found)), "made of the ring's own runs"


@pytest.mark.parametrize("size", [0.02, 0.3, 20.0])
def test_a_loop_of_any_size_is_found_and_dropped(size: float) -> None:
    """A square whose right side runs past itself and back: a backward loop of some size² / 4 mm² is left over."""
    twist = [(100.0, 50.0 + size / 2), (100.0 + size, 50.0), (100.0 - size, 50.0)]
    ring = [(0.0, 0.0), (100.0, 0.0), *twist, (100.0, 100.0), (0.0, 100.0)]
    assert not shapely.Polygon(ring).is_valid
    assert not is_simple(ring)
    found, changed = outer(ring)
    assert changed
    assert shapely.Polygon(found).is_valid


def test_a_figure_of_eight_keeps_its_forward_half() -> None:
    """By hand: the two runs cross at (20, 20); the forward half is the triangle below."""
    found, changed = outer([(0.0, 0.0), (40.0, 0.0), (0.0, 40.0), (40.0, 40.0)])
    assert changed
    assert sorted(found) == [(0.0, 0.0), (20.0, 20.0), (40.0, 0.0)]


@pytest.mark.parametrize("ring", [[(0.0, 0.0), (10.0, 0.0), (20.0, 0.0)], [(0.0, 0.0), (0.0, 10.0), (10.0, 0.0)]])
def test_no_area_or_clockwise_is_refused(ring: list[tuple[float, float]]) -> None:
    with pytest.raises(GeometryError, match="no area"):
        outer(ring)
    assert not is_simple(ring)


@settings(max_examples=300)
@given(rings(0.35), st.floats(-40, 40))
def test_grown_is_shapelys_mitred_buffer(ring: list[Point], by: float) -> None:
    shape = shapely.Polygon(ring)
    assume(shape.is_valid and abs(by) > 0.5)
    corners = zip([ring[-2], ring[-1], *ring], [ring[-1], *ring], ring, strict=False)
    assume(all(abs(turn_deg(direction(a, b), direction(b, c))) < 160 for a, b, c in corners))  # no mitre is cut short
    expected = shape.buffer(by, join_style="mitre", mitre_limit=10)
    if expected.geom_type != "Polygon" or expected.is_empty or expected.interiors:
        with pytest.raises(GeometryError, match="outlines instead of 1"):
            grown(ring, by)
        return
    found = shapely.Polygon(grown(ring, by))
    assert shapely.symmetric_difference(found, expected, grid_size=1e-4).area <= 0.001 * expected.length


def test_grown_by_hand() -> None:
    square = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]
    assert sorted(grown(square, 10)) == [(-10, -10), (-10, 110), (110, -10), (110, 110)]
    assert sorted(grown(square, -10)) == [(10, 10), (10, 90), (90, 10), (90, 90)]
    with pytest.raises(GeometryError, match="-60 mm leaves 0 outlines"):
        grown(square, -60)
