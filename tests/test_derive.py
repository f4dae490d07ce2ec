"""Pieces made from pieces: unfolded, split, joined, a dart closed. Areas by the shoelace formula of this file."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oaktag.body.measurements import Measurements
from oaktag.draft.cuts import cut
from oaktag.draft.moves import copy, laid, placed, turn, turned_over, unfold
from oaktag.errors import GeometryError
from oaktag.geometry.curve import Cubic, Line
from oaktag.geometry.path import place_at
from oaktag.geometry.point import Point
from oaktag.model.piece import Cut, Edge, EdgeKind, InternalLine, NotchPlace, Piece, sew
from samples import front as sample_front
from samples import pocket
from wardrobe import ALTO, dense, dress, tape

BODY = Measurements({**ALTO, "front_waist_length": ALTO["back_waist_length"] + 25.4 + 30.0})


def ring(piece: Piece) -> list[tuple[float, float]]:
    return [p for edge in piece.edges for p in dense(edge.curves, 200)[:-1]]


def shoelace(points: list[tuple[float, float]]) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1], strict=True)) / 2


def is_closed(piece: Piece) -> bool:
    """Every edge starts on the very point where the one before it ended."""
    return all(a.end == b.start for a, b in pairwise((piece.edges[-1], *piece.edges)))


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
def test_unfolded_and_split_at_the_fold_it_is_itself_again(half: Piece) -> None:
    fold = half.edges[0]
    whole = unfold(half)
    again, other = split(whole, fold.start, fold.end, name="centre_front", kind=EdgeKind.FOLD, names=("front", "other"))
    assert again == half  # bit for bit
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


# ---------------------------------------------------------------- splitting


@given(st.floats(-560, -240), st.floats(-0.3, 0.3))
def test_parts_make_up_the_whole(y: float, slope: float) -> None:
    half = replace(sample_front(), darts=())
    a, b = Point(-10, y), Point(400, y + slope * 410)
    upper, lower = split(half, a, b)
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
    upper, lower = split(replace(sample_front(), darts=()), (0, -300), (1, -300))
    assert [n.name for n in lower.notches] == ["waist"]
    assert [n.name for n in upper.notches] == ["front armhole"]
    assert [line.name for line in lower.internal_lines] == ["waist line"]
    assert [line.name for line in upper.internal_lines] == ["facing line"]
    assert set(upper.points) == {"underarm", "shoulder_tip", "neck"}
    assert lower.points == {}
    assert upper.edge("armhole") == sample_front().edge("armhole")
    assert upper.on_fold
    assert lower.on_fold


def test_an_internal_line_is_cut_where_it_crosses() -> None:
    piece = replace(pocket(), internal_lines=(InternalLine("stripe", (Point(20, 20), Point(20, 120), Point(90, 120))),))
    left, right = split(piece, (60, 0), (60, 1))
    assert left.internal_lines[0].points == ((20, 20), (20, 120), (60, 120))
    assert right.internal_lines[0].points == ((60, 120), (90, 120))


def test_a_line_that_cannot_split_is_refused() -> None:
    with pytest.raises(GeometryError, match="cuts the outline 0 times"):
        split(pocket(), (-1, 0), (-1, 1))
    with pytest.raises(GeometryError, match="bottom lies along the line"):
        split(pocket(), (0, 0), (1, 0))
    with pytest.raises(GeometryError, match="cuts the waist dart"):
        split(sample_front(), (0, -400), (1, -400))


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
    seam = next(s for s in draft.seams if s.name == "shoulder seam")
    laid = joined(front, back, seam)
    assert shoelace(ring(laid)) == pytest.approx(shoelace(ring(back)), rel=1e-9)
    assert math.dist(laid.edge("shoulder").start, front.edge("shoulder").end) < 1e-3
    assert math.dist(laid.edge("shoulder").end, front.edge("shoulder").start) < 1e-6
    neck = off_square_on(dense(laid.edge("neckline").curves), dense(front.edge("neckline").curves))
    hole = off_square_on(dense(front.edge("armhole").curves), dense(laid.edge("armhole").curves))
    assert abs(neck) < 3.0  # smooth: common practice, no source
    assert abs(hole) < 3.0


def test_joined_at_the_end_of_a_curved_seam() -> None:
    draft = dress(ALTO)
    front, back = (next(p for p in draft.pieces if p.name == name) for name in ("front", "back"))
    seam = next(s for s in draft.seams if s.name == "side seam")
    laid = joined(front, back, seam, at="end")
    assert math.dist(laid.edge("side").start, front.edge("side").end) < 1e-6
    assert off_square_on(dense(laid.edge("armhole").curves), dense(front.edge("armhole").curves)) == pytest.approx(
        0.0, abs=3.0
    )


def test_pieces_that_no_seam_joins_are_not_joined() -> None:
    seam = sew("pocket seam", "front.side", to="back.side")
    with pytest.raises(GeometryError, match="pocket seam does not join a single edge of pocket"):
        joined(pocket(), sample_front(), seam)


# ---------------------------------------------------------------- darts


def bodice() -> Piece:
    return next(p for p in dress(BODY, bust_dart="side", waist_seam="yes").pieces if p.name == "bodice_front")


@pytest.mark.parametrize(("name", "edge"), [("bust", "side"), ("waist", "waist")])
def test_a_closed_dart_takes_its_wedge_out_of_the_cloth(name: str, edge: str) -> None:
    """What is left is the piece less the wedge from the dart's point to its mouth; the legs have met."""
    piece = bodice()
    dart = next(d for d in piece.darts if d.name == name)
    closed = close_dart(piece, name)
    (mouth,) = piece.edge(edge).takes
    whole = dense(piece.edge(edge).curves, 2000)
    walked, cap = 0.0, []
    for a, b in pairwise(whole):
        walked += math.dist(a, b)
        if mouth.start <= walked <= mouth.end:
            cap.append(b)
    wedge = shoelace([dart.points[0], *cap, dart.points[2], dart.points[1]])
    assert shoelace(ring(closed)) == pytest.approx(shoelace(ring(piece)) - wedge, abs=5.0)
    assert is_closed(closed)
    assert closed.edge(edge).length() == pytest.approx(piece.edge(edge).sewn_length(), abs=0.01)
    assert closed.edge(edge).takes == ()
    assert name not in {d.name for d in closed.darts}
    one, other = closed.edge("opened_1"), closed.edge("opened_2")
    assert one.end == other.start == dart.points[1]
    assert one.length() == pytest.approx(other.length(), abs=1e-6)
    opening = math.degrees(2 * math.asin(math.dist(one.start, other.end) / 2 / one.length()))
    legs = [math.dist(dart.points[1], dart.points[i]) for i in (0, 2)]
    angle_deg = math.degrees(2 * math.asin(math.dist(dart.points[0], dart.points[2]) / 2 / legs[0]))
    assert legs[0] == pytest.approx(legs[1], abs=0.01)
    assert opening == pytest.approx(angle_deg, abs=0.01)  # what one place loses, the other gains


