"""Drawings to outlines: chained, cleaned, parted at corners, curves fitted. Judged by shapely and by hand."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Sequence

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from oaktag.errors import InputError, InputErrors
from oaktag.geometry.curve import Cubic, Line
from oaktag.geometry.path import Path, flatten
from oaktag.geometry.point import XY, Point
from oaktag.intake.clean import outlines_of
from oaktag.intake.corners import corners_of, parted
from oaktag.intake.fit import KNEE, fitted
from oaktag.intake.model import Drawing, DrawnPath, DrawnPoint, DrawnText, Outline

KAPPA = 4 / 3 * (math.sqrt(2) - 1)  # the usual cubic for a quarter circle: 0.027 % off (any handbook)


def lines(points: Sequence[XY], *, closed: bool = False) -> Path:
    line = [*points, points[0]] if closed else list(points)
    return tuple(Line(Point(*a), Point(*b)) for a, b in itertools.pairwise(line))


def ring(points: Sequence[XY], layer: str = "", name: str = "") -> DrawnPath:
    return DrawnPath(lines(points, closed=True), True, layer, name, polyline=True)


def run(*points: XY, layer: str = "", name: str = "") -> DrawnPath:
    return DrawnPath(lines(points), False, layer, name)


def rectangle(left: float, bottom: float, width: float, height: float) -> list[XY]:
    return [(left, bottom), (left + width, bottom), (left + width, bottom + height), (left, bottom + height)]


def circle(x: float, y: float, r: float, name: str = "") -> DrawnPath:
    k = KAPPA * r
    east, north, west, south = Point(x + r, y), Point(x, y + r), Point(x - r, y), Point(x, y - r)
    return DrawnPath(
        (
            Cubic(east, Point(x + r, y + k), Point(x + k, y + r), north),
            Cubic(north, Point(x - k, y + r), Point(x - r, y + k), west),
            Cubic(west, Point(x - r, y - k), Point(x - k, y - r), south),
            Cubic(south, Point(x + k, y - r), Point(x + r, y - k), east),
        ),
        True,
        id=name,
    )


def drawing(*paths: DrawnPath, texts: Sequence[DrawnText] = (), points: Sequence[DrawnPoint] = ()) -> Drawing:
    return Drawing("alto.dxf", "mm", tuple(paths), tuple(texts), tuple(points))


def polygon(outline: Outline, chord: float = 0.001) -> shapely.Polygon:
    points = [p for edge in outline.edges for p in flatten(edge, chord)[:-1]]
    for edge, after in zip(outline.edges, (*outline.edges[1:], outline.edges[0]), strict=True):
        assert edge[-1].end == after[0].start
    return shapely.Polygon(points)


def is_sound(outline: Outline) -> bool:
    """Counter-clockwise and simple, as shapely sees it."""
    shape = polygon(outline)
    return bool(shape.exterior.is_simple and shape.exterior.is_ccw and shape.is_valid)


def arc(r: float, start_deg: float, end_deg: float, chords: int) -> list[XY]:
    angles = [math.radians(start_deg + (end_deg - start_deg) * i / chords) for i in range(chords + 1)]
    return [(r * math.cos(a), r * math.sin(a)) for a in angles]


@st.composite
def stars(draw: st.DrawFn) -> list[XY]:
    """Polygons that are star-shaped about a middle, so simple; sides of some mm at least."""
    n = draw(st.integers(3, 24))
    radii = draw(st.lists(st.floats(60.0, 300.0), min_size=n, max_size=n))
    x, y = draw(st.floats(-500.0, 500.0)), draw(st.floats(-500.0, 500.0))
    return [
        (x + r * math.cos(2 * math.pi * i / n + 0.1), y + r * math.sin(2 * math.pi * i / n + 0.1))
        for i, r in enumerate(radii)
    ]


def scattered(points: Sequence[XY], seed: int, short: float) -> list[DrawnPath]:
    """The sides of a polygon as lines in any order and direction, shortened by up to `short` mm at either end."""
    chance = random.Random(seed)
    sides = []
    for a, b in itertools.pairwise([*points, points[0]]):
        far = math.dist(a, b)
        p, q = chance.uniform(0.0, short) / far, chance.uniform(0.0, short) / far
        start = (a[0] + (b[0] - a[0]) * p, a[1] + (b[1] - a[1]) * p)
        end = (b[0] - (b[0] - a[0]) * q, b[1] - (b[1] - a[1]) * q)
        sides.append(run(end, start) if chance.random() < 0.5 else run(start, end))
    chance.shuffle(sides)
    return sides


# --- chains and gaps ---


@settings(max_examples=60, deadline=None)
@given(stars(), st.integers(0, 2**31), st.sampled_from([0.0, 0.2]))
def test_lines_in_any_order_make_the_same_polygon(points: list[XY], seed: int, short: float) -> None:
    found = outlines_of(drawing(*scattered(points, seed, short)), fit=0.0)
    assert len(found.outlines) == 1 and not found.loose
    shape, true = polygon(found.outlines[0]), shapely.Polygon(points)
    assert is_sound(found.outlines[0])
    # a corner of which both sides were shortened by 0.2 mm is led on, or cut off by less than 0.04 mm²; ends that are
    # a micron apart are one
    most = 1e-6 * true.area if short == 0.0 else 0.04 * len(points) + 0.001 * true.length
    assert shapely.symmetric_difference(shape, true).area <= most
    assert all("gap" in note for note in found.notes) if short else not found.notes


@settings(max_examples=30, deadline=None)
@given(stars(), st.integers(0, 2**31), st.data())
def test_lines_drawn_twice_are_kept_once(points: list[XY], seed: int, data: st.DataObject) -> None:
    sides = scattered(points, seed, 0.0)
    again = data.draw(st.lists(st.integers(0, len(sides) - 1), min_size=1, unique=True))
    doubled = [run(sides[i].curves[0].end, sides[i].curves[0].start) for i in again]
    found = outlines_of(drawing(*sides, *doubled), fit=0.0)
    assert len(found.outlines) == 1 and not found.loose and not found.outlines[0].paths
    assert shapely.symmetric_difference(polygon(found.outlines[0]), shapely.Polygon(points)).area < 1e-3
    assert found.notes[0].startswith(f"{len(again)} line") and "drawn twice" in found.notes[0]


@pytest.mark.parametrize("angle", [8.0, 14.0, 20.0, 29.0])
def test_ends_that_fall_short_of_a_sharp_corner_are_led_on_to_it(angle: float) -> None:
    """Drawn together where they end, they would turn both long sides."""
    a = math.radians(angle)
    short = 0.014 / 2 / math.sin(a / 2)
    far = (600 * math.cos(a), 600 * math.sin(a))
    sides = [run((short, 0), (600, 0)), run((600, 0), far), run(far, (short * math.cos(a), short * math.sin(a)))]
    (outline,) = outlines_of(drawing(*sides), fit=0.0).outlines
    triangle = shapely.Polygon([(0, 0), (600, 0), far])
    assert shapely.hausdorff_distance(polygon(outline).exterior, triangle.exterior) < 1e-6


def test_a_gap_is_told_with_its_width_and_place() -> None:
    sides = [run((0, 0), (200, 0)), run((200.3, 0.4), (200, 300)), run((200, 300), (0, 300)), run((0, 300), (0, 0))]
    found = outlines_of(drawing(*sides))
    assert len(found.outlines) == 1
    assert found.notes == ("a gap of 0.50 mm in a line closed at 200.0 0.0",)  # 3-4-5


def test_gaps_too_wide_are_all_listed_with_coordinates() -> None:
    sides = [run((0, 0), (200, 0)), run((200, 1.5), (200, 300), (0, 300)), run((0, 298), (0, 0))]
    with pytest.raises(InputError) as caught:
        outlines_of(drawing(*sides))
    text = str(caught.value)
    assert text.startswith("alto.dxf: no outline is closed")
    assert "1.50 mm between 200.0 0.0 and 200.0 1.5" in text
    assert "2.00 mm between 0.0 300.0 and 0.0 298.0" in text
    assert len(outlines_of(drawing(*sides), gap=2.5).outlines) == 1
    beside = outlines_of(drawing(*sides, ring(rectangle(500, 0, 100, 100))))
    assert len(beside.outlines) == 1 and len(beside.loose) == 3
    assert sorted(end.gap for end in beside.open_ends) == pytest.approx([1.5, 2.0])
    assert sum("left open" in note for note in beside.notes) == 2


def test_nothing_closed_is_refused() -> None:
    with pytest.raises(InputError, match=r"goes from 0\.0 0\.0 to 300\.0 0\.0, 300\.0 mm apart"):
        outlines_of(drawing(run((0, 0), (300, 0))))
    with pytest.raises(InputError, match="there is no outline in it"):
        outlines_of(drawing())


def test_inner_lines_that_end_at_the_outline_do_not_keep_it_from_closing() -> None:
    a, b, c, d = rectangle(0, 0, 200, 300)
    sides = [run(a, b), run(b, c), run(c, d), run(d, a)]
    blind, across = run(a, (80.0, 120.0)), run(b, d)
    found = outlines_of(drawing(blind, across, *sides))
    assert [polygon(o).area for o in found.outlines] == pytest.approx([60_000.0])
    assert set(found.outlines[0].paths) == {blind, across} and not found.loose


def test_two_pieces_that_share_a_corner_are_two() -> None:
    one, other = rectangle(0, 0, 100, 100), rectangle(100, 100, 60, 60)
    sides = [DrawnPath((line,), False) for r in (one, other) for line in lines(r, closed=True)]
    random.Random(5).shuffle(sides)
    found = outlines_of(drawing(*sides))
    assert sorted(polygon(o).area for o in found.outlines) == pytest.approx([3600.0, 10_000.0])


def test_ends_of_one_layer_are_joined_first() -> None:
    a, b, c, d = rectangle(0, 0, 100, 100)
    cut = [run(p, q, layer="cut") for p, q in itertools.pairwise([a, b, c, d, (0.0, 0.3)])]
    other = run((0.0, 0.2), (40.0, 50.0), layer="dart")
    found = outlines_of(drawing(other, *cut))
    assert len(found.outlines) == 1 and found.outlines[0].layer == "cut"
    assert found.outlines[0].paths == (other,)


def test_pieces_on_several_layers_are_chained_across_them() -> None:
    a, b, c, d = rectangle(0, 0, 200, 300)
    hem = run(a, b, layer="hem")
    found = outlines_of(drawing(hem, run(b, c, d, a, layer="seam", name="2F")))
    assert len(found.outlines) == 1
    assert (found.outlines[0].layer, found.outlines[0].id) == ("seam", "2F")


# --- what is left out ---


def test_tiny_segments_stray_points_and_empty_outlines_are_told() -> None:
    points = [(0.0, 0.0), (200.0, 0.0), (200.004, 0.003), (200.0, 300.0), (0.0, 300.0)]
    flat = ring([(400.0, 0.0), (500.0, 0.0), (500.0, 0.005), (400.0, 0.005)], name="7A")
    found = outlines_of(drawing(ring(points), flat, points=[DrawnPoint(Point(900, 900)), DrawnPoint(Point(50, 50))]))
    assert len(found.outlines) == 1 and len(found.outlines[0].edges) == 4
    assert found.outlines[0].points == (DrawnPoint(Point(50, 50)),)
    assert any(note.startswith("3 segments shorter than 0.01 mm") and "200.0 0.0" in note for note in found.notes)
    assert any(note.startswith("7A encloses nothing") for note in found.notes)
    assert any(note == "1 point in no outline left out, at 900.0 900.0" for note in found.notes)


def test_many_tiny_segments_still_make_a_curve() -> None:
    """A circle of 1 mm radius in steps of 0.006 mm loses points, not its shape."""
    found = outlines_of(drawing(ring(arc(1.0, 0, 360, 1000)[:-1])), fit=0.0)
    assert polygon(found.outlines[0]).area == pytest.approx(math.pi, rel=1e-3)


def test_an_outline_drawn_twice_is_kept_once() -> None:
    points = rectangle(0, 0, 200, 300)
    again = [(x + 0.01, y - 0.01) for x, y in reversed(points)]
    found = outlines_of(drawing(ring(points, name="1"), ring(again, name="2")))
    assert [o.id for o in found.outlines] == ["1"] and found.outlines[0].paths == ()
    assert found.notes == ("1 closed line drawn twice, kept once: at 0.0 300.0",)
    inside = outlines_of(drawing(ring(points), ring([(x * 0.99 + 1, y * 0.99 + 1) for x, y in points])))
    assert len(inside.outlines[0].paths) == 1  # 1 mm apart: two lines


def test_ignored_runs_are_not_looked_at() -> None:
    found = outlines_of(
        drawing(ring(rectangle(0, 0, 200, 300)), run((0, 0), (50, 50), layer="help")),
        ignored=lambda path: path.layer == "help",
    )
    assert found.outlines[0].paths == () and found.notes == ("1 run not looked at, as asked",)


# --- crossings ---


def test_corners_whose_lines_run_past_each_other_are_trimmed() -> None:
    """A rectangle with one corner overshot by 2 mm both ways: a loop of 2 mm² (a triangle of 2 × 2 mm) is cut off."""
    points = [(0.0, 0.0), (202.0, 0.0), (200.0, -2.0), (200.0, 300.0), (0.0, 300.0)]
    found = outlines_of(drawing(ring(points, name="front")))
    assert found.notes == ("a loop of 2.0 mm² of front cut off at 200.0 0.0",)
    assert polygon(found.outlines[0]).area == pytest.approx(60_000.0)
    assert len(found.outlines[0].edges) == 4


def test_an_outline_that_crosses_itself_is_refused_with_the_place() -> None:
    """A bow tie: the diagonals of a square of 100 mm cross in its middle; each loop is a quarter of it, 2500 mm²."""
    bow = [(0.0, 0.0), (100.0, 100.0), (100.0, 0.0), (0.0, 100.0)]
    with pytest.raises(InputError, match=r"tie crosses or touches itself at 50\.0 50\.0; the loop there has 2500 mm²"):
        outlines_of(drawing(ring(bow, name="tie")))
    with pytest.raises(InputErrors) as caught:
        outlines_of(drawing(ring(bow), ring([(x + 300, y) for x, y in bow])))
    assert "50.0 50.0" in str(caught.value) and "350.0 50.0" in str(caught.value)


@settings(max_examples=80, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 200), st.integers(0, 200)), min_size=4, max_size=9, unique=True))
def test_what_comes_out_is_simple_or_refused(points: list[tuple[int, int]]) -> None:
    """Any closed polyline: a simple one comes out as it is, another without small loops, or it is refused."""
    source = [(float(x), float(y)) for x, y in points]
    simple = shapely.LinearRing(source).is_simple
    assume(shapely.Polygon(source).buffer(0).area > 100.0)
    try:
        found = outlines_of(drawing(ring(source)), fit=0.0)
    except (InputError, InputErrors):
        assert not simple
        return
    assert len(found.outlines) == 1 and is_sound(found.outlines[0])
    shape = polygon(found.outlines[0])
    if simple and not any("out and back" in note for note in found.notes):
        assert shapely.symmetric_difference(shape, shapely.Polygon(source)).area < 1e-6
    else:
        assert found.notes


def test_curves_that_cross_are_trimmed_on_the_curve() -> None:
    """An overshot corner between a cubic and a line: the new corner lies on both, to 0.01 mm."""
    curve = Cubic(Point(0, 0), Point(60, 40), Point(140, 40), Point(203, -3))
    path = (curve, *lines([(203, -3), (200, -3), (200, 300), (0, 300), (0, 0)]))
    found = outlines_of(drawing(DrawnPath(path, True)))
    assert is_sound(found.outlines[0]) and "cut off" in found.notes[0]
    corner = min((e[0].start for e in found.outlines[0].edges), key=lambda p: math.dist(p, (200, 0)))
    drawn = shapely.LineString(flatten((curve,), 0.0005))
    assert corner[0] == pytest.approx(200.0, abs=0.01) and drawn.distance(shapely.Point(corner)) < 0.01


def test_a_line_out_and_back_comes_off_and_is_kept_as_a_line() -> None:
    """A slit notch drawn in the outline: 6 mm in from the hem and back."""
    points = [(0.0, 0.0), (80.0, 0.0), (80.0, 6.0), (80.0, 0.0), (200.0, 0.0), (200.0, 300.0), (0.0, 300.0)]
    found = outlines_of(drawing(ring(points)))
    assert polygon(found.outlines[0]).area == pytest.approx(60_000.0) and len(found.outlines[0].edges) == 4
    (notch,) = found.outlines[0].paths
    assert notch.curves == (Line(Point(80, 0), Point(80, 6)),)


def test_a_line_out_and_back_at_the_beginning_comes_off_too() -> None:
    points = [(80.0, 6.0), (80.0, 0.0), (200.0, 0.0), (200.0, 300.0), (0.0, 300.0), (0.0, 0.0), (80.0, 0.0)]
    found = outlines_of(drawing(ring(points)))
    assert polygon(found.outlines[0]).area == pytest.approx(60_000.0) and len(found.outlines[0].edges) == 4
    assert found.outlines[0].paths[0].curves == (Line(Point(80, 0), Point(80, 6)),)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.tuples(st.booleans(), st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), min_size=3, max_size=6)),
        min_size=1,
        max_size=12,
    ),
    st.sampled_from([7.0, 20.0, 50.0]),
)
def test_any_tangle_of_lines_gives_simple_outlines_or_is_refused(
    runs: list[tuple[bool, list[tuple[int, int]]]], step: float
) -> None:
    """Lines on a grid, so that they meet, overlap and run back on themselves as much as lines can."""
    paths = [
        ring(points) if closed else run(*points)
        for closed, points in ((c, [(x * step, y * step) for x, y in places]) for c, places in runs)
    ]
    try:
        found = outlines_of(drawing(*paths), fit=0.0)
    except (InputError, InputErrors) as error:
        assert "alto.dxf: " in str(error)
        return
    assert found.outlines and all(is_sound(outline) for outline in found.outlines)
    assert found == outlines_of(drawing(*paths), fit=0.0)


# --- what lies in what ---


def test_closed_runs_within_another_are_inner_lines() -> None:
    body, pocket = ring(rectangle(0, 0, 200, 300), name="body"), ring(rectangle(40, 100, 60, 70), name="pocket")
    hole, other = circle(150, 50, 2, "hole"), ring(rectangle(300, 0, 100, 100), name="cuff")
    found = outlines_of(drawing(hole, pocket, body, other))
    assert [o.id for o in found.outlines] == ["body", "cuff"]
    assert {p.id for p in found.outlines[0].paths} == {"hole", "pocket"}
    asked = outlines_of(
        drawing(hole, pocket, body, other), is_outline=lambda p: p.id in ("body", "pocket"), ignored=lambda p: False
    )
    assert [o.id for o in asked.outlines] == ["pocket", "body"]
    assert [p.id for p in asked.outlines[1].paths] == ["hole"] and [p.id for p in asked.loose] == ["cuff"]


@settings(max_examples=30, deadline=None)
@given(stars(), st.floats(3.0, 15.0))
def test_a_stitch_line_in_a_cut_line_is_one_piece(points: list[XY], allowance: float) -> None:
    cut = shapely.Polygon(points).buffer(allowance, join_style="mitre")
    assume(cut.geom_type == "Polygon" and not cut.interiors)
    outer = [(x, y) for x, y in cut.exterior.coords[:-1]]
    found = outlines_of(drawing(ring(points, name="stitch"), ring(outer, name="cut")), fit=0.0)
    assert [o.id for o in found.outlines] == ["cut"]
    assert [p.id for p in found.outlines[0].paths] == ["stitch"]


def test_marks_on_the_edge_belong_to_the_piece() -> None:
    body = ring(rectangle(0, 0, 200, 300))
    stuck_out = run((100.0, 2.0), (100.0, -6.0), name="slit")
    beside = run((200.8, 100.0), (206.0, 100.0), name="beside")
    triangle = ring([(-4.0, 148.0), (0.5, 150.0), (-4.0, 152.0)], name="v")
    far = run((230.0, 0.0), (230.0, 80.0), name="far")
    inside, outside = DrawnText("front", Point(50, 50)), DrawnText("scale", Point(400, 50))
    found = outlines_of(drawing(stuck_out, beside, triangle, far, body, texts=[inside, outside]))
    assert len(found.outlines) == 1
    assert {p.id for p in found.outlines[0].paths} == {"slit", "beside", "v"}
    assert [p.id for p in found.loose] == ["far"] and found.outlines[0].texts == (inside,)
    assert "1 text in no outline left out, at 400.0 50.0" in found.notes


def test_pieces_side_by_side_stay_pieces() -> None:
    """They share a whole edge, each drawn as its own outline."""
    found = outlines_of(drawing(ring(rectangle(0, 0, 200, 300)), ring(rectangle(200, 0, 50, 300))))
    assert [polygon(o).area for o in found.outlines] == pytest.approx([60_000.0, 15_000.0])


# --- corners ---


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 8, 12, 14])
@pytest.mark.parametrize("turned", [0.0, 17.0])
def test_regular_polygons_have_as_many_corners_as_sides(sides: int, turned: float) -> None:
    points = arc(100.0, turned, turned + 360.0, sides)[:-1]  # they turn by 360° / n, 25.7° at 14
    assert len(corners_of(lines(points, closed=True))) == sides
    fine = [
        (a[0] + (b[0] - a[0]) * k / 50, a[1] + (b[1] - a[1]) * k / 50)
        for a, b in itertools.pairwise([*points, points[0]])
        for k in range(50)
    ]
    assert corners_of(lines(fine, closed=True)) == [50 * i for i in range(sides)]


@pytest.mark.parametrize("r", [3.0, 10.0, 100.0])
@pytest.mark.parametrize("chords", [40, 200, 2000])
def test_circles_have_no_corner(r: float, chords: int) -> None:
    assert corners_of(lines(arc(r, 0, 360, chords)[:-1], closed=True)) == []
    assert corners_of(circle(0, 0, r).curves) == []


def test_a_corner_between_short_chords_is_one() -> None:
    """A square of 100 mm whose corners were cut off by chords of 0.07 mm, each of which turns by less than 25°."""
    rounded = [
        (x + 0.1 * math.cos(math.radians(90 * q + 90 * k / 5)), y + 0.1 * math.sin(math.radians(90 * q + 90 * k / 5)))
        for q, (x, y) in enumerate([(100.0, 100.0), (0.0, 100.0), (0.0, 0.0), (100.0, 0.0)])
        for k in range(6)
    ]
    assert len(corners_of(lines(rounded, closed=True))) == 4


def test_a_rounded_corner_is_none() -> None:
    """Radius 6 mm in chords of 0.4 mm: a pocket's."""
    rounded = [
        (x + 6 * math.cos(math.radians(90 * q + 90 * k / 24)), y + 6 * math.sin(math.radians(90 * q + 90 * k / 24)))
        for q, (x, y) in enumerate([(100.0, 100.0), (0.0, 100.0), (0.0, 0.0), (100.0, 0.0)])
        for k in range(25)
    ]
    assert corners_of(lines(rounded, closed=True)) == []


