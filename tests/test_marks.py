"""Notches, drill holes, grain, labels, handling: measured on finished dresses with shapely, and on shapes by hand."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from io import StringIO
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, LineString, Point, Polygon

import wardrobe
from oaktag.body.measurements import Measurements
from oaktag.checks.marks import cap_spans
from oaktag.errors import OaktagError
from oaktag.export import dxf, pattern_json
from oaktag.finish.allowances import allow_piece
from oaktag.finish.grain import placed_grain
from oaktag.finish.handling import handling
from oaktag.finish.labels import Measured, Wording, clear_of, find_spot, words_of
from oaktag.finish.marks import drill_holes, notch_shape, short_allowance_words
from oaktag.finish.notches import balance, corners_of, off_corners
from oaktag.geometry import point as plane
from oaktag.geometry.curve import Cubic
from oaktag.model.nest import Nest
from oaktag.model.pattern import MarkedPiece, Notch, Pattern
from oaktag.model.piece import (
    Dart,
    Edge,
    EdgeKind,
    InternalLine,
    LineKind,
    NotchKind,
    NotchPlace,
    Piece,
    Take,
    names_its_place,
    sew,
)
from oaktag.model.sewing import Sewing, drawn, ways_of
from oaktag.sheet.drawing import figure_of, label_box
from oaktag.sheet.strokes import Role

P = plane.Point
SLIT, V, V_OUT = NotchKind.SLIT, NotchKind.V, NotchKind.V_OUT
INWARDS = [kind for kind in NotchKind if kind is not V_OUT]
STYLES: dict[str, dict[str, object]] = {
    "plain": {},
    "waist seam, bust dart": {"waist_seam": "yes", "bust_dart": "side"},
    "V, no sleeve": {"neckline": "v", "sleeve": "none"},
    "square, cap sleeve": {"neckline": "square", "sleeve": "cap"},
    "side zip": {"zip": "side"},
    "long sleeve, A-line": {"sleeve": "long", "hem": "a-line"},
}


@cache
def dresses() -> tuple[tuple[str, Pattern], ...]:
    """Every style for the alto and for every fiftieth woman that it can be drafted for."""
    found = []
    for woman, body in [("alto", wardrobe.ALTO), *wardrobe.women()[7::50]]:
        for words, style in STYLES.items():
            taller = Measurements({**body, "front_waist_length": body["back_waist_length"] + 25.4 + 30.0})
            try:
                found.append((f"{woman}, {words}", wardrobe.dressed(taller, **style)))
            except OaktagError:
                assert woman != "alto"
    assert len(found) > 20
    return tuple(found)


def every_piece() -> Iterator[tuple[str, MarkedPiece]]:
    for words, pattern in dresses():
        for piece in pattern.pieces:
            yield f"{words}: {piece.name}", piece


def square_piece(side: float = 400.0, *, notches: tuple[NotchPlace, ...] = (), name: str = "square") -> Piece:
    """Bottom, right, top, left; counter-clockwise from (0, 0)."""
    a, b, c, d = P(0, 0), P(side, 0), P(side, side), P(0, side)
    edges = tuple(
        Edge.straight(word, start, end)
        for word, start, end in (("bottom", a, b), ("right", b, c), ("top", c, d), ("left", d, a))
    )
    return Piece(name, edges, {}, (P(side / 2, 20), P(side / 2, side - 20)), notches=notches)


# ------------------------------------------------------------------------------------------------------- notches


@given(st.floats(0, 80), st.sampled_from(list(NotchKind)))
def test_a_notch_keeps_an_eighth_of_an_inch_from_the_stitch_line_or_stands_outwards(
    width: float, asked: NotchKind
) -> None:
    kind, depth, breadth = notch_shape(asked, width)
    assert 3.0 <= depth <= 4.0  # 3 to 4 mm deep: common practice, no source
    if kind is V_OUT:
        assert asked is V_OUT or width <= 6.5  # 6 mm, 1/4 in: common practice, no source
    else:
        assert (kind, asked) == (asked, kind)
        assert width - depth >= 3.0 - 1e-9  # 1/8 in: common practice, no source
    assert breadth == (0.0 if kind is SLIT else 3.0)


@pytest.mark.parametrize("kind", INWARDS)
def test_a_quarter_inch_allowance_turns_any_kind_outwards_and_a_half_inch_one_none(kind: NotchKind) -> None:
    assert notch_shape(kind, 6.35)[0] is V_OUT
    assert notch_shape(kind, 12.7)[0] is kind


def test_notches_run_square_from_the_stitch_line_to_the_cut_line_and_stop_short_of_it() -> None:
    doubles = 0
    for words, piece in every_piece():
        cut_line = LinearRing(piece.cut.cut_line)
        for notch in piece.notches:
            stitch = LineString(wardrobe.dense(piece.cut.piece.edge(notch.edge).curves))
            assert stitch.distance(Point(notch.point)) < 0.01, (words, notch.name)
            doubles += notch.count == 2
            assert len(notch.spots) == notch.count
            starts = []
            for spot, way in notch.each():
                assert cut_line.distance(Point(spot)) < 0.01, (words, notch.name)
                far = stitch.project(Point(spot[0] - 1e3 * way[0], spot[1] - 1e3 * way[1]))
                width = piece.cut.width_at(notch.edge, far)
                start = Point(spot[0] - width * way[0], spot[1] - width * way[1])
                if notch.name == "hem fold" or names_its_place(notch.name):
                    continue  # at a corner the cut line may lie further out
                assert stitch.distance(start) < 0.12, (words, notch.name)
                at = stitch.project(start)
                before, after = stitch.interpolate(at - 0.5), stitch.interpolate(at + 0.5)
                across = ((after.x - before.x) * way[0] + (after.y - before.y) * way[1]) / before.distance(after)
                assert abs(across) < 0.02, (words, notch.name, across)
                starts.append(at)
                inner = Point(spot[0] - notch.depth * way[0], spot[1] - notch.depth * way[1])
                if notch.kind is not V_OUT:
                    assert stitch.distance(inner) >= 3.0 - 0.1, (words, notch.name)
            if notch.count == 2 and len(starts) == 2:
                assert abs(starts[1] - starts[0]) == pytest.approx(8.0, abs=0.1), words  # 6 to 10: common practice
    assert doubles > 20


def test_single_is_the_front_and_double_the_back() -> None:
    """Common practice, no source."""
    for words, pattern in dresses():
        for piece in pattern.pieces:
            counts = {n.count for n in piece.notches if n.edge in ("armhole", "neckline")}
            if counts:
                assert counts == ({1} if "front" in piece.name else {2}), (words, piece.name)


def sewn_marks(pattern: Pattern, ref: object, *, backwards: bool) -> dict[float, str]:
    """How far along the sewn edge its notches lie, laid out with a tape."""
    name, edge_name = str(ref).split(".")
    piece = pattern.piece(name)
    edge, line = piece.cut.piece.edge(edge_name), LineString(piece.cut.lines[edge_name])
    length = edge.sewn(line.length)
    found = {}
    for notch in piece.notches:
        if notch.edge == edge_name:
            at = edge.sewn(line.project(Point(notch.point)))
            found[length - at if backwards else at] = notch.name
    return found


def test_a_seam_never_runs_further_than_300_mm_without_a_pair_of_notches_that_meet() -> None:
    added = 0
    for words, pattern in dresses():
        for seam in pattern.draft.seams:
            if len(seam.a) > 1 or len(seam.b) > 1:
                continue
            ways = ways_of(Sewing.of([piece.cut.piece for piece in pattern.pieces], pattern.draft.seams), seam)
            assert ways is not None
            a, ea = pattern.piece(seam.a[0].piece).cut.piece, seam.a[0].edge
            mine = sewn_marks(pattern, seam.a[0], backwards=False)
            theirs = sewn_marks(pattern, seam.b[0], backwards=ways[0] != ways[1])
            for at, name in mine.items():
                if name == "balance":
                    added += 1
                    assert min(abs(at - other) for other in theirs) < 0.5, (words, seam.name)
            met = [at for at in mine if any(abs(at - other) < 1.0 for other in theirs)]
            length = wardrobe.edge_tape(pattern, seam.a[0])
            mouths = sum(take.end - take.start for take in a.edge(ea).takes)
            stops = [0.0, *sorted(met), length - mouths]
            assert max(y - x for x, y in pairwise(stops)) <= 300.5, (words, seam.name, stops)
    assert added > 30


def test_a_centre_back_seam_is_balanced_too_since_it_is_sewn_to_its_mirror_image() -> None:
    pattern = dict(dresses())["alto, plain"]
    centre = [n for n in pattern.piece("back").notches if n.edge == "centre_back"]
    places = sorted(0.0 if n.name == "start" else LineString(
        pattern.piece("back").cut.lines["centre_back"]).project(Point(n.point)) for n in centre)  # fmt: skip
    assert max(b - a for a, b in pairwise([0.0, *places])) <= 300.5


def test_added_notches_keep_15_mm_from_corners_and_from_each_other() -> None:
    for words, piece in every_piece():
        for edge in piece.cut.piece.edges:
            line = LineString(piece.cut.lines[edge.name])
            there = [(line.project(Point(n.point)), n) for n in piece.notches if n.edge == edge.name]
            for at, notch in there:
                if notch.name == "balance":
                    assert 15.0 <= at <= line.length - 15.0, (words, edge.name)
                    others = [other for other, n in there if n is not notch]
                    assert min((abs(at - other) for other in others), default=99.0) >= 14.9, (words, edge.name)


@given(st.floats(80, 1500), st.floats(0.8, 1.25), st.lists(st.floats(0, 1), max_size=4), st.booleans())
def test_any_seam_gets_pairs_at_the_same_distance(length: float, more: float, parts: list[float], easy: bool) -> None:
    def strip(name: str, long: float, marks: list[float]) -> Piece:
        return Piece(
            name,
            (
                Edge.straight("bottom", P(0, 0), P(50, 0)),
                Edge.straight("side", P(50, 0), P(50, long)),
                Edge.straight("top", P(50, long), P(0, long)),
                Edge.straight("fold", P(0, long), P(0, 0), EdgeKind.FOLD),
            ),
            {},
            (P(20, 5), P(20, long - 5)),
            notches=tuple(NotchPlace("side", at, 1, "here") for at in marks),
        )

    long = length if easy else length * more
    pieces = {"a": strip("a", long, [part * long for part in parts]), "b": strip("b", length, [])}
    seam = sew("side seam", "a.side", to="b.side", ease=long - length)
    found = balance(pieces, [seam])
    a, b = [n.at for n in found["a"]], [n.at for n in found["b"]]
    assert len(a) == len(b)
    scale = length / long if abs(long - length) > 0.5 else 1.0
    assert a == pytest.approx([at / scale for at in b])
    for at in a:
        assert all(abs(at - part * long) >= 15.0 for part in parts)
    if not parts:
        for places, end in ((a, long), (b, length)):
            assert max(y - x for x, y in pairwise([0.0, *sorted(places), end])) <= 300.0 + 1e-6


def test_edges_that_are_drawn_the_other_way_about_are_known_by_their_neighbours() -> None:
    draft = dict(dresses())["alto, waist seam, bust dart"].draft
    sewing = Sewing.of(draft.pieces, draft.seams)
    backwards = {seam.name: ways[1][0] for seam in draft.seams if (ways := ways_of(sewing, seam)) is not None}
    assert backwards["front waist seam"] and backwards["underarm seam"]
    assert not backwards["bodice side seam"] and not backwards["front facing to neck"]
    assert list(backwards) == [seam.name for seam in draft.seams]


@given(st.floats(0, 300))
def test_drawn_is_the_other_way_about_than_sewn(sewn: float) -> None:
    edge = Edge("side", EdgeKind.SEAM, square_piece().edges[0].curves, (Take(50.0, 70.0), Take(200.0, 230.0)))
    assert edge.sewn(drawn(edge, sewn)) == pytest.approx(sewn)


# ------------------------------------------------------------------------------------------------ away from corners


def test_a_notch_too_near_to_a_corner_is_moved_and_told() -> None:
    piece = square_piece(notches=(NotchPlace("right", 4.0, 1, "facing"), NotchPlace("right", 0.0, 1, "hem fold")))
    kept, notes = off_corners(piece, "cm")
    assert [(n.name, n.at) for n in kept] == [("facing", 15.0), ("hem fold", 0.0)]
    assert notes == ("square: the facing notch of the right was moved to 1.5 cm from the corner.",)


def test_a_notch_that_marks_a_level_is_left_out_rather_than_moved() -> None:
    piece = replace(
        square_piece(notches=(NotchPlace("right", 6.0, 1, "hip"),)),
        internal_lines=(InternalLine("hip line", (P(0, 6), P(400, 6)), LineKind.BALANCE),),
    )
    kept, notes = off_corners(piece, "in")
    assert kept == ()
    assert "hip notch" in notes[0] and "left out" in notes[0]


def test_a_corner_inside_an_edge_counts_but_a_darts_mouth_does_not() -> None:
    square = dict(dresses())["alto, square, cap sleeve"].piece("front").cut.piece.edge("neckline")
    assert len(corners_of(square)) == 3
    dart = dict(dresses())["alto, waist seam, bust dart"].piece("bodice_front").cut.piece.edge("waist")
    assert dart.takes and len(corners_of(dart)) == 2


def test_no_finished_dress_has_a_notch_in_a_corner_and_the_check_finds_one_that_is_put_there() -> None:
    for words, pattern in dresses():
        assert not [f for f in wardrobe.failed(pattern) if f.id == "notches.corner"], words

    def into_the_corner(piece: MarkedPiece) -> MarkedPiece:
        line = LineString(piece.cut.lines["armhole"])
        at = line.interpolate(6.0)
        moved = tuple(replace(n, point=P(at.x, at.y)) if n.edge == "armhole" else n for n in piece.notches)
        return replace(piece, notches=moved)

    found = wardrobe.found(
        wardrobe.with_piece(dict(dresses())["alto, plain"], "front", into_the_corner), "notches.corner"
    )
    assert not found.passed
    assert found.measured == pytest.approx(6.0, abs=0.1)
    assert "the sleeve notch of the armhole lies only 6.0 mm from a corner" in found.message


@pytest.mark.parametrize("first", [6.0, 11.0])
def test_of_two_notches_in_a_corner_the_nearer_is_told(first: float) -> None:
    def into_corners(piece: MarkedPiece) -> MarkedPiece:
        places = iter((first, 17.0 - first))

        def moved(notch: Notch) -> Notch:
            if notch.edge not in ("armhole", "side") or names_its_place(notch.name):
                return notch
            at = LineString(piece.cut.lines[notch.edge]).interpolate(next(places, 100.0))
            return replace(notch, point=P(at.x, at.y))

        return replace(piece, notches=tuple(moved(n) for n in piece.notches))

    found = wardrobe.found(wardrobe.with_piece(dict(dresses())["alto, plain"], "front", into_corners), "notches.corner")
    assert not found.passed
    assert found.measured == pytest.approx(6.0, abs=0.1)
    assert f"only {found.measured:.1f} mm from a corner" in found.message


# ---------------------------------------------------------------------------------------------------------- cap ease


def test_cap_ease_lies_between_the_notches_about_half_in_front() -> None:
    seen = 0
    for words, pattern in dresses():
        for seam in pattern.draft.seams:
            spans = cap_spans(pattern, seam)
            if spans is None:
                assert seam.name != "sleeve cap", words
                continue
            seen += 1
            assert abs(spans.front_below) <= 0.5 and abs(spans.back_below) <= 0.5, words
            assert spans.front + spans.back + spans.front_below + spans.back_below == pytest.approx(seam.ease, abs=0.5)
            assert 0.4 <= spans.front / (spans.front + spans.back) <= 0.6, words  # common practice, no source
        assert not [f for f in wardrobe.failed(pattern) if f.id == "notches.ease"], words
    assert seen > 15


def moved_along(notch: Notch, line: LineString, by: float) -> Notch:
    at = line.interpolate(line.project(Point(notch.point)) + by)
    return replace(notch, point=P(at.x, at.y))


@pytest.mark.parametrize(
    ("name", "by", "severity", "words"),
    [
        ("front armhole", 3.0, "error", "below the notches"),
        ("back armhole", -3.0, "error", "below the notches"),
        ("shoulder", 6.0, "warning", "the ease is split"),
        ("shoulder", -6.0, "warning", "the ease is split"),
    ],
)
def test_a_sleeve_notch_in_the_wrong_place_is_found(name: str, by: float, severity: str, words: str) -> None:
    def change(piece: MarkedPiece) -> MarkedPiece:
        line = LineString(piece.cut.lines["cap"])
        return replace(piece, notches=tuple(moved_along(n, line, by) if n.name == name else n for n in piece.notches))

    pattern = wardrobe.with_piece(dict(dresses())["alto, plain"], "sleeve", change)
    finding = wardrobe.found(pattern, "notches.ease")
    assert (finding.passed, finding.severity.value) == (False, severity)
    assert words in finding.message
    if severity == "warning":  # the cap runs from its front: a notch further on leaves more ease in front
        assert (finding.measured > 60, finding.limit) == ((True, 60.0) if by > 0 else (False, 40.0))
        assert by > 0 or finding.measured < 40
    if severity == "error":
        assert abs(finding.measured) == pytest.approx(3.0, abs=0.2)


# -------------------------------------------------------------------------------------------------- drawing, formats


def with_kind(kind: NotchKind) -> Pattern:
    """The alto's front alone, with one notch of that kind in a straight 1/2 in shoulder."""
    draft = wardrobe.dress(wardrobe.ALTO)
    front = replace(draft.pieces[0], notches=(NotchPlace("shoulder", 50.0, 1, "here", kind),))
    return wardrobe.finished(replace(draft, pieces=(front,), seams=(), joins=()))


