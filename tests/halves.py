"""Front and back halves of a bodice to try faults of fit on, before anything is made from them."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from oaktag.body.measurements import Measurements
from oaktag.draft.board import Board
from oaktag.fitting.run import mended
from oaktag.garments.blocks import EASE, block
from oaktag.geometry.curve import Cubic, Line
from oaktag.geometry.path import flatten
from oaktag.geometry.point import Point
from oaktag.model.fitted import Ask
from oaktag.model.length import cm, inch
from oaktag.model.piece import Cut, Dart, Edge, EdgeKind, Piece

Halves = tuple[Piece, ...]


def blocks(method: str, body: Measurements) -> Halves:
    """Front and back by a method, to the waist, in inches of ease as the bodice has them."""
    on = Board("block", body, {}, "cm")
    return block(on, method, ease_bust=inch(EASE[method]), ease_waist=cm(6))


def plain_half(name: str, tip: Point) -> Piece:
    """A half with a straight shoulder from (70, 0) to that tip, and no darts; mm."""
    neck, nape, waist = Point(70.0, 0.0), Point(0.0, -20.0), Point(0.0, -420.0)
    under, low = Point(250.0, -220.0), Point(240.0, -420.0)
    return Piece(
        name,
        (
            Edge.straight("waist", waist, low),
            Edge.straight("side", low, under),
            Edge("armhole", EdgeKind.SEAM, (
                Cubic(under, Point(205.0, -222.0), Point(175.0, -190.0), Point(175.0, -130.0)),
                Cubic(Point(175.0, -130.0), Point(175.0, -100.0), Point(tip.x - 10.0, tip.y - 30.0), tip),
            )),
            Edge("shoulder", EdgeKind.SEAM, (Line(tip, neck),)),
            Edge("neck", EdgeKind.SEAM, (Cubic(neck, Point(62.0, -14.0), Point(35.0, -20.0), nape),)),
            Edge.straight(f"centre_{name}", nape, waist, EdgeKind.FOLD),
        ),
        {},
        (Point(20.0, -100.0), Point(20.0, -300.0)),
        Cut("fold"),
        worn="body",
    )  # fmt: skip


def fit(halves: Halves, *asks: Ask) -> Halves:
    """The halves with those faults mended, one after the other."""
    for ask in asks:
        done = mended(halves, (ask,), "cm")
        assert not done.lacked, done.lacked
        halves = done.pieces
    return halves


def sewn(piece: Piece, edge: str) -> float:
    return piece.edge(edge).sewn_length()


def dart(piece: Piece, name: str) -> Dart:
    return next(each for each in piece.darts if each.name == name)


def ring(piece: Piece) -> shapely.LinearRing:
    return shapely.LinearRing([p for edge in piece.edges for p in flatten(edge.curves)[:-1]])


def off(a: Sequence[Piece], b: Sequence[Piece]) -> float:
    """How far the outlines lie apart at most, mm (Hausdorff distance of polylines; shapely)."""
    return max(float(shapely.hausdorff_distance(ring(one), ring(other), 0.02)) for one, other in zip(a, b, strict=True))


def sharpest(piece: Piece, edge: str) -> float:
    """The sharpest turn within an edge outside its darts, degrees, between chords of a mm or more."""
    import math

    run = piece.edge(edge)
    points = shapely.LineString(flatten(run.curves)).segmentize(3.0)
    chain = list(points.simplify(0.0).coords)
    found = 0.0
    walked = 0.0
    for (ax, ay), (bx, by), (cx, cy) in zip(chain, chain[1:], chain[2:], strict=False):
        walked += math.hypot(bx - ax, by - ay)
        if any(take.start - 1.0 < walked < take.end + 1.0 for take in run.takes):
            continue
        turn = math.degrees(math.atan2((bx - ax) * (cy - by) - (by - ay) * (cx - bx),
                                       (bx - ax) * (cx - bx) + (by - ay) * (cy - by)))  # fmt: skip
        found = max(found, abs(turn))
    return found