def test_edges_begin_at_the_lowest_left_corner() -> None:
    points = rectangle(10, 20, 200, 300)
    for k in range(4):
        edges = parted(lines([*points[k:], *points[:k]], closed=True))
        assert [edge[0].start for edge in edges] == [Point(*p) for p in points]
    (smooth,) = parted(circle(0, 0, 50).curves)
    assert smooth[0].start == Point(0, -50) and len(smooth) == 4


def test_curves_meet_in_a_corner_by_their_end_tangents() -> None:
    """A lens of two cubics: they leave its ends at 45°, so it turns by 90° there."""
    up = Cubic(Point(0, 0), Point(30, 30), Point(70, 30), Point(100, 0))
    down = Cubic(Point(100, 0), Point(70, -30), Point(30, -30), Point(0, 0))
    assert corners_of((up, down)) == [0, 1]
    assert corners_of((up, down), 91.0) == []


# --- fitted curves ---


def kinks_deg(path: Path) -> list[float]:
    found = []
    for a, b in itertools.pairwise(path):
        p, q = a.way(1.0), b.way(0.0)
        found.append(abs(math.degrees(math.atan2(p[0] * q[1] - p[1] * q[0], p[0] * q[0] + p[1] * q[1]))))
    return found


def off(points: Sequence[XY], path: Path) -> float:
    line = shapely.LineString(flatten(path, 0.0005))
    return float(shapely.distance(shapely.points(np.array(points)), line).max())


