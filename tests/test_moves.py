"""Pieces moved, unfolded, cut along a line, laid together and joined. Areas by the shoelace formula of this file."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from blocks import BODY, any_block, bodices, cloth_on, is_closed, ring, shoelace, worn_outline
from oaktag.draft.cuts import cut, cut_through
from oaktag.draft.moves import copy, join, laid, mirror, placed, turn, turned_over, unfold
from oaktag.draft.pivots import Opening, pivot, spread, widen
from oaktag.errors import GeometryError
from oaktag.geometry.curve import Cubic, Line
from oaktag.geometry.path import place_at
from oaktag.geometry.point import Point
from oaktag.model.piece import Cut, Edge, EdgeKind, InternalLine, LevelLine, NotchPlace, Piece
from oaktag.model.ref import Ref
from oaktag.model.spans import resolve, told
from samples import front as sample_front
from samples import pocket
from wardrobe import ALTO, dense, dress, tape

TRIED: Counter[str] = Counter()


def angle(a: tuple[float, float], b: tuple[float, float]) -> float:
    return math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))


def off_square_on(before: list[tuple[float, float]], after: list[tuple[float, float]]) -> float:
    """By how many degrees one polyline turns into the next, where the first ends."""
    turned = angle(*after[:2]) - angle(*before[-2:])
    return (turned + 180.0) % 360.0 - 180.0


@st.composite
def halves(draw: st.DrawFn) -> Piece:
    """A half with its fold upright anywhere, all else curved or straight, some notches, and a line inside."""
    number = st.floats(-40, 40, allow_nan=False).map(lambda x: x / 7)
    x0 = draw(st.one_of(st.just(0.0), st.floats(-500, 500, allow_nan=False)))
    count = draw(st.integers(1, 4))
    corners = [Point(x0, -300.0)]
    for i in range(count):
        up = -math.pi / 2 + math.pi * (i + 1) / (count + 1)
        size = 200.0 + draw(st.floats(0, 100, allow_nan=False))
        corners.append(Point(x0 + size * math.cos(up), size * math.sin(up)))
    corners.append(Point(x0, 310.0))
    edges = []
    for i, (a, b) in enumerate(pairwise(corners)):
        third = Point((b.x - a.x) / 3, (b.y - a.y) / 3)
        bend = Point(third.x + draw(number), third.y + draw(number))
        curve = Cubic.leaving_and_arriving(a, bend, b, third) if draw(st.booleans()) else Line(a, b)
        edges.append(Edge(f"edge{i}", EdgeKind.HEM if i == 0 else EdgeKind.SEAM, (curve,)))
    at = draw(st.integers(0, count))
    fold = Edge.straight("centre_front", corners[-1], corners[0], EdgeKind.FOLD)
    return Piece(
        "front",
        (fold, *edges),
        points={"corner": corners[1], "top": corners[-1]},
        grain=(Point(x0 + 20, -100.0), Point(x0 + 20, 90.0)),
        to_cut=Cut("fold"),
        notches=(NotchPlace(f"edge{at}", draw(st.floats(0, 1)) * edges[at].length(), 2, "match"),),
        internal_lines=(InternalLine("waist line", (Point(x0, 11.0), Point(x0 + 80, 13.0))),),
    )


@given(halves())
def test_unfolded_and_cut_at_the_fold_it_is_itself_again(half: Piece) -> None:
    fold = half.edges[0]
    whole = unfold(half)
    names = ("left", "right")
    left, other = cut(whole, fold.start, fold.end, edge="centre_front", kind=EdgeKind.FOLD, names=names)
    assert copy(left, "front") == half  # bit for bit
    assert other.edges[0].start == fold.end
    assert other.edges[0].end == fold.start
    assert is_closed(whole)
    assert is_closed(other)


@given(halves())
def test_unfolded_halves_are_mirror_images_that_meet(half: Piece) -> None:
    whole = unfold(half)
    x0 = half.edges[0].start.x
    assert shoelace(ring(whole)) == pytest.approx(2 * shoelace(ring(half)), rel=1e-9)
    assert not whole.on_fold
    assert len({edge.name for edge in whole.edges}) == len(whole.edges)
    for edge in half.edges[1:]:
        mirror = whole.edge(f"{edge.name}_right")
        assert mirror.kind is edge.kind
        for p, q in zip(dense(edge.curves, 7), reversed(dense(mirror.curves, 7)), strict=True):
            assert (2 * x0 - p[0], p[1]) == pytest.approx(q, abs=1e-9)
    (notch,) = [n for n in whole.notches if n.edge.endswith("_right")]
    (own,) = half.notches
    spot = place_at(half.edge(own.edge).curves, own.at)[0]
    there = place_at(whole.edge(notch.edge).curves, notch.at)[0]
    assert (there.x, there.y) == pytest.approx((2 * x0 - spot.x, spot.y), abs=1e-4)


def test_unfolding_mirrors_every_mark() -> None:
    """The sample front, by hand: its dart's outer leg lies at (130, -400), its waist line runs from 0 to 110."""
    whole = unfold(sample_front())
    darts = {dart.name: dart.points for dart in whole.darts}
    assert darts["waist_right"][1] == Point(-130, -400)
    lines = {line.name: line.points for line in whole.internal_lines}
    assert lines["waist line right"] == ((0.0, -400.0), (-110.0, -400.0))
    assert whole.points["underarm_right"] == Point(-245, -230)
    assert [edge.name for edge in whole.edges] == [
        "hem", "side", "armhole", "shoulder", "neckline",
        "neckline_right", "shoulder_right", "armhole_right", "side_right", "hem_right",
    ]  # fmt: skip
    side = next(n for n in whole.notches if n.edge == "side_right")
    assert side.at == pytest.approx(math.hypot(5, 370) - 200)


