"""Cut lines against shapely, over many outlines; single corners and the turned-back hem against numbers by hand.

An allowance is right when the cut line contains every band of its width beside an edge (less 0.05 mm), and away from
the corners is nowhere further out than that (plus 0.10 mm).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import cos, hypot, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from oaktag.errors import GeometryError, InputError
from oaktag.finish.allowances import allow, allow_piece, profiles_for
from oaktag.finish.corners import MITRE_LIMIT
from oaktag.geometry.curve import CHORD, Cubic, Line
from oaktag.geometry.path import flatten
from oaktag.geometry.point import XY, Point, along, direction, distance, mirrored, turn_deg
from oaktag.geometry.polygon import area
from oaktag.model.draft import Draft
from oaktag.model.pattern import CutPiece
from oaktag.model.piece import Edge, EdgeKind, NotchPlace, Piece
from oaktag.model.widths import Profile, Station

ABOVE, BELOW = 0.10, 0.05
"""Cut line to stitch line against the allowance, mm: the project's tolerance, away from the corners."""

P = Point
SEAM, HEM, FOLD, OPENING = EdgeKind.SEAM, EdgeKind.HEM, EdgeKind.FOLD, EdgeKind.OPENING


@dataclass(frozen=True)
class Case:
    """A piece and the width of each of its edges."""

    piece: Piece
    widths: Mapping[str, float]

    def cut(self) -> CutPiece:
        return allow_piece(self.piece, self.widths)

    def lines(self) -> list[list[XY]]:
        return [flatten(edge.curves) for edge in self.piece.edges]

    def stitch(self) -> shapely.Polygon:
        return shapely.Polygon([p for line in self.lines() for p in line[:-1]])


def piece_of(*edges: Edge) -> Piece:
    return Piece("shape", edges, {}, (edges[0].start, edges[0].end))


def polygon(corners: list[Point], kinds: Mapping[int, EdgeKind] | None = None) -> Piece:
    """Straight edges e0, e1, ... from corner to corner."""
    kinds = kinds or {}
    ends = [*corners[1:], corners[0]]
    return piece_of(
        *(Edge.straight(f"e{i}", a, b, kinds.get(i, SEAM)) for i, (a, b) in enumerate(zip(corners, ends, strict=True)))
    )


any_width = st.one_of(st.just(0.0), st.floats(0.1, 15), st.floats(0.1, 60))


@st.composite
def edges_between(draw: st.DrawFn, name: str, a: Point, b: Point, lean: float = 40.0) -> Edge:
    """A line, or a cubic that leaves and arrives within `lean` degrees of the chord."""
    if draw(st.booleans()):
        return Edge.straight(name, a, b)
    way, length = direction(a, b), distance(a, b)
    handles = []
    for _ in range(2):
        t, size = radians(draw(st.floats(-lean, lean))), draw(st.floats(0.2, 0.45)) * length
        handles.append((size * (way.x * cos(t) - way.y * sin(t)), size * (way.x * sin(t) + way.y * cos(t))))
    return Edge(name, SEAM, (Cubic.leaving_and_arriving(a, handles[0], b, handles[1]),))


@st.composite
def outlines(draw: st.DrawFn) -> Piece:
    """3 to 9 corners, outward and inward ones, 150 to 400 mm from the middle; line and cubic edges."""
    n = draw(st.integers(3, 9))
    corners = []
    for k in range(n):
        turn, reach = 2 * pi * (k + draw(st.floats(-0.3, 0.3))) / n, draw(st.floats(150, 400))
        corners.append(Point(reach * cos(turn), reach * sin(turn)))
    ends = [*corners[1:], corners[0]]
    return piece_of(*(draw(edges_between(f"e{i}", a, b)) for i, (a, b) in enumerate(zip(corners, ends, strict=True))))