@settings(max_examples=60, deadline=None)
@given(
    st.floats(30.0, 400.0),
    st.lists(st.floats(-150.0, 150.0), min_size=4, max_size=4),
    st.sampled_from([0.2, 0.05, 0.005]),
    st.sampled_from([0.02, 0.05, 0.2]),
)
def test_flattened_cubics_come_back(span: float, handles: list[float], chord: float, within: float) -> None:
    """One cubic in, few out; all points within the tolerance, and the curve within it of the source curve's chords."""
    ax, ay, bx, by = handles
    source = Cubic(Point(0, 0), Point(abs(ax) + 10, ay), Point(span - abs(bx) / 4, by), Point(span, span / 3))
    points: list[XY] = [source.a, *source.flat(chord)]
    bends = [abs(source.bend(t)) for t in np.linspace(0, 1, 2001).tolist()]
    assume(max(bends) < 1 / 8)  # no cusp, however small: cloth is not cut with a radius below 8 mm in a seam
    path = fitted(points, within)
    assert (path[0].start, path[-1].end) == (points[0], points[-1])
    assert off(points, path) <= within + 0.001
    line, back = shapely.LineString(points), shapely.LineString(flatten(path, 0.0005))
    assert shapely.hausdorff_distance(back, line, densify=0.05) <= within + chord + 0.001
    assert max(kinks_deg(path), default=0.0) < 0.01
    assert len(path) <= max(6, len(points) // 8)  # hooked ends ask for more than one, but for far fewer than chords


@pytest.mark.parametrize(("degrees", "most"), [(60, 1), (90, 1), (180, 2), (270, 3)])
@pytest.mark.parametrize("chords", [36, 400])
def test_arcs_fit_in_few_cubics(degrees: float, most: int, chords: int) -> None:
    """A quarter circle by one cubic is 0.027 % off: 0.027 mm at a radius of 100 mm, less than 0.05."""
    points = arc(100.0, 10.0, 10.0 + degrees, chords)
    path = fitted(points, 0.05)
    assert len(path) <= most and all(isinstance(curve, Cubic) for curve in path)
    radii = np.hypot(*np.array(flatten(path, 0.0005)).T)
    rise = 100.0 * (1 - math.cos(math.radians(degrees / chords / 2)))
    assert np.abs(radii - 100.0).max() <= 0.05 + rise


def test_straight_runs_become_one_line() -> None:
    points = [(i * 3.0, i * 1.5 + 0.01 * (-1) ** i) for i in range(100)]
    assert fitted(points, 0.05) == (Line(Point(*points[0]), Point(*points[-1])),)
    run_on = [(-200.0 + 10 * i, 0.0) for i in range(20)] + [(x, y + 80) for x, y in arc(80.0, -90, 0, 40)]
    path = fitted(run_on, 0.05)
    assert [type(curve) for curve in path] == [Line, Cubic]
    assert max(kinks_deg(path)) < 0.01 and math.dist(path[0].end, (0, 0)) < 3.0


def test_bends_between_straight_lines_stay() -> None:
    points = [(0.0, 0.0), (120.0, 0.0), (250.0, 20.0)]
    assert fitted(points, 0.05) == lines(points)


def test_a_smooth_closed_run_has_no_kink_at_its_beginning() -> None:
    points = arc(60.0, 0, 360, 180)
    points[-1] = points[0]
    path = fitted(points, 0.05, smooth=True)
    assert len(path) <= 5 and path[0].start == path[-1].end
    assert max(kinks_deg((*path, path[0]))) < 0.01


def test_rough_points_stay_lines_within_the_tolerance() -> None:
    source = Cubic(Point(0, 0), Point(150, 20), Point(50, 200), Point(250, 260))
    points = [(round(x, 1), round(y, 1)) for x, y in [source.a, *source.flat(0.001)]]
    assert off(points, fitted(points, 0.02)) <= 0.02


@settings(max_examples=25, deadline=None)
@given(stars(), st.integers(1, 40))
def test_fitting_never_leaves_the_outline(points: list[XY], parts: int) -> None:
    """A polygon drawn with many points comes back as it was: its sides are straight, its slightest bends round."""
    fine = [
        (a[0] + (b[0] - a[0]) * k / parts, a[1] + (b[1] - a[1]) * k / parts)
        for a, b in itertools.pairwise([*points, points[0]])
        for k in range(parts)
    ]
    found = outlines_of(drawing(ring(fine)))
    assert shapely.hausdorff_distance(polygon(found.outlines[0]).exterior, shapely.LinearRing(points)) <= KNEE + 0.05
    assert is_sound(found.outlines[0])


def test_a_bodice_of_polylines() -> None:
    """Worked: a half front, straight but for its armhole (a quarter circle of 60 mm in 30 chords)."""
    armhole = [(200 + x, 360 + y) for x, y in arc(60.0, 270, 180, 30)]
    points = [(0.0, 0.0), (200.0, 0.0), *armhole, (60.0, 400.0), (0.0, 380.0)]
    found = outlines_of(drawing(ring(points, name="front")))
    (front,) = found.outlines
    kinds = ["".join("L" if isinstance(curve, Line) else "C" for curve in edge) for edge in front.edges]
    assert kinds[:3] == ["L", "L", "C"] and set(kinds[3:]) <= {"L", "LL"}
    middle = shapely.Point(200, 360)
    radii = [shapely.distance(middle, shapely.Point(p)) for p in flatten(front.edges[2], 0.001)]
    assert max(abs(r - 60.0) for r in radii) < 0.07