def test_the_wearers_other_side_of_a_back_is_the_left() -> None:
    back = replace(sample_front(), name="back")
    assert "side_left" in {edge.name for edge in unfold(back).edges}
    assert "side_right" in {edge.name for edge in unfold(back, "left").edges}


def test_an_open_dart_stays_in_the_order_of_the_outline() -> None:
    front = next(p for p in dress(BODY, bust_dart="side").pieces if p.name == "front")
    whole = unfold(front)
    mirrored = next(d for d in whole.darts if d.name == "bust_right")
    (mouth,) = whole.edge("side_right").takes
    for far, leg in zip((mouth.start, mouth.end), (mirrored.points[0], mirrored.points[2]), strict=True):
        assert math.dist(place_at(whole.edge("side_right").curves, far)[0], leg) < 1e-3
    assert whole.edge("side_right").sewn_length() == pytest.approx(front.edge("side").sewn_length(), abs=1e-6)


def test_what_has_no_fold_is_not_unfolded() -> None:
    with pytest.raises(GeometryError, match="pocket has no single straight fold"):
        unfold(pocket())


# ---------------------------------------------------------------- cutting


@given(st.floats(-560, -240), st.floats(-0.3, 0.3))
def test_parts_make_up_the_whole(y: float, slope: float) -> None:
    half = replace(sample_front(), darts=())
    a, b = Point(-10, y), Point(400, y + slope * 410)
    upper, lower = cut(half, a, b, names=("upper", "lower"))
    assert shoelace(ring(upper)) > 0
    assert shoelace(ring(lower)) > 0
    assert shoelace(ring(upper)) + shoelace(ring(lower)) == pytest.approx(shoelace(ring(half)), abs=1.0)
    assert is_closed(upper)
    assert is_closed(lower)
    assert (upper.edges[0].start, upper.edges[0].end) == (lower.edges[0].end, lower.edges[0].start)
    around = sum(tape(dense(e.curves, 60)) for p in (upper, lower) for e in p.edges) - 2 * upper.edges[0].length()
    assert around == pytest.approx(sum(tape(dense(e.curves, 60)) for e in half.edges), abs=0.01)
    for part in (upper, lower):
        assert (part.grain[0].x - part.grain[1].x) == pytest.approx(0.0, abs=1e-9)  # still upright