@st.composite
def cases(draw: st.DrawFn) -> Case:
    piece = draw(outlines())
    case = Case(piece, {edge.name: draw(any_width) for edge in piece.edges})
    assume(case.stitch().is_valid)
    return case


def beside_run(a: XY, b: XY, width: float) -> shapely.Polygon:
    """The rectangle on the right of a run."""
    way = direction(a, b)
    x, y = way.y * width, -way.x * width
    return shapely.Polygon([a, (a[0] + x, a[1] + y), (b[0] + x, b[1] + y), b])


def bands(lines: list[list[XY]], widths: list[float]) -> shapely.Geometry:
    """What must be inside the cut line: a rectangle of the edge's width on the right of every run.

    An edge's width ends square to its ends, so what a bent run would have beyond them does not count.
    """
    found = []
    for line, width in zip(lines, widths, strict=True):
        if width > 0:
            band = shapely.union_all([beside_run(a, b, width) for a, b in pairwise(line)])
            before = beside_run(along(line[0], direction(line[1], line[0]), width), line[0], width + 1)
            after = beside_run(line[-1], along(line[-1], direction(*line[-2:]), width), width + 1)
            found.append(band.difference(before).difference(after))
    return shapely.union_all(found)


def difference(ring: Sequence[XY], other: shapely.Polygon) -> float:
    """What only one of the two covers, mm²; on a grid, since shapely's overlay fails on all but equal shapes."""
    return float(shapely.symmetric_difference(shapely.Polygon(ring), other, grid_size=1e-4).area)


def corner_reach(before: list[XY], after: list[XY], widths: tuple[float, float]) -> float:
    """How far a corner's finish may reach from it, mm, with a little air: to the mitre, or to where it is cut off."""
    turn = abs(turn_deg(direction(*before[-2:]), direction(*after[:2])))
    limit = min(MITRE_LIMIT, 1 / max(cos(radians(turn) / 2), 1e-9))
    return max(widths) * (limit * 1.15 if turn < 130 else 2.9) + 1.0


def assert_allowances_held(case: Case, cut: CutPiece) -> None:
    """Simple, contains the piece and every band; away from corners nowhere further out than meant."""
    lines = [list(cut.lines[edge.name]) for edge in case.piece.edges]
    for edge, line in zip(case.piece.edges, lines, strict=True):
        exact = shapely.points(flatten(edge.curves, 1e-3))
        assert shapely.distance(exact, shapely.LineString(line)).max() <= CHORD + 1e-9
    widths = [case.widths[edge.name] for edge in case.piece.edges]
    outline = shapely.Polygon(cut.cut_line)
    assert outline.is_valid, shapely.is_valid_reason(outline)
    assert area(cut.cut_line) > 0
    roomy = outline.buffer(1e-3)
    assert roomy.contains(shapely.Polygon(cut.stitch_line))
    beside = bands(lines, [width - BELOW for width in widths])
    assert beside.is_empty or roomy.contains(beside), "an allowance is too narrow"
    ring = outline.exterior
    sampled = np.concatenate([ring.interpolate(np.arange(0, ring.length, 4.0)), shapely.points(cut.cut_line)])
    away = np.ones(len(sampled), dtype=bool)
    for i, line in enumerate(lines):
        reach = corner_reach(lines[i - 1], line, (widths[i - 1], widths[i]))
        away &= shapely.distance(sampled, shapely.Point(line[0])) > reach
    beyond = [
        shapely.distance(sampled, shapely.LineString(line)) - width for line, width in zip(lines, widths, strict=True)
    ]
    worst = np.min(beyond, axis=0)[away].max(initial=0.0)
    assert worst <= ABOVE, f"an allowance is {worst:.3f} mm too wide"


@settings(max_examples=300)
@given(cases())
def test_any_outline_with_any_widths(case: Case) -> None:
    assert_allowances_held(case, case.cut())