@pytest.mark.parametrize("kind", list(NotchKind))
def test_a_notch_is_drawn_inwards_but_a_v_outwards_stands_on_an_unchanged_cut_line(kind: NotchKind) -> None:
    (piece,) = with_kind(kind).pieces
    inside = Polygon(piece.cut.cut_line)
    points = [p for s in figure_of(piece).strokes if s.role is Role.NOTCH for p in s.points]
    assert len(points) >= 2
    depths = [(-1 if inside.contains(Point(p)) else 1) * inside.exterior.distance(Point(p)) for p in points]
    if kind is V_OUT:
        assert min(depths) > -0.01 and max(depths) == pytest.approx(4.0, abs=0.01)
    else:
        assert max(depths) < 0.01 and min(depths) == pytest.approx(-4.0, abs=0.01)
    cut = next(s for s in figure_of(piece).strokes if s.role is Role.CUT)
    assert cut.points == tuple(piece.cut.cut_line)


def test_kinds_of_notches_are_drawn_apart() -> None:
    shapes = set()
    for kind in NotchKind:
        strokes = [s.points for s in figure_of(with_kind(kind).pieces[0]).strokes if s.role is Role.NOTCH]
        shapes.add(tuple(tuple((round(x, 3), round(y, 3)) for x, y in points) for points in strokes))
    assert len(shapes) == len(NotchKind)