def test_marks_go_with_their_part() -> None:
    """Cut level 300 mm above the hem: the waist notch, 200 mm up the side, is below, the armhole's above."""
    upper, lower = cut(replace(sample_front(), darts=()), (0, -300), (1, -300), names=("upper", "lower"))
    assert [n.name for n in lower.notches] == ["waist"]
    assert [n.name for n in upper.notches] == ["front armhole"]
    assert [line.name for line in lower.internal_lines] == ["waist line"]
    assert [line.name for line in upper.internal_lines] == ["facing line"]
    assert set(upper.points) == {"underarm", "shoulder_tip", "neck"}
    assert lower.points == {}
    assert upper.edge("armhole").curves == sample_front().edge("armhole").curves
    assert upper.on_fold
    assert lower.on_fold


def test_an_internal_line_is_cut_where_it_crosses() -> None:
    piece = replace(pocket(), internal_lines=(InternalLine("stripe", (Point(20, 20), Point(20, 120), Point(90, 120))),))
    left, right = cut(piece, (60, 0), (60, 1), names=("left", "right"))
    assert left.internal_lines[0].points == ((20, 20), (20, 120), (60, 120))
    assert right.internal_lines[0].points == ((60, 120), (90, 120))


def test_a_line_that_cannot_cut_is_refused() -> None:
    with pytest.raises(GeometryError, match="cuts the outline 0 times"):
        cut(pocket(), (-1, 0), (-1, 1), names=("one", "other"))
    with pytest.raises(GeometryError, match="bottom lies along the line"):
        cut(pocket(), (0, 0), (1, 0), names=("one", "other"))
    with pytest.raises(GeometryError, match="cuts the waist dart"):
        cut(sample_front(), (0, -400), (1, -400), names=("one", "other"))


# ---------------------------------------------------------------- moving and joining


@given(st.floats(-180, 180), st.floats(-50, 50))
def test_a_move_keeps_every_length_and_the_way_round(angle_deg: float, x: float) -> None:
    half = sample_front()
    for move in (turn((x, 3.0), angle_deg), turned_over((x, 0.0), (x + math.cos(angle_deg), math.sin(angle_deg)))):
        moved = placed(half, move)
        assert is_closed(moved)
        assert shoelace(ring(moved)) == pytest.approx(shoelace(ring(half)), rel=1e-9)
        for edge in half.edges:
            assert moved.edge(edge.name).length() == pytest.approx(edge.length(), abs=1e-8)
        for n, old in zip(sorted(moved.notches, key=str), sorted(half.notches, key=str), strict=True):
            spot = place_at(half.edge(old.edge).curves, old.at)[0]
            assert math.dist(place_at(moved.edge(n.edge).curves, n.at)[0], move.point(spot)) < 1e-4


def test_turned_over_a_slanting_line_by_hand() -> None:
    """About y = x + 10 a point (x, y) goes to (y - 10, x + 10); about a line through two points, the two stay."""
    move = turned_over((0.0, 10.0), (7.0, 17.0))
    for x, y in ((0.0, 0.0), (30.0, -5.0), (-12.0, 44.0)):
        assert move.point(Point(x, y)) == pytest.approx((y - 10, x + 10), abs=1e-9)
    # a 3-4-5 line through (1, 2): its left normal is (-4, 3) / 5, and what lies 10 mm left of it comes to lie 10 right
    move = turned_over((1.0, 2.0), (4.0, 6.0))
    assert move.point(Point(4.0, 6.0)) == pytest.approx((4.0, 6.0), abs=1e-9)
    assert move.point(Point(1.0 - 8.0, 2.0 + 6.0)) == pytest.approx((1.0 + 8.0, 2.0 - 6.0), abs=1e-9)