@settings(max_examples=200)
@given(outlines(), st.one_of(st.just(0.0), st.floats(0.1, 60)))
def test_equal_widths_are_shapelys_mitred_buffer(piece: Piece, width: float) -> None:
    """Same mitre limit; what the offset shuts in on itself is cut away with it, so holes are filled."""
    case = Case(piece, {edge.name: width for edge in piece.edges})
    stitch = case.stitch()
    assume(stitch.is_valid)
    expected = stitch.buffer(width, join_style="mitre", mitre_limit=MITRE_LIMIT)
    cut = case.cut()
    assert difference(cut.cut_line, shapely.Polygon(expected.exterior)) <= 0.05 * stitch.length


@given(outlines(), st.floats(0, 55), st.floats(0.5, 5))
def test_a_wider_allowance_only_adds(piece: Piece, width: float, more: float) -> None:
    assume(Case(piece, {}).stitch().is_valid)
    narrow, wide = (
        shapely.Polygon(allow_piece(piece, dict.fromkeys((edge.name for edge in piece.edges), size)).cut_line)
        for size in (width, width + more)
    )
    assert wide.buffer(1e-3).contains(narrow)
    assert wide.area > narrow.area


@given(cases())
def test_no_allowance_is_the_stitch_line(case: Case) -> None:
    cut = allow_piece(case.piece, dict.fromkeys(case.widths, 0.0))
    assert difference(cut.cut_line, case.stitch()) < 1.0
    assert cut.notes == ()


# ---------------------------------------------------------------- corners by hand


def near(found: tuple[XY, ...], expected: list[XY]) -> bool:
    """The same ring, from whichever corner."""
    n = len(expected)
    return len(found) == n and any(
        all(distance(found[(i + k) % n], expected[i]) < 1e-3 for i in range(n)) for k in range(n)
    )


SQUARE = [P(0, 0), P(100, 0), P(100, 100), P(0, 100)]


def test_a_square_with_four_widths() -> None:
    cut = allow_piece(polygon(SQUARE), {"e0": 10, "e1": 20, "e2": 5, "e3": 0})
    assert near(cut.cut_line, [(0, -10), (120, -10), (120, 105), (0, 105)])
    assert set(cut.corners.values()) == {"mitre"}
    assert cut.stitch_line == tuple(SQUARE)


def test_an_inward_corner_with_two_widths() -> None:
    """An L: at the inward corner (40, 40) the two moved edges meet at (50, 45)."""
    shape = [P(0, 0), P(100, 0), P(100, 40), P(40, 40), P(40, 100), P(0, 100)]
    cut = allow_piece(polygon(shape), {"e0": 5, "e1": 5, "e2": 5, "e3": 10, "e4": 5, "e5": 5})
    assert near(cut.cut_line, [(-5, -5), (105, -5), (105, 45), (50, 45), (50, 105), (-5, 105)])
    assert cut.notes == ()


@pytest.mark.parametrize(("turn", "finish"), [(130.0, "mitre"), (134.0, "bevel"), (160.0, "bevel")])
def test_a_sharp_point_is_cut_off_where_a_mitre_may_reach(turn: float, finish: str) -> None:
    """The mitre of a turn t reaches 1 / cos(t/2) widths: 2.366 at 130°, 2.559 at 134°; the limit is 2.5 (own rule)."""
    half = 300 * tan(radians(180 - turn) / 2)
    cut = allow_piece(polygon([P(0, -half), P(300, 0), P(0, half)]), dict.fromkeys(("e0", "e1", "e2"), 10.0))
    assert cut.corners["e1"] == finish
    reach = max(x for x, _ in cut.cut_line) - 300
    assert reach == pytest.approx(10 * min(MITRE_LIMIT, 1 / cos(radians(turn) / 2)), abs=1e-6)
    on_end = [p for p in cut.cut_line if abs(p[0] - 300 - reach) < 1e-6]
    assert len(on_end) == (1 if finish == "mitre" else 2)