def test_the_waist_runs_smoothly_with_its_dart_closed() -> None:
    piece = bodice()
    (dart,) = [d for d in piece.darts if d.name == "waist"]
    run = closed_edge(piece.edge("waist"), dart)
    assert tape(dense(run)) == pytest.approx(piece.edge("waist").sewn_length(), abs=0.01)
    turns = [abs(a.way(1.0)[0] * b.way(0.0)[1] - a.way(1.0)[1] * b.way(0.0)[0]) for a, b in pairwise(run)]
    assert max(turns) < math.sin(math.radians(3.0))  # smooth: common practice, no source


def test_a_dart_inside_the_piece_cannot_be_turned_shut() -> None:
    with pytest.raises(GeometryError, match="front has no waist dart that opens at an edge"):
        close_dart(sample_front(), "waist")
    with pytest.raises(GeometryError, match="cannot be opened at side, where it is"):
        close_dart(bodice(), "bust", ("side", 5.0))


def test_notches_go_with_the_cloth_when_a_dart_is_closed() -> None:
    """Every notch lies as far along the sewn edge as before; both of the dart's own have met at its mouth."""
    piece = bodice()
    closed = close_dart(piece, "bust")
    edge = piece.edge("side")
    before = sorted(edge.sewn(n.at) for n in piece.notches if n.edge == "side")
    after = sorted(n.at for n in closed.notches if n.edge == "side")
    assert after == pytest.approx(before, abs=1e-6)
    assert max(after) <= closed.edge("side").length()
    legs = [n.at for n in closed.notches if n.name == "bust dart"]
    assert legs[0] == pytest.approx(legs[1], abs=1e-6)