@pytest.mark.parametrize(("kind", "layer", "width"), [
    (SLIT, "4", 0.0), (V, "4", 3.0), (V_OUT, "4", 3.0), (NotchKind.T, "80", 3.0), (NotchKind.CASTLE, "81", 3.0),
    (NotchKind.CHECK, "82", 3.0), (NotchKind.U, "83", 3.0),
])  # fmt: skip
def test_the_pattern_data_standards_layers(kind: NotchKind, layer: str, width: float) -> None:
    """ASTM D6673-10, section 4.3: 4 slit and V, 80 T, 81 castle, 82 check, 83 U; 39 is the width, 0 for a slit."""
    import ezdxf

    pattern = with_kind(kind)
    text = dxf.render(pattern).decode("ascii")
    block = next(b for b in ezdxf.read(StringIO(text, newline=None)).blocks if b.name.startswith("FRONT"))
    points = [e for e in block if e.dxftype() == "POINT" and e.dxf.layer in {"4", "80", "81", "82", "83"}]
    assert [(p.dxf.layer, p.dxf.thickness) for p in points] == [(layer, width)]
    assert points[0].dxf.location.z == 4.0
    notch = pattern.pieces[0].notches[0]
    outwards = math.degrees(math.atan2(notch.direction.y, notch.direction.x))
    off = (points[0].dxf.angle - outwards) % 360
    assert off == pytest.approx(0.0 if kind is V_OUT else 180.0, abs=0.01) or (kind is V_OUT and off > 359.99)