def test_a_wide_edge_that_runs_on_into_a_narrow_one_keeps_its_width_to_its_end() -> None:
    """A corner that turns by 10° only: the wide allowance ends square to its edge instead of fading out along it."""
    t = radians(10)
    shape = [P(-300, 0), P(0, 0), P(300 * cos(t), 300 * sin(t)), P(0, 300)]
    cut = allow_piece(polygon(shape), {"e0": 40, "e1": 10, "e2": 10, "e3": 10})
    assert cut.corners["e1"] == "step"
    assert any(distance(p, (0, -40)) < 1e-6 for p in cut.cut_line)
    assert any(distance(p, (10 * sin(t), -10 * cos(t))) < 1e-6 for p in cut.cut_line)


def test_a_curve_tighter_than_its_allowance_is_told() -> None:
    """A slot with a round end of 10 mm and 15 mm round it: nothing of the slot is left, and a note says so."""
    k = 10 * 4 / 3 * tan(pi / 8)
    round_end = (
        Cubic(P(60, 40), P(60, 40 - k), P(50 + k, 30), P(50, 30)),
        Cubic(P(50, 30), P(50 - k, 30), P(40, 40 - k), P(40, 40)),
    )
    edges = (
        Edge.straight("bottom", P(0, 0), P(100, 0)),
        Edge.straight("right", P(100, 0), P(100, 100)),
        Edge.straight("top_right", P(100, 100), P(60, 100)),
        Edge("slot", SEAM, (Line(P(60, 100), P(60, 40)), *round_end, Line(P(40, 40), P(40, 100)))),
        Edge.straight("top_left", P(40, 100), P(0, 100)),
        Edge.straight("left", P(0, 100), P(0, 0)),
    )
    cut = allow_piece(piece_of(*edges), dict.fromkeys((edge.name for edge in edges), 15.0))
    assert len(cut.notes) == 1
    assert cut.notes[0].startswith("shape: an inner curve is tighter than its allowance")
    assert difference(cut.cut_line, shapely.box(-15, -15, 115, 115)) < 0.1


@pytest.mark.parametrize("radius", [3.0, 10.0, 20.0, 40.0])
@pytest.mark.parametrize("width", [10.0, 38.1, 60.0])
def test_a_wide_allowance_round_a_tight_outward_curve(radius: float, width: float) -> None:
    """A rounded corner: the cut line is width mm from the stitch line all round, +0.10 / −0.05 mm."""
    k = radius * (1 - 0.5522847498)
    bend = Cubic(P(200 - radius, 0), P(200 - k, 0), P(200, k), P(200, radius))
    edges = (
        Edge("round", SEAM, (Line(P(0, 0), bend.a), bend, Line(bend.d, P(200, 200)))),
        Edge.straight("top", P(200, 200), P(0, 200)),
        Edge.straight("left", P(0, 200), P(0, 0)),
    )
    cut = allow_piece(piece_of(*edges), {"round": width, "top": width, "left": width})
    line = shapely.LineString(flatten(edges[0].curves, 1e-4))
    arc = shapely.LineString(cut.cut_line).segmentize(0.5)
    away = [p for p in map(shapely.Point, arc.coords) if p.x > 50 and p.y < 150 and p.y - 200 < p.x]
    apart = [line.distance(p) - width for p in away]
    assert len(apart) > 100
    assert max(apart) <= ABOVE
    assert min(apart) >= -BELOW


def test_edges_that_run_straight_on_share_one_point() -> None:
    shape = [P(0, 0), P(50, 0), P(100, 0), P(100, 100), P(0, 100)]
    cut = allow_piece(polygon(shape), dict.fromkeys(("e0", "e1", "e2", "e3", "e4"), 10.0))
    assert cut.corners["e1"] == "straight on"
    assert near(cut.cut_line, [(-10, -10), (50, -10), (110, -10), (110, 110), (-10, 110)])