@given(*[st.floats(-300, 300)] * 3, st.floats(-3.1, 3.1))
def test_what_is_turned_over_lies_as_far_beyond_the_line(x: float, y: float, shift: float, angle: float) -> None:
    way = (math.cos(angle), math.sin(angle))
    a, b = (shift, 40.0), (shift + 50 * way[0], 40.0 + 50 * way[1])
    p, q = Point(x, y), turned_over(a, b).point(Point(x, y))
    half = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
    assert abs(way[0] * (half[1] - a[1]) - way[1] * (half[0] - a[0])) < 1e-7, "midway lies on the line"
    assert abs((q[0] - p[0]) * way[0] + (q[1] - p[1]) * way[1]) < 1e-7, "and the way over is square to it"
    assert math.dist(q, a) == pytest.approx(math.dist(p, a), abs=1e-7)


def test_front_and_back_joined_at_the_shoulder() -> None:
    draft = dress(ALTO)
    front, back = (next(p for p in draft.pieces if p.name == name) for name in ("front", "back"))
    moved = laid(front, "shoulder", back, "shoulder")
    assert shoelace(ring(moved)) == pytest.approx(shoelace(ring(back)), rel=1e-9)
    assert math.dist(moved.edge("shoulder").start, front.edge("shoulder").end) < 1e-3
    assert math.dist(moved.edge("shoulder").end, front.edge("shoulder").start) < 1e-6
    neck = off_square_on(dense(moved.edge("neckline").curves), dense(front.edge("neckline").curves))
    hole = off_square_on(dense(front.edge("armhole").curves), dense(moved.edge("armhole").curves))
    assert abs(neck) < 3.0  # smooth: common practice, no source
    assert abs(hole) < 3.0


def test_joined_at_the_end_of_a_curved_seam() -> None:
    draft = dress(ALTO)
    front, back = (next(p for p in draft.pieces if p.name == name) for name in ("front", "back"))
    moved = laid(front, "side", back, "side", at="end")
    assert math.dist(moved.edge("side").start, front.edge("side").end) < 1e-6
    assert off_square_on(dense(moved.edge("armhole").curves), dense(front.edge("armhole").curves)) == pytest.approx(
        0.0, abs=3.0
    )


# ---------------------------------------------------------------- cut through darts


def at_shoulder(piece: Piece) -> Piece:
    """With its bust dart at the shoulder."""
    return pivot(piece, "bust", Opening("shoulder", piece.edge("shoulder").length() / 2, pressed="end"))