def test_pattern_json_tells_kind_depth_and_width() -> None:
    import json

    piece = json.loads(pattern_json.render(Nest.single(with_kind(NotchKind.CASTLE)), ()))["pieces"][0]
    assert [(n["kind"], n["depth"], n["width"]) for n in piece["notches"]] == [("castle", 4, 3)]


def test_kinds_of_lines_are_told_apart_without_colour() -> None:
    piece = dict(dresses())["alto, plain"].piece("front")
    drawn_as = {}
    for kind in LineKind:
        line = InternalLine("", (P(60, -700), P(200, -700)), kind)
        changed = replace(piece, cut=replace(piece.cut, piece=replace(piece.cut.piece, internal_lines=(line,))))
        drawn_as[kind] = {s.points for s in figure_of(changed).strokes}
    bare = drawn_as[LineKind.PLAIN]
    for one, other in combinations(LineKind, 2):
        assert drawn_as[one] != drawn_as[other]
    for kind, strokes in drawn_as.items():
        assert bare <= strokes, kind  # the line itself is there, whole, in every kind


# ------------------------------------------------------------------------------------------------------- drill holes


def test_drill_holes_lie_inside_the_sewn_dart_at_the_trades_distances() -> None:
    seen = 0
    for words, piece in every_piece():
        holes = [Point(hole) for hole in piece.drill_holes]
        for dart in piece.cut.piece.darts:
            shape = Polygon(dart.points)
            mine = [hole for hole in holes if shape.contains(hole)]
            assert len(mine) == (1 if dart.is_open else 4), words
            tips = [dart.points[1]] if dart.is_open else [dart.points[0], dart.points[2]]
            for tip in tips:  # 12 to 13 mm, 1/2 in: common practice, no source
                assert min(hole.distance(Point(tip)) for hole in mine) == pytest.approx(12.7, abs=0.01), words
            if not dart.is_open:
                for leg in (dart.points[1], dart.points[3]):  # 3 mm, 1/8 in: common practice, no source
                    assert min(hole.distance(Point(leg)) for hole in mine) == pytest.approx(3.175, abs=0.01), words
            seen += 1
    assert seen > 30