@pytest.mark.parametrize("dip", [0.0, 0.3, -0.3])
def test_a_width_that_changes_on_a_straight_run_is_a_step(dip: float) -> None:
    """As where a slit begins in a seam: 40 to the middle, 10 beyond it, with a jog square to the edge (0.3 mm off)."""
    shape = [P(0, 0), P(50, dip), P(100, 0), P(100, 100), P(0, 100)]
    cut = allow_piece(polygon(shape), {"e0": 40, "e1": 10, "e2": 10, "e3": 10, "e4": 10})
    assert cut.corners["e1"] == "step"
    for expected in ((-10, -40), (50, -40), (50, -10), (110, -10), (110, 110), (-10, 110)):
        assert min(distance(p, expected) for p in cut.cut_line) < 1
    assert len(cut.cut_line) == 6
    assert shapely.Polygon(cut.cut_line).is_valid


def test_a_clockwise_piece_is_refused_by_name() -> None:
    with pytest.raises(GeometryError, match="shape: an outline runs clockwise or has no area"):
        allow_piece(polygon(SQUARE[::-1]), dict.fromkeys(("e0", "e1", "e2", "e3"), 0.0))


# ---------------------------------------------------------------- folds


@st.composite
def on_the_fold(draw: st.DrawFn) -> Case:
    """A half with its fold on x = 0: neck and hem meet the fold at 50° to 130°, straight or curved there."""
    depth, width = draw(st.floats(250, 600)), draw(st.floats(150, 350))
    low, high = draw(st.floats(-0.5, 0.5)), draw(st.floats(-0.5, 0.5))
    top, bottom = P(0, 0), P(0, -depth)
    hem_side, neck_side = P(width, -depth + low * 80), P(width, high * 80)
    lean = draw(st.sampled_from((0.0, 25.0)))
    edges = (
        Edge.straight("fold", top, bottom, FOLD),
        draw(edges_between("hem", bottom, hem_side, lean)),
        Edge.straight("side", hem_side, neck_side),
        draw(edges_between("neckline", neck_side, top, lean)),
    )
    kind = draw(st.sampled_from((HEM, SEAM)))
    hem = Edge("hem", kind, edges[1].curves)
    piece = piece_of(edges[0], hem, *edges[2:])
    return Case(piece, {"fold": 0.0, "hem": draw(any_width), "side": draw(any_width), "neckline": draw(any_width)})


@settings(max_examples=200)
@given(on_the_fold())
def test_halves_on_the_fold_unfold_to_one_piece(case: Case) -> None:
    """Nothing lies beyond the fold, the cut line follows it from end to end, and with its mirror it is one outline."""
    cut = case.cut()
    half = shapely.Polygon(cut.cut_line)
    assert half.is_valid
    assert min(x for x, _ in cut.cut_line) > -1e-4
    fold = half.intersection(shapely.LineString([(0, -2000), (0, 2000)]))
    assert fold.geom_type == "LineString"
    ends = sorted(y for _, y in fold.coords)
    assert len([p for p in cut.cut_line if abs(p[0]) < 1e-4]) >= 2
    stitch_ends = sorted((case.piece.edge("fold").start.y, case.piece.edge("fold").end.y))
    assert ends[0] <= stitch_ends[0] + 1e-6
    assert ends[1] >= stitch_ends[1] - 1e-6
    whole = shapely.union(half, shapely.transform(half, lambda xy: xy * [-1, 1]), grid_size=1e-3)
    assert whole.geom_type == "Polygon"
    assert whole.area == pytest.approx(2 * half.area, abs=whole.length * 1e-3)
    for name, y in (("hem", ends[0]), ("neckline", ends[1])):
        away = shapely.LineString(flatten(case.piece.edge(name).curves)).distance(shapely.Point(0, y))
        assert away >= case.widths[name] * 0.75 - BELOW, f"the {name} is cut too narrow at the fold"
    assert half.buffer(1e-3).contains(case.stitch())


