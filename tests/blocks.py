"""Pieces to try moves on: halves of sheath dresses as drafted, and simple bodices made up; and rulers for them.

The rulers share nothing with the moves but the curves.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import TypeAlias

import shapely
from hypothesis import strategies as st

from oaktag.body.measurements import Measurements
from oaktag.draft.darts import dart_cap
from oaktag.errors import DraftError
from oaktag.geometry.curve import Cubic, Line
from oaktag.geometry.path import path_length
from oaktag.geometry.point import Point
from oaktag.model.piece import Cut, Dart, Edge, EdgeKind, InternalLine, LevelLine, NotchPlace, Piece, Take
from wardrobe import ALTO, dense, dress, tape, women

XY: TypeAlias = tuple[float, float]
BODY = Measurements({**ALTO, "front_waist_length": ALTO["back_waist_length"] + 25.4 + 30.0})
"""ALTO with a front length, so that her bust dart is known."""


# ---------------------------------------------------------------- pieces


@cache
def sheath() -> tuple[tuple[str, Piece], ...]:
    """Halves with open darts: dresses with bust darts and waist seams of ALTO and of some women, each with levels."""
    bodies = [("alto", BODY), *women()[::50]]
    found = []
    for name, body in bodies:
        for style in ({"waist_seam": "yes"}, {"waist_seam": "yes", "neckline": "v"}, {}):
            try:
                pieces = dress(body, "cm", bust_dart="side", sleeve="none", **style).pieces
            except DraftError:
                continue
            found += [
                (f"{name} {style} {p.name}", levelled(p)) for p in pieces if any(dart.is_open for dart in p.darts)
            ]
    return tuple(found)


def levelled(piece: Piece) -> Piece:
    """With three levels across it, and a line and a hole inside."""
    outline = shapely.Polygon(ring(piece))
    left, bottom, right, top = outline.bounds
    levels = []
    for i, share in enumerate((0.25, 0.5, 0.75)):
        y = bottom + (top - bottom) * share
        levels.append(LevelLine(f"level {i}", -y, (Point(left - 5.0, y), Point(right + 5.0, y))))
    spot = outline.representative_point()
    stripe = InternalLine("stripe", (Point(spot.x, spot.y), Point(spot.x + 9.0, spot.y - 5.0)))
    return replace(
        piece,
        levels=tuple(levels),
        internal_lines=(*piece.internal_lines, stripe),
        points={**piece.points, "button": Point(spot.x, spot.y)},
        holes=("button",),
    )


@st.composite
def bodices(draw: st.DrawFn) -> Piece:
    """Half a bodice on the fold, with one dart open at its side or its waist, and notches on every edge."""
    between = lambda low, high: draw(st.floats(low, high))  # noqa: E731
    wide, tall = between(190, 330), between(360, 600)
    waist, under = between(0.75, 1.0) * wide, between(0.4, 0.5) * tall
    a, b, c = Point(0.0, -tall), Point(waist, -tall), Point(wide, -under)
    d, e, f = Point(0.75 * wide, -between(10, 45)), Point(between(60, 90), 0.0), Point(0.0, -between(50, 120))
    armhole = Cubic.leaving_and_arriving(c, (-0.3 * wide, 5.0), d, (5.0, 0.5 * under))
    neckline = Cubic.leaving_and_arriving(e, (-5.0, f.y * 0.6), f, (-0.6 * e.x, 0.0))
    where = draw(st.sampled_from(("side", "waist")))
    start, end = (b, c) if where == "side" else (a, b)
    opened, dart = _with_dart(where, start, end, between(15, 55), between(0.4, 0.6), between(60, 0.6 * waist))
    edges = (
        opened if where == "waist" else Edge.straight("waist", a, b),
        opened if where == "side" else Edge.straight("side", b, c),
        Edge("armhole", EdgeKind.SEAM, (armhole,)),
        Edge.straight("shoulder", d, e),
        Edge("neckline", EdgeKind.SEAM, (neckline,)),
        Edge.straight("centre_front", f, a, EdgeKind.FOLD),
    )
    notches = [NotchPlace(edge.name, edge.length() * between(0.05, 0.2), 1, "match") for edge in edges]
    legs = [NotchPlace(where, far, 2, "bust dart") for far in (opened.takes[0].start, opened.takes[0].end)]
    return levelled(
        Piece(
            "front",
            edges,
            points={"underarm": c, "shoulder_tip": d, "neck_side": e, "waist_side": b},
            grain=(Point(15.0, -tall + 20.0), Point(15.0, -0.5 * tall)),
            to_cut=Cut("fold"),
            darts=(dart,),
            notches=(*notches, *legs),
            worn="body",
        )
    )


def _with_dart(name: str, start: Point, end: Point, intake: float, share: float, long: float) -> tuple[Edge, Dart]:
    """A straight edge with a dart square to it."""
    size = math.dist(start, end)
    way = (end.x - start.x) / size, (end.y - start.y) / size

    def at(far: float, inwards: float = 0.0) -> Point:
        return Point(start.x + way[0] * far - way[1] * inwards, start.y + way[1] * far + way[0] * inwards)

    first, tip, second = at(share * size - intake / 2), at(share * size, long), at(share * size + intake / 2)
    before, after = (Line(start, first),), (Line(second, end),)
    cap = dart_cap(before, tip, after, pressed_to_start=True)
    mouth = Take(before[0].length(), before[0].length() + path_length(cap), "dart", tip, "start")
    return Edge(name, EdgeKind.SEAM, (*before, *cap, *after), (mouth,)), Dart("bust", (first, tip, second), intake)


def any_block() -> st.SearchStrategy[Piece]:
    """One of either kind."""
    return st.one_of(bodices(), st.sampled_from(range(len(sheath()))).map(lambda i: sheath()[i][1]))


# ---------------------------------------------------------------- rulers


def ring(piece: Piece) -> list[XY]:
    return [p for edge in piece.edges for p in dense(edge.curves, 200)[:-1]]


def shoelace(points: list[XY]) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1], strict=True)) / 2


def is_closed(piece: Piece) -> bool:
    """Every edge starts on the very point where the one before it ended, and within an edge every curve does."""
    corners = all(a.end == b.start for a, b in pairwise((piece.edges[-1], *piece.edges)))
    inner = (math.dist(a.end, b.start) for edge in piece.edges for a, b in pairwise(edge.curves))
    return corners and max(inner, default=0.0) < 1e-6


def wedge_deg(dart: Dart) -> float:
    """The angle that an open dart takes out."""
    first, tip, second = dart.points
    a, b = math.atan2(first.y - tip.y, first.x - tip.x), math.atan2(second.y - tip.y, second.x - tip.x)
    return abs((math.degrees(b - a) + 180) % 360 - 180)


def walked(edge: Edge) -> list[tuple[float, XY]]:
    """Points along an edge, and how far along it they lie, by tape."""
    points = dense(edge.curves, 120)
    found, far = [(0.0, points[0])], 0.0
    for p, q in pairwise(points):
        far += math.dist(p, q)
        found.append((far, q))
    return found


def edge_at(edge: Edge, far: float) -> XY:
    """The place so far along an edge, by tape."""
    for (before, p), (after, q) in pairwise(walked(edge)):
        if far <= after:
            part = (far - before) / (after - before)
            return p[0] + (q[0] - p[0]) * part, p[1] + (q[1] - p[1]) * part
    return walked(edge)[-1][1]


def sewn_tape(edge: Edge) -> float:
    """Its length by tape, past all that is taken away."""
    return tape(dense(edge.curves, 200)) - sum(take.end - take.start for take in edge.takes)


def cloth_on(piece: Piece, level: LevelLine) -> float:
    """How much cloth lies along a level, mm, past the open darts."""
    return float(shapely.LineString(level.points).intersection(worn_outline(piece)).length)


def worn_outline(piece: Piece) -> shapely.Polygon:
    """The cloth that is seen: the outline less the wedges of open darts and the caps over them."""
    outline = shapely.Polygon(ring(piece))
    for dart in piece.darts:
        if dart.is_open:
            (first, tip, second) = dart.points
            cap = next(
                [p for far, p in walked(edge) if take.start - 0.01 <= far <= take.end + 0.01]
                for edge in piece.edges
                for take in edge.takes
                if take.tip is not None
                and math.dist(take.tip, tip) < 1e-6
                and math.dist(edge_at(edge, take.start), first) < 0.1
            )
            outline = shapely.difference(outline, shapely.Polygon([first, *cap, second, tip]).buffer(0), grid_size=1e-6)
    return outline