@given(st.floats(2, 60), st.floats(20, 200), st.floats(20, 200))
def test_holes_stay_inside_small_darts(intake: float, up: float, down: float) -> None:
    closed = Dart("waist", (P(0, up), P(intake / 2, 0), P(0, -down), P(-intake / 2, 0)), intake)
    opened = Dart("waist", (P(-intake / 2, 0), P(0, up), P(intake / 2, 0)), intake)
    for dart in (closed, opened):
        assert all(Polygon(dart.points).contains(Point(hole)) for hole in drill_holes(dart))


# -------------------------------------------------------------------------------------------------------- grain line


def test_grain_lines_are_long_enough_and_lie_5_mm_inside_clear_of_the_darts() -> None:
    for words, piece in every_piece():
        line = LineString(piece.grain_line)
        shape = Polygon(piece.cut.stitch_line)
        _, low, _, high = shape.bounds
        assert line.length >= min(100.0, (high - low) / 3) - 1e-6, words
        assert shape.contains(line), words
        assert shape.exterior.distance(line) >= 4.0, words  # 5 mm, less what the coarse outline and the ends may take
        for dart in piece.cut.piece.darts:
            assert Polygon(dart.points).distance(line) > 1.0, words
        drafted = piece.cut.piece.grain
        turn = (line.coords[1][0] - line.coords[0][0]) * (drafted[1].y - drafted[0].y) - (
            line.coords[1][1] - line.coords[0][1]
        ) * (drafted[1].x - drafted[0].x)
        assert abs(turn) < 1e-6 * line.length * math.dist(*drafted), words