def test_a_fold_is_square_by_hand() -> None:
    """Hem 40 and neck 10 square to the fold: the fold line of the cut piece runs from 10 above to 40 below."""
    piece = polygon([P(0, 0), P(0, -300), P(200, -300), P(200, 0)], {0: FOLD, 1: HEM})
    cut = allow_piece(piece, {"e0": 0, "e1": 40, "e2": 15, "e3": 10})
    assert near(cut.cut_line, [(0, 10), (0, -340), (215, -340), (215, -300), (215, 10)])
    assert (cut.corners["e1"], cut.corners["e0"]) == ("fold", "fold")


def test_a_curve_that_falls_to_the_fold_is_cut_off_there() -> None:
    """Moved out by 60 mm, several of its runs lie beyond the fold: they go, and no tangle is left for a note."""
    neck = Cubic(P(300, 120), P(200, 110), P(100, 60), P(0, 0))
    edges = (
        Edge.straight("fold", P(0, 0), P(0, -500), FOLD),
        Edge.straight("hem", P(0, -500), P(300, -500), HEM),
        Edge.straight("side", P(300, -500), P(300, 120)),
        Edge("neckline", SEAM, (neck,)),
    )
    cut = allow_piece(piece_of(*edges), {"fold": 0.0, "hem": 40.0, "side": 15.0, "neckline": 60.0})
    assert cut.notes == ()
    assert len([x for x, _ in cut.cut_edges["neckline"] if x < 0]) > 1
    assert min(x for x, _ in cut.cut_line) == pytest.approx(0, abs=1e-9)
    top = max(y for x, y in cut.cut_line if abs(x) < 1e-6)
    assert shapely.LineString(flatten((neck,), 1e-4)).distance(shapely.Point(0, top)) >= 60 - BELOW


# ---------------------------------------------------------------- the hem turned back


@st.composite
def hemmed(draw: st.DrawFn) -> tuple[Case, float]:
    """A hem on any straight line, between sides that taper or flare by up to 35°, straight or curved; and its turn."""
    width, tall = draw(st.floats(250, 600)), draw(st.floats(200, 500))
    left, right = (tall * tan(radians(draw(st.floats(-30, 20)))) for _ in range(2))
    turn = draw(st.floats(-pi, pi))

    def placed(x: float, y: float) -> Point:
        return P(x * cos(turn) - y * sin(turn), x * sin(turn) + y * cos(turn))

    corners = [placed(0, 0), placed(width, 0), placed(width + right, tall), placed(-left, tall)]
    assume(width + right + left > 60)
    piece = piece_of(
        Edge.straight("hem", corners[0], corners[1], HEM),
        draw(edges_between("right", corners[1], corners[2], 12.0)),
        Edge.straight("top", corners[2], corners[3]),
        draw(edges_between("left", corners[3], corners[0], 12.0)),
    )
    return Case(
        piece,
        {"hem": draw(st.floats(1, 60)), "right": draw(st.floats(0, 40)), "left": draw(st.floats(0, 40)), "top": 10.0},
    ), turn


def levels(outline: shapely.Polygon, corner: XY, turn: float, height: float) -> tuple[float, float]:
    """Where a line parallel to the hem, `height` above it, enters and leaves the piece, mm along the hem."""
    c, s = cos(turn), sin(turn)
    at = (corner[0] - s * height, corner[1] + c * height)
    level = shapely.LineString([(at[0] - 3000 * c, at[1] - 3000 * s), (at[0] + 3000 * c, at[1] + 3000 * s)])
    met = shapely.get_coordinates(level.intersection(outline.exterior))
    along = (met[:, 0] - corner[0]) * c + (met[:, 1] - corner[1]) * s
    return float(along.min()), float(along.max())


