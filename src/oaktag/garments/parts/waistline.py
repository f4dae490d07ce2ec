"""A bodice that ends above the waist: cut across, its waist darts as wide as they are there.

The new edge is drawn with the darts closed: it leaves the centre and each dart leg square, and meets the side square,
so that it runs on when all is sewn (common practice, no source).
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from ...draft.cuts import cut
from ...draft.rulers import SHARE, drawn_curve
from ...geometry.curve import Curve, Line
from ...geometry.path import path_length, place_at
from ...geometry.point import Point, along, between, direction, distance, right_of
from ...model.piece import Dart, Edge, Piece, Take
from ...values import replace

_LEAST: Final = 25.0
"""A dart shorter than this is not sewn, mm (judgement, no source)."""


def raised(half: Piece, by: float) -> Piece:
    """The half cut off `by` mm above its waist, as much at the centre line as along the side seam; its lower edge is
    called `waist` again. A waist dart whose point that line passes, or nearly, is gone."""
    waist, side = half.edge("waist"), half.edge("side")
    opened = [dart for dart in half.darts if dart.name.startswith("waist") and dart.is_open]
    bare = replace(
        half,
        darts=tuple(dart for dart in half.darts if dart not in opened),
        edges=tuple(replace(edge, takes=()) if edge.name == "waist" else edge for edge in half.edges),
    )
    low = min(distance(side.start, p) for p in (waist.start, waist.end)) < 0.01
    at_side = place_at(side.curves, by if low else side.length() - by)[0]
    at_centre = Point(half.points["waist_centre"].x, half.points["waist_centre"].y + by)
    beyond = 20.0 / distance(at_centre, at_side)
    line = between(at_centre, at_side, -beyond), between(at_centre, at_side, 1 + beyond)
    upper, _ = cut(bare, *line, names=(f"{half.name} above", f"{half.name} below"), edge="waist", holding="armhole")
    drawn, darts = _through(upper, upper.edge("waist"), opened)
    return replace(
        upper,
        name=half.name,
        darts=(*upper.darts, *darts),
        edges=tuple(drawn if edge.name == "waist" else edge for edge in upper.edges),
        points={**upper.points, "waist_side": at_side, "waist_centre": drawn.start if low else drawn.end},
        to_cut=half.to_cut,
    )


def _through(piece: Piece, edge: Edge, darts: list[Dart]) -> tuple[Edge, list[Dart]]:
    """The edge drawn through darts that open at it, and the darts, their legs alike."""
    ahead = direction(edge.start, edge.end)
    stops: list[tuple[Point, Point]] = []
    shorter = []
    for dart in sorted(darts, key=lambda dart: abs(dart.points[1].x - edge.start.x)):
        tip = dart.points[1]
        ends = sorted((dart.points[0], dart.points[2]), key=lambda p: (p.x - tip.x) * ahead.x)
        far = _down(tip, between(ends[0], ends[1]), edge)
        if far < _LEAST:
            continue
        legs = [along(tip, direction(tip, p), far) for p in ends]
        stops += [(p, onward(direction(tip, p), ahead)) for p in legs]
        same = legs if ends[0] == dart.points[0] else legs[::-1]
        shorter.append(replace(dart, points=(same[0], tip, same[1]), intake=distance(*legs)))
    at = next(k for k, each in enumerate(piece.edges) if each.name == edge.name)
    before, after = piece.edges[at - 1], piece.edges[(at + 1) % len(piece.edges)]
    first, last = (onward(w, ahead) for w in (before.curves[-1].way(1.0), after.curves[0].way(0.0)))
    places = [(edge.start, first), *stops, (edge.end, last)]
    curves: list[Curve] = []
    takes = []
    for k, ((a, leave), (b, arrive)) in enumerate(pairwise(places)):
        if k % 2:
            start = path_length(curves)
            tip = shorter[k // 2].points[1]
            takes.append(Take(start, start + distance(a, b), tip=tip, pressed="start"))
            curves.append(Line(a, b))
        else:
            curves.append(drawn_curve(a, leave, b, arrive, SHARE))
    return replace(edge, curves=tuple(curves), takes=tuple(takes)), shorter


def _down(tip: Point, foot: Point, edge: Edge) -> float:
    """How far below a dart's point its middle line meets the edge, mm; less than nothing where that is above."""
    way, line = direction(tip, foot), direction(edge.start, edge.end)
    across = way.x * line.y - way.y * line.x
    return ((edge.start.x - tip.x) * line.y - (edge.start.y - tip.y) * line.x) / across


def onward(leg: Point, ahead: Point) -> Point:
    """Square to a way, as the edge runs."""
    square = right_of(leg)
    return square if square.x * ahead.x + square.y * ahead.y > 0 else Point(-square.x, -square.y)