@given(st.floats(0, 360), st.floats(120, 400), st.floats(60, 400))
def test_a_grain_line_outside_is_brought_inside_in_its_own_direction(turn: float, long: float, wide: float) -> None:
    way = P(math.cos(math.radians(turn)), math.sin(math.radians(turn)))

    def at(u: float, v: float) -> P:
        return P(u * way.x - v * way.y, u * way.y + v * way.x)

    outline = [at(0, 0), at(long, 0), at(long, wide), at(0, wide)]
    grain = placed_grain((at(500, 900), at(530, 900)), outline, [], None, 20.0)
    line = LineString(grain)
    assert Polygon(outline).exterior.distance(line) >= 5.0 - 1e-6
    assert line.length >= min(100.0, long / 3)
    assert (grain[1].x - grain[0].x) * way.x + (grain[1].y - grain[0].y) * way.y == pytest.approx(line.length)


def test_a_grain_line_that_serves_is_left_where_it_was_drafted() -> None:
    outline = [P(0, 0), P(200, 0), P(200, 400), P(0, 400)]
    drafted = P(40, 100), P(40, 300)
    assert placed_grain(drafted, outline, [], None, 20.0) == drafted


@pytest.mark.parametrize(("one_way", "heads"), [(False, 2), (True, 1)])
def test_one_way_is_one_arrow_and_said_on_the_label(one_way: bool, heads: int) -> None:
    draft = wardrobe.dress(wardrobe.ALTO)
    pieces = tuple(replace(piece, one_way=one_way) for piece in draft.pieces)
    for piece in wardrobe.finished(replace(draft, pieces=pieces)).pieces:
        arrow = [s for s in figure_of(piece).strokes if s.role is Role.GRAIN]
        if piece.fold_line is not None:  # the heads of the fold bracket, which touch the fold
            arrow = [s for s in arrow if s.points[1][0] != piece.fold_line[0].x]
        assert len(arrow) == 1 + heads
        assert arrow[-1].points[1] == piece.grain_line[1]
        assert ("one way" in " ".join(piece.label.lines)) is one_way


# ------------------------------------------------------------------------------------------------------------ labels


def label_shape(piece: MarkedPiece, grown: float = 0.0) -> Polygon:
    label = piece.label
    width, tall = label_box(label.lines, label.height)
    assert width == pytest.approx(label.width, abs=1e-6)
    c, s = math.cos(math.radians(label.angle_deg)), math.sin(math.radians(label.angle_deg))
    w, h = width / 2 + grown, tall / 2 + grown
    corners = ((-w, -h), (w, -h), (w, h), (-w, h))
    return Polygon([(label.at.x + u * c - v * s, label.at.y + u * s + v * c) for u, v in corners])


def test_labels_keep_clear_of_the_outline_and_of_every_line() -> None:
    for words, piece in every_piece():
        shape = label_shape(piece, clear_of(piece.label.height) - 0.85)  # the outline is taken within 0.8 mm
        assert Polygon(piece.cut.stitch_line).contains(shape), words
        drafted = piece.cut.piece
        for line in [*(dart.points for dart in drafted.darts), *(line.points for line in drafted.internal_lines)]:
            assert not shape.intersects(LineString(line)), words
        assert not shape.intersects(LineString(piece.grain_line)), words
        box = label_shape(piece, -0.1)
        for stroke in figure_of(piece).strokes:
            if stroke.role in (Role.FOLD, Role.NOTCH, Role.DRILL, Role.GRAIN, Role.INTERNAL, Role.DART, Role.CUT):
                assert not box.intersects(LineString(stroke.points)), (words, stroke.role)


def test_no_other_words_are_set_over_the_label() -> None:
    for words, piece in list(every_piece())[:40]:
        box = label_shape(piece, 0.3)
        letters = [s for s in figure_of(piece).strokes if s.role is Role.LABEL]
        inside = [s for s in letters if box.contains(LineString(s.points))]
        others = [s for s in letters if s not in inside]
        assert not any(box.intersects(LineString(s.points)) for s in others), words
        assert inside


def test_labels_are_read_from_a_metre_on_large_pieces_and_at_arms_length_on_facings() -> None:
    for words, piece in every_piece():
        if piece.name.startswith(("front", "back", "skirt", "bodice")):
            assert piece.label.height >= 9.0, words
        # Lines after the heading have 0.7 of its height: 3.6 makes them 2.5 mm.
        assert piece.label.height >= 3.6, (words, piece.label)


def test_every_label_says_what_a_cutter_must_know() -> None:
    for words, piece in every_piece():
        said = " ".join(piece.label.lines).lower()
        assert piece.name.replace("_", " ") in said, words
        for fact in (f"{piece.number} of", "lighthouse choir", "made to measure", "cut ", "shell", "allowances"):
            assert fact in said, (words, fact)