@settings(max_examples=300)
@given(hemmed())
def test_a_hem_turned_up_lies_edge_on_edge(drawn: tuple[Case, float]) -> None:
    """At every height the flap, folded about the hem line, is exactly as wide as the piece that it lies on."""
    case, turn = drawn
    assume(case.stitch().is_valid)
    cut = case.cut()
    outline = shapely.Polygon(cut.cut_line)
    assert outline.is_valid
    corner, depth = case.piece.edges[0].start, case.widths["hem"]
    for share in (0.02, 0.3, 0.7, 0.999):
        flap = levels(outline, corner, turn, -share * depth)
        above = levels(outline, corner, turn, share * depth)
        assert flap == pytest.approx(above, abs=0.002)
    deepest = max((x - corner.x) * sin(turn) - (y - corner.y) * cos(turn) for x, y in cut.cut_line)
    assert deepest == pytest.approx(depth, abs=1e-6)
    assert (cut.corners["hem"], cut.corners["right"]) == ("turned-back", "turned-back")
    folded = [mirrored(p, corner, (cos(turn), sin(turn))) for p in cut.cut_line]
    flap_area = shapely.Polygon(folded).intersection(outline).area
    assert flap_area > 0


@pytest.mark.parametrize("allowance", [0.0, 15.0])
def test_a_pegged_skirts_hem_by_hand(allowance: float) -> None:
    """Half width 22 cm at the hem, 0.05 cm more for each cm up, turn 4 cm: the flap ends 22.2 cm wide (identity).

    A side allowance w adds w √(1 + 0.05²) at every level.
    """
    piece = polygon([P(0, 0), P(0, -600), P(220, -600), P(250, 0)], {0: FOLD, 1: HEM})
    cut = allow_piece(piece, {"e0": 0, "e1": 40, "e2": allowance, "e3": 10})
    beside = allowance * sqrt(1 + 0.05**2)
    assert any(distance(p, (222 + beside, -640)) < 1e-6 for p in cut.cut_line)
    assert any(distance(p, (220 + beside, -600)) < 1e-6 for p in cut.cut_line)
    assert any(distance(p, (0, -640)) < 1e-6 for p in cut.cut_line)


def test_a_flared_skirts_hem_by_hand() -> None:
    """Flare 0.2 per mm, turn 30, side allowance 0: the flap is 6 mm narrower at its end."""
    piece = polygon([P(0, 0), P(0, -600), P(300, -600), P(180, 0)], {0: FOLD, 1: HEM})
    cut = allow_piece(piece, {"e0": 0, "e1": 30, "e2": 0, "e3": 10})
    assert any(distance(p, (294, -630)) < 1e-6 for p in cut.cut_line)


@settings(max_examples=200)
@given(cases(), st.integers(0, 8))
def test_a_hem_anywhere_leaves_a_sound_cut_line(case: Case, which: int) -> None:
    """Beside an inward or nearly straight-on neighbour a hem cannot be turned back: its corner is finished plainly."""
    edges = list(case.piece.edges)
    which %= len(edges)
    hem = edges[which]
    edges[which] = Edge.straight(hem.name, hem.start, hem.end, HEM)
    with_hem = Case(piece_of(*edges), case.widths)
    assume(with_hem.stitch().is_valid)
    cut = with_hem.cut()
    outline = shapely.Polygon(cut.cut_line)
    assert outline.is_valid
    assert outline.buffer(1e-3).contains(with_hem.stitch())
    assert with_hem.stitch().buffer(60 * hypot(MITRE_LIMIT, 1) + 1).contains(outline)
    for edge, after in zip(edges, [*edges[1:], edges[0]], strict=True):
        if HEM in (edge.kind, after.kind):
            turn = turn_deg(direction(*flatten(edge.curves)[-2:]), direction(*flatten(after.curves)[:2]))
            assert turn > 0 or cut.corners[after.name] != "turned-back"


# ---------------------------------------------------------------- widths