@given(bodices(), st.floats(0.2, 0.8), st.floats(0.2, 0.8), st.sampled_from((0.0, 25.0)))
@settings(max_examples=60)
def test_a_princess_cut_finds_both_banks(piece: Piece, a: float, b: float, rounded: float) -> None:
    """Two darts, waist and shoulder; the cloth between the legs is gone, both banks are as long, and at every level the
    two parts have as much cloth as the piece had past its darts (trade notes, law 8)."""
    home = "waist" if piece.edge("waist").takes else "side"
    shoulder = Opening("shoulder", piece.edge("shoulder").length() * a, share=0.5, name="upper")
    piece = pivot(piece, "bust", shoulder)
    if home == "side":
        piece = pivot(piece, "bust", Opening("waist", piece.edge("waist").length() * b, name="bust"))
    upper, lower = "upper", "bust"
    names = ("side_front", "middle_front")
    middle, side = cut_through(piece, (upper, lower), names=names[::-1], holding="centre_front", rounded=rounded)
    assert (middle.name, side.name) == ("middle_front", "side_front")
    assert (middle.to_cut, side.to_cut) == (Cut("fold"), Cut("pair", 2))
    for part in (middle, side):
        assert is_closed(part)
        assert part.darts == ()
        assert not [n for n in part.notches if n.name == "bust dart"]
    one, other = middle.edge("princess"), side.edge("princess")
    legs = [math.dist(d.points[0], d.points[1]) + math.dist(d.points[2], d.points[1]) for d in piece.darts]
    tips = [d.points[1] for d in piece.darts]
    if not rounded:
        assert one.length() == pytest.approx(other.length(), abs=0.01)
        assert one.length() + other.length() == pytest.approx(sum(legs) + 2 * math.dist(*tips), abs=0.01)
        whole = worn_outline(piece)
        assert shoelace(ring(middle)) + shoelace(ring(side)) == pytest.approx(whole.area, abs=2.0)
        for i, level in enumerate(piece.levels):
            cloth = cloth_on(middle, middle.levels[i]) + cloth_on(side, side.levels[i])
            assert cloth == pytest.approx(cloth_on(piece, level), abs=0.3)
    else:
        assert abs(one.length() - other.length()) <= 6.0
    for name in ("waist", "shoulder"):
        runs = resolve((middle, side), Ref(piece.name, name))
        assert sum(s.end - s.start for s in runs) == pytest.approx(piece.edge(name).sewn_length(), abs=0.01)
        order = ["middle_front", "side_front"] if name == "waist" else ["side_front", "middle_front"]
        assert [s.edge.piece for s in runs] == order


def test_cut_through_an_inner_dart_from_edge_to_edge() -> None:
    """The sample front: armhole to hem through its double-ended waist dart, 20 mm wide; by hand the dart's cloth is
    20 × 240 / 2 = 2400 mm²."""
    half = replace(sample_front(), levels=(LevelLine("waist", 400.0, (Point(0, -400), Point(260, -400))),))
    way = (("armhole", 60.0), "waist", ("hem", 120.0))
    side, middle = cut_through(half, way, names=("side_front", "middle_front"), holding="side")
    assert shoelace(ring(side)) + shoelace(ring(middle)) == pytest.approx(shoelace(ring(half)) - 2400.0, abs=1.0)
    assert side.edge("princess").length() == pytest.approx(middle.edge("princess").length(), abs=1e-6)
    widths = [abs(level.points[0].x - level.points[-1].x) for part in (side, middle) for level in part.levels]
    at_waist = 250 - 5 * 200 / 370  # the side leans in by 5 mm on 370, and the waist lies 200 above the hem
    assert sum(widths) == pytest.approx(at_waist - 20.0, abs=0.05)
    assert {line.name for line in middle.internal_lines} == {"waist line", "facing line"}


@pytest.mark.parametrize(
    ("way", "told"),
    [
        (("bust",), "the line through bust does not run from edge to edge"),
        (("waist", ("hem", 10.0)), "the line through waist, hem at 10.0 mm does not run from edge to edge"),
        ((("armhole", 60.0), "shoulder"), "front has no shoulder dart to cut through"),
    ],
)
def test_a_line_that_cannot_be_cut_along_is_refused(way: tuple[str | tuple[str, float], ...], told: str) -> None:
    piece = sample_front() if "bust" not in way else bodice()
    with pytest.raises(GeometryError, match=told):
        cut_through(piece, way, names=("a", "b"))


def test_banks_that_differ_are_told() -> None:
    piece = sample_front()
    lame = replace(piece, darts=(replace(piece.darts[0], points=(*piece.darts[0].points[:3], Point(80, -400))),))
    with pytest.raises(GeometryError, match=r"are [\d.]+ and [\d.]+ mm long, but may differ by 0\.5 mm of ease"):
        cut_through(lame, (("armhole", 60.0), "waist", ("hem", 120.0)), names=("a", "b"), ease=0.5)


def bodice() -> Piece:
    return next(p for p in dress(BODY, bust_dart="side", waist_seam="yes").pieces if p.name == "bodice_front")