def test_handling_is_the_last_line_where_there_is_room() -> None:
    pattern = dict(dresses())["alto, plain"]
    front = pattern.piece("front")
    assert front.handling
    assert " ".join(front.label.lines).endswith("; ".join(front.handling))
    facing = pattern.piece("facing_front")
    assert facing.handling and "clip" not in " ".join(facing.label.lines)


def test_the_same_widths_are_said_once_on_small_pieces() -> None:
    piece = square_piece()
    assert short_allowance_words(dict.fromkeys(("bottom", "right", "top", "left"), 12.7), piece, "in") == (
        "allowances 1/2 in"
    )
    mixed = {"bottom": 50.8, "right": 12.7, "top": 12.7, "left": 0.0}
    assert short_allowance_words(mixed, piece, "in") == "allowances 1/2 in; bottom 2 in; left none"


MEASURED = Measured(label_box)
TEXTS = ("1 OF 9: SQUARE", "Lighthouse choir", "cut 2 (a pair), shell", "allowances 1 1/2 in; hem 2 in")


@settings(max_examples=60)
@given(st.floats(60, 900), st.floats(60, 900), st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), max_size=5))
def test_any_rectangle_with_any_lines_in_it_has_its_label_clear_or_the_smallest(
    wide: float, tall: float, marks: list[tuple[float, float]]
) -> None:
    outline = [(0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)]
    lines = [[(u * wide, v * tall), (v * wide, u * tall)] for u, v in marks]
    spot = find_spot(outline, lines, [Wording(TEXTS)], MEASURED)
    width, up = label_box(spot.lines, spot.height)
    assert width == pytest.approx(spot.width)
    if spot.angle_deg:
        width, up = up, width
    assert spot.angle_deg in (0.0, 90.0)
    clear = clear_of(spot.height) - 1e-6
    box = Polygon.from_bounds(
        spot.at.x - width / 2 - clear,
        spot.at.y - up / 2 - clear,
        spot.at.x + width / 2 + clear,
        spot.at.y + up / 2 + clear,
    )
    free = Polygon(outline).contains(box) and not any(box.intersects(LineString(line)) for line in lines)
    assert free or spot.height == 2.1
    if not lines and wide > 300 and tall > 200:
        assert (spot.height, spot.angle_deg) == (9.0, 0.0)
        assert abs(spot.at.x - wide / 2) < 0.1 * wide and abs(spot.at.y - tall / 2) < 0.1 * tall


def test_a_narrow_strip_has_its_label_along_it() -> None:
    strip = [(0.0, 0.0), (45.0, 0.0), (45.0, 500.0), (0.0, 500.0)]
    upright = find_spot(strip, [], [Wording(TEXTS)], MEASURED, 90.0)
    assert upright.angle_deg == 90.0 and upright.height >= 3.6


def test_numbers_are_not_parted_from_their_fraction_or_unit() -> None:
    assert words_of("side 1 1/2 in, hem 5 cm") == ("side", "1 1/2 in,", "hem", "5 cm")
    for words, piece in every_piece():
        for line, following in pairwise(piece.label.lines):
            assert not (line[-1:].isdigit() and following.startswith(("in", "cm", "1/", "3/"))), (words, line)


# ---------------------------------------------------------------------------------------------------------- handling


def quarter_round(radius: float, *, hollow: bool) -> Piece:
    """A square with one corner cut away along a quarter circle, or rounded off (a cubic within 0.03 % of it)."""
    k, side = radius * 0.5522847, 400.0
    start, end = P(side, side - radius), P(side - radius, side)
    leave, arrive = ((-k, 0.0), (0.0, k)) if hollow else ((0.0, k), (-k, 0.0))
    edges = (
        Edge.straight("bottom", P(0, 0), P(side, 0)),
        Edge.straight("right", P(side, 0), start),
        Edge("curve", EdgeKind.SEAM, (Cubic.leaving_and_arriving(start, leave, end, arrive),)),
        Edge.straight("top", end, P(0, side)),
        Edge.straight("left", P(0, side), P(0, 0)),
    )
    return Piece("shape", edges, {}, (P(50, 20), P(50, 380)))


@pytest.mark.parametrize(
    ("radius", "hollow", "width", "word"),
    [
        (100.0, True, 12.7, "clip the curve allowance every 1/2 in"),  # 12.7 / 100 = 13 % too short
        (200.0, True, 12.7, "clip the curve allowance every 1 in"),  # 6 %
        (380.0, True, 12.7, ""),  # 3 %
        (100.0, False, 12.7, "notch out the curve allowance every 1/2 in"),  # 13 % too long
        (380.0, False, 12.7, ""),
    ],
)
def test_clips_and_notches_follow_width_over_radius(radius: float, hollow: bool, width: float, word: str) -> None:
    """4 % and 10 % of the seam: common practice, no source; the part itself is exact for circles."""
    piece = quarter_round(radius, hollow=hollow)
    notes = handling(allow_piece(piece, {edge.name: width for edge in piece.edges}), frozenset(), "in")
    curve = [note for note in notes if "curve allowance" in note]
    assert [note[: len(word)] for note in curve] == ([word] if word else [])