def draft_of(*pieces: Piece) -> Draft:
    return Draft(
        "sample",
        pieces,
        (),
        (),
        (),
        (),
        {},
        {},
        {"e0": 10.0, "e1": 10.0, "e2": 10.0, "e3": 10.0, "lining": 5.0},
    )


def test_the_nearer_name_goes_first_and_folds_have_none() -> None:
    piece = polygon(SQUARE, {3: FOLD})
    draft = draft_of(piece)
    asked = {"e0": 20.0, "shape.e0": 25.0, "e1": 15.0, "e3": 30.0}
    assert {name: p.most for name, p in profiles_for(piece, draft, asked).items()} == {
        "e0": 25.0,
        "e1": 15.0,
        "e2": 10.0,
        "e3": 0.0,
    }
    assert allow(draft, asked).pieces[0].allowances["e0"] == 25.0
    assert allow(draft, {"lining": 3.0}).pieces[0].allowances["e0"] == 10.0


def test_an_edge_that_no_piece_has_is_refused() -> None:
    with pytest.raises(InputError, match=r"no piece has an edge 'armhole'; expected one of e0, e1, e2, e3, shape\.e0"):
        allow(draft_of(polygon(SQUARE)), {"armhole": 10.0})


def test_a_notch_that_the_edge_does_not_have_is_refused_with_those_it_has() -> None:
    """Two pieces with two edges each that carry notches: only those of the edge that is named are offered."""
    places = (NotchPlace("e0", 30.0, name="own"), NotchPlace("e1", 30.0, name="beside"))
    shape = replace(polygon(SQUARE), notches=places)
    other = replace(shape, name="other", notches=(NotchPlace("e0", 40.0, name="elsewhere"),))
    far = (Station("far", 20.0), Station("end", 10.0))
    with pytest.raises(InputError, match=r"the allowance of shape\.e0 .* one of end, own, start\.$"):
        allow(draft_of(shape, other), {"shape.e0": far})
    with pytest.raises(InputError, match=r"the allowance of e0 .* one of elsewhere, end, own, start\.$"):
        allow(draft_of(shape, other), {"e0": far})
    with pytest.raises(InputError, match=r"the allowance of other\.e1 .* one of end, start\.$"):
        allow(draft_of(shape, other), {"other.e1": far})


@pytest.mark.parametrize(
    ("far", "after", "width"),
    [
        (0.0, False, 24.0), (0.0, True, 20.0),  # a step at its very start
        (50.0, False, 20.0), (50.0, True, 20.0), (99.0, False, 20.0), (101.0, True, 9.9),
        (100.0, False, 20.0), (100.0, True, 10.0),  # a step within
        (150.0, False, 5.0), (150.0, True, 5.0), (200.0, False, 0.0), (200.0, True, 0.0), (260.0, True, 0.0),
    ],
)  # fmt: skip
def test_a_width_at_a_step_is_that_before_it_or_after_it(far: float, after: bool, width: float) -> None:
    """By hand: 24 mm at the start, 20 mm from there to 10 cm, a step to 10 mm, then down to nothing at 20 cm."""
    profile = Profile(((0.0, 24.0), (0.0, 20.0), (100.0, 20.0), (100.0, 10.0), (200.0, 0.0)))
    assert profile.at(far, after=after) == pytest.approx(width)


@given(st.lists(st.tuples(st.integers(0, 40), st.floats(0, 50)), min_size=1, max_size=6, unique_by=lambda s: s[0]))
def test_widths_lie_straight_between_their_places_by_numpy(stations: list[tuple[int, float]]) -> None:
    stations.sort()
    profile = Profile(tuple((float(at), width) for at, width in stations))
    for far in (*range(-2, 44), *(at + 0.5 for at, _ in stations)):
        meant = np.interp(far, [at for at, _ in stations], [width for _, width in stations])
        assert profile.at(float(far)) == pytest.approx(meant, abs=1e-6)
        assert profile.at(float(far), after=False) == pytest.approx(meant, abs=1e-6)