# ---------------------------------------------------------------- names and joins


@given(any_block(), st.floats(0.1, 0.9), st.floats(-0.4, 0.4))
@settings(max_examples=80)
def join_of_a_cut(piece: Piece, share: float, slope: float) -> None:
    parts = cut_somewhere(piece, share, slope)
    if parts is None:
        return
    one, other = parts
    TRIED["join of a cut"] += 1
    again = join(one, "cut", other, "cut", piece.name)
    assert shoelace(ring(again)) == pytest.approx(shoelace(ring(piece)), abs=1.0)  # by chords, of a cut curve by more
    assert sorted(e.name for e in again.edges) == sorted(e.name for e in piece.edges)
    for edge in piece.edges:
        new = again.edge(edge.name)
        assert new.length() == pytest.approx(edge.length(), abs=1e-4)
        assert [(t.kind, t.tip) for t in new.takes] == [(t.kind, t.tip) for t in edge.takes]
        assert {(s.of[0].edge, s.of[0].turned) for s in new.spans} == {(Ref(piece.name, edge.name), False)}
        tiles = [0.0, *(far for s in new.spans for far in (s.of[0].start, s.of[0].end)), edge.length()]
        assert tiles[::2] == pytest.approx(tiles[1::2], abs=1e-4)
    assert again.points == piece.points
    assert again.to_cut == piece.to_cut
    assert {d.name: d for d in again.darts} == {d.name: d for d in piece.darts}
    lengths = {level.name: shapely.LineString(level.points).length for level in again.levels}
    assert len(lengths) == len(again.levels) == len(piece.levels)
    for level in piece.levels:
        assert lengths[level.name] == pytest.approx(shapely.LineString(level.points).length, abs=1e-6)
    old = sorted((n.edge, n.name, round(n.at, 3)) for n in piece.notches)
    assert sorted((n.edge, n.name, round(n.at, 3)) for n in again.notches) == old
    assert set(again.holes) == set(piece.holes)


def cut_somewhere(piece: Piece, share: float, slope: float) -> tuple[Piece, Piece] | None:
    """Cut across at that share of its height; nothing where a dart lies in the way."""
    _, bottom, _, top = shapely.Polygon(ring(piece)).bounds
    y = bottom + (top - bottom) * share
    try:
        return cut(piece, (0.0, y), (1.0, y + slope), names=("upper", "lower"))
    except GeometryError as refused:
        assert str(refused).startswith(piece.name)
        return None


def test_a_join_of_a_cut_is_what_was_there() -> None:
    join_of_a_cut()
    assert TRIED["join of a cut"] >= 25, TRIED


@given(
    any_block(),
    st.lists(st.tuples(st.floats(0.1, 0.9), st.floats(-0.4, 0.4), st.sampled_from("sscpjpjcjw")), max_size=7),
)
@settings(max_examples=160, derandomize=True)  # else one kind of move may be drawn hardly ever
def tiling(piece: Piece, moves: list[tuple[float, float, str]]) -> None:
    """Random cuts, joins, pivots, widenings and spreads: every edge's spans are as long as the edge, every origin lies
    in its edge, cloth put in is the only one without length there, and the first names still stand for all of it."""
    pieces = [piece]
    for share, slope, kind in moves:
        pieces = moved_on(pieces, share, slope, kind)
    for each in pieces:
        assert is_closed(each)
        for edge in each.edges:
            spans = told(each.name, edge)
            assert sum(s.long for s in spans) == pytest.approx(edge.length(), abs=1e-3), (each.name, edge.name)
            for span in spans:
                for origin in span.of:
                    long = origin.end - origin.start
                    assert long == pytest.approx(span.long, abs=1e-3) or abs(long) < 1e-9
            places = [n.at for n in each.notches if n.edge == edge.name]
            assert all(-1e-6 <= at <= edge.length() + 1e-6 for at in places)
    for edge in piece.edges:
        try:
            runs = resolve(pieces, Ref(piece.name, edge.name))
        except GeometryError:
            raise AssertionError(f"{edge.name} is lost") from None
        ends = [(s.edge, s.end) for s in runs]
        assert len(set(ends)) == len(ends)
        TRIED["resolved"] += 1