def test_inner_corners_and_points_are_clipped_into() -> None:
    finished = dict(dresses())
    square, pointed = finished["alto, square, cap sleeve"], finished["alto, V, no sleeve"]
    for piece in (square.piece("front"), square.piece("facing_front")):
        assert any(note.startswith("clip into the corner of the neckline") for note in piece.handling)
    for piece in (pointed.piece("front"), pointed.piece("facing_front")):
        assert any(note.startswith("clip into the point of the neckline") for note in piece.handling)
    plain = finished["alto, plain"].piece("front").handling
    assert not any("clip into" in note for note in plain)
    assert any("neckline" in note and note.startswith("clip the") for note in plain)


def test_a_straight_piece_needs_no_handling_and_an_eased_edge_its_stitches() -> None:
    piece = square_piece()
    cut = allow_piece(piece, {edge.name: 15.0 for edge in piece.edges})
    assert handling(cut, frozenset(), "cm") == ()
    assert handling(cut, frozenset({"top"}), "cm") == (
        "run two rows of ease stitches along the top between the notches",
    )
    sleeve = dict(dresses())["alto, plain"].piece("sleeve")
    assert any("ease stitches along the cap" in note for note in sleeve.handling)


# ------------------------------------------------------------------------------------------------------ the fold line


def test_the_fold_line_runs_from_cut_edge_to_cut_edge_by_hand() -> None:
    """Bust 38: neck 38/12 in deep, hem 16 + 1 + 25 in down, square to it; 1/2 in of allowance above, 2 in below."""
    front = wardrobe.dressed(wardrobe.ALTO).piece("front")
    assert front.fold_line is not None
    top, bottom = front.fold_line
    assert (top.x, bottom.x) == pytest.approx((0, 0), abs=1e-9)
    assert top.y == pytest.approx((-38 / 12 + 0.5) * wardrobe.IN, abs=0.01)
    assert bottom.y == pytest.approx((-42 - 2) * wardrobe.IN, abs=0.01)
    (drawn,) = [stroke for stroke in figure_of(front).strokes if stroke.role is Role.FOLD and len(stroke.points) == 2]
    assert set(drawn.points) == {(top.x, top.y), (bottom.x, bottom.y)}


def test_every_piece_on_the_fold_has_its_fold_line_and_no_other_piece_has() -> None:
    pattern = wardrobe.dressed(
        wardrobe.ALTO, zip="side", hem="straight", neckline="boat", neck_width="6 in", opening="none"
    )
    folded = {piece.name for piece in pattern.pieces if piece.fold_line is not None}
    assert folded == {"front", "back", "facing_front", "facing_back"}
    for piece in pattern.pieces:
        ends = [p for p in piece.cut.cut_line if abs(p[0]) < 1e-6] if piece.fold_line else []
        assert piece.cut.piece.on_fold == (piece.fold_line is not None)
        if piece.fold_line is not None:
            told = sorted(p.y for p in piece.fold_line)
            assert told == pytest.approx([min(y for _, y in ends), max(y for _, y in ends)])


# ------------------------------------------------------------------------------ notches where there is no allowance


WIDE_HIPPED = Measurements(
    {"bust_girth": 1000, "waist_girth": 1020, "hip_girth": 1300, "shoulder_width": 500, "back_waist_length": 500}
)


def spots_on_the_cut_line(pattern: Pattern) -> None:
    for piece in pattern.pieces:
        line = LinearRing(piece.cut.cut_line)
        for notch in piece.notches:
            for spot in notch.spots:
                assert line.distance(Point(spot)) < 0.1, (piece.name, notch.edge, notch.name)


def test_a_notch_of_an_edge_without_allowance_lies_on_it() -> None:
    """Stitch line and cut line are one there, each drawn to 0.05 mm: the one may lie inside the other by that."""
    draft = wardrobe.dress(WIDE_HIPPED, "mm", sleeve="none", ease_hip="0")
    spots_on_the_cut_line(wardrobe.finished(draft, "mm", {"side": 0.0, "neckline": 20.0, "shoulder": 0.0}))


WIDTHS = ("side", "hem", "centre_back", "vent_edge", "shoulder", "neckline", "armhole", "cap", "slit")


@settings(max_examples=25, deadline=None)
@given(
    st.dictionaries(st.sampled_from(WIDTHS), st.sampled_from([0.0, 1.0, 3.0, 6.0, 20.0, 50.0]), min_size=3),
    st.sampled_from(list(STYLES)),
    st.integers(0, 299),
)
def test_notches_reach_the_cut_line_whatever_the_allowances(widths: dict[str, float], style: str, woman: int) -> None:
    try:
        draft = wardrobe.dress(wardrobe.women()[woman][1], "mm", **STYLES[style])
    except OaktagError:
        return
    wardrobe.finished(draft, "mm", widths)  # raises where one does not