def moved_on(pieces: list[Piece], share: float, slope: float, kind: str) -> list[Piece]:
    """One move of the largest piece, or none where it is refused."""
    first, *rest = sorted(pieces, key=lambda p: -shoelace(ring(p)))
    try:
        if kind == "c":
            parts = cut_somewhere(first, share, slope)
            named = parts and [
                replace(p, name=f"{first.name}{i}") for i, p in enumerate(parts, 1)
            ]  # fmt: skip
            if named:
                TRIED["cut"] += 1
                return [*named, *rest]
        elif (
            kind == "j"
            and first.name[:-1]
            and (twin := next((p for p in rest if p.name[:-1] == first.name[:-1]), None))
        ):
            made = join(first, "cut", twin, "cut", first.name[:-1] + "j")
            TRIED["join"] += 1
            return [made, *(p for p in rest if p is not twin)]
        elif kind == "p" and (dart := next((d for d in first.darts if d.is_open), None)):
            edge = first.edges[int(share * len(first.edges))]
            made = pivot(first, dart.name, Opening(edge.name, edge.length() * (0.5 + slope), share=0.6))
            TRIED["pivot"] += 1
            return [made, *rest]
        elif kind == "w" and (edge := next((e for e in first.edges if isinstance(e.curves[0], Line)), None)):
            made = widen(first, edge.name, 10.0)
            TRIED["widen"] += 1
            return [made, *rest]
        elif kind == "s":
            edges = (first.edges[0], first.edges[len(first.edges) // 2])
            at, to = ((e.name, e.length() * (0.5 + slope)) for e in edges)
            made = spread(first, Opening(*at, "flare"), to, 12.0)
            TRIED["spread"] += 1
            return [made, *rest]
    except GeometryError:
        TRIED["refused"] += 1
    return pieces


def test_spans_tile_every_edge_whatever_was_done() -> None:
    tiling()
    for kind in ("cut", "join", "pivot", "widen", "spread"):
        assert TRIED[kind] >= 3, TRIED
    assert TRIED["resolved"] >= 300, TRIED


def test_an_old_name_stands_for_all_that_came_of_it_in_order() -> None:
    """A waist in two pieces, one of them cut again and turned over; by hand."""
    whole = replace(pocket(), name="front")
    left, right = cut(whole, (60, 0), (60, 1), names=("left", "right"), edge="seam", holding="left")
    assert [e.name for e in left.edges] == ["seam", "top", "left", "bottom"]
    near, far = cut(right, (100, 0), (100, 1), names=("near", "far"), edge="second")
    assert resolve((far, near, left), Ref("front", "bottom")) == (
        (Ref("left", "bottom"), 0.0, 60.0, False),
        (Ref("near", "bottom"), 0.0, 40.0, False),
        (Ref("far", "bottom"), 0.0, 50.0, False),
    )
    assert [s.edge.piece for s in resolve((near, far, left), Ref("front", "top"))] == ["far", "near", "left"]
    assert resolve((near, far, left), Ref("right", "top")) == (
        (Ref("far", "top"), 0.0, 50.0, False),
        (Ref("near", "top"), 0.0, 40.0, False),
    )
    over = placed(far, turned_over((0.0, 0.0), (0.0, 1.0)))
    assert resolve((over,), Ref("front", "bottom")) == ((Ref("far", "bottom"), 0.0, 50.0, True),)
    assert resolve((near, far, left, whole), Ref("front", "bottom")) == ((Ref("front", "bottom"), 0.0, 150.0, False),)
    one = join(near, "second", far, "second", "both")
    assert resolve((left, one), Ref("front", "bottom"))[1] == (Ref("both", "bottom"), 0.0, 90.0, False)
    with pytest.raises(GeometryError, match=r"there is no edge front\.bottom among the pieces"):
        resolve((copy(left, "lining"), copy(one, "bag")), Ref("front", "bottom"))


def test_both_parts_get_new_names() -> None:
    for names in (("pocket", "bag"), ("bag", "bag")):
        with pytest.raises(GeometryError, match="both parts need names of their own"):
            cut(pocket(), (60, 0), (60, 1), names=names)
    with pytest.raises(GeometryError, match="pocket: bottom lies whole in neither part"):
        cut(pocket(), (60, 0), (60, 1), names=("a", "b"), holding="bottom")
    assert [p.name for p in cut(pocket(), (60, 0), (60, 1), names=("a", "b"), holding="right")] == ["a", "b"]
    assert "right" in {e.name for e in cut(pocket(), (60, 0), (60, 1), names=("a", "b"), holding="right")[0].edges}


def test_a_part_off_the_fold_is_cut_as_a_pair() -> None:
    inner, outer = cut(replace(sample_front(), darts=()), (150, -1), (150, -2), names=("outer", "inner"))[::-1]
    assert (inner.to_cut, outer.to_cut) == (Cut("fold"), Cut("pair", 2))


def test_front_and_back_become_one_at_the_shoulder() -> None:
    """With the bust dart out of the way; neck and armhole run on, what is called alike elsewhere is told apart."""
    pieces = {p.name: p for p in dress(BODY, bust_dart="side", waist_seam="yes").pieces}
    front, back = pieces["bodice_front"], pieces["bodice_back"]
    one = join(front, "shoulder", back, "shoulder", "bodice")
    assert is_closed(one)
    assert shoelace(ring(one)) == pytest.approx(shoelace(ring(front)) + shoelace(ring(back)), rel=1e-6)
    assert [e.name for e in one.edges] == [
        "centre_front", "waist", "side", "armhole", "side_bodice_back", "waist_bodice_back", "centre_back", "neckline",
    ]  # fmt: skip
    for name in ("armhole", "neckline"):
        assert one.edge(name).length() == pytest.approx(front.edge(name).length() + back.edge(name).length(), abs=1e-3)
        for half in (front, back):
            (run,) = resolve((one,), Ref(half.name, name))
            assert run.end - run.start == pytest.approx(half.edge(name).length(), abs=1e-3)
    with pytest.raises(GeometryError, match=r"bodice_front\.side, 239\.7 mm long, and bodice_back\.side"):
        join(front, "side", back, "side", "bodice")


@given(any_block())
@settings(max_examples=20)
def test_mirrored_and_copied_a_piece_keeps_its_lengths_and_starts_anew(piece: Piece) -> None:
    for made in (copy(piece, "lining"), mirror(piece, "other")):
        assert shoelace(ring(made)) == pytest.approx(shoelace(ring(piece)), rel=1e-9)
        assert is_closed(made)
        for edge in piece.edges:
            assert made.edge(edge.name).sewn_length() == pytest.approx(edge.sewn_length(), abs=1e-9)
            assert made.edge(edge.name).spans == ()
        assert [shapely.LineString(v.points).length for v in made.levels] == pytest.approx(
            [shapely.LineString(v.points).length for v in piece.levels]
        )
    twice = mirror(mirror(piece, "other"), piece.name)
    assert twice.points == piece.points
    assert [t.pressed for e in twice.edges for t in e.takes] == [t.pressed for e in piece.edges for t in e.takes]


def test_a_level_goes_on_across_the_fold() -> None:
    half = replace(sample_front(), levels=(LevelLine("bust", 230.0, (Point(0, -230), Point(245, -230))),))
    (level,) = unfold(half).levels
    assert level.points in (((-245, -230), (245, -230)), ((245, -230), (-245, -230)))
